//! The underframe: deck, sills, step wells, pilots with plows. May not enter: what hangs below or stands above.

use super::super::shape::{Frame, Mesh, Solid, rectangle, slab, tube};
use glam::{DVec2, DVec3};

/// The deck seen from above: a long plate with a notch for steps at each corner.
#[derive(Clone, Copy, Debug)]
pub struct Deck {
    /// Half its length.
    pub half_length_m: f64,
    /// Half its width.
    pub half_width_m: f64,
    /// Underside and top.
    pub z_m: (f64, f64),
    /// Where a step well begins and ends, measured from the middle of the machine.
    pub well_x_m: (f64, f64),
    /// How far from the centre line a step well begins.
    pub well_y_m: f64,
}

impl Deck {
    /// The plate.
    pub fn plate(&self) -> Mesh {
        let (l, w) = (self.half_length_m, self.half_width_m);
        let (a, b) = self.well_x_m;
        let n = self.well_y_m;
        let corner = [(l, w), (b, w), (b, n), (a, n), (a, w)];
        let front_left = corner.iter().copied();
        let rear_left = corner.iter().rev().map(|p| (-p.0, p.1));
        let rear_right = corner.iter().map(|p| (-p.0, -p.1));
        let front_right = corner.iter().rev().map(|p| (p.0, -p.1));
        let outline: Vec<DVec2> = front_left
            .chain(rear_left)
            .chain(rear_right)
            .chain(front_right)
            .map(DVec2::from)
            .collect();
        Solid::prism(&outline, self.z_m.0, self.z_m.1).mesh()
    }

    /// The right-hand side sill below the deck's edge, between the step wells, `height` high.
    pub fn sill(&self, height: f64, thickness: f64) -> Mesh {
        let y = self.half_width_m - 0.03;
        let x = self.well_x_m.0 - 0.02;
        slab(
            [-x, -y, self.z_m.0 - height],
            [x, -y + thickness, self.z_m.0 + 0.03],
        )
    }

    /// A painted stripe on the right-hand sill.
    pub fn sill_stripe(&self, from: f64, height: f64) -> Mesh {
        let x = self.well_x_m.0 - 0.05;
        slab([-x, from, -0.01], [x, from + height, 0.007])
            .on(&Frame::right(self.half_width_m - 0.03))
    }

    /// The sides and back of the front right step well, down to `bottom`.
    pub fn step_well(&self, bottom: f64) -> Mesh {
        let (a, b) = self.well_x_m;
        let outer = -(self.half_width_m - 0.04);
        let inner = -self.well_y_m;
        let top = self.z_m.0 + 0.02;
        // Cheeks are cut back at the foot, as a toe finds the lowest step from outside.
        let cheek = |x: f64| {
            let outline = [
                (-outer, top),
                (-outer, bottom + 0.10),
                (-outer - 0.08, bottom),
                (-inner - 0.03, bottom),
                (-inner - 0.03, top),
            ]
            .map(DVec2::from);
            let frame = Frame {
                origin: DVec3::new(x, 0.0, 0.0),
                along: DVec3::NEG_Y,
                up: DVec3::Z,
                out: DVec3::NEG_X,
            };
            Solid::prism(&outline, -0.012, 0.012).on(&frame).mesh()
        };
        Mesh::of([
            cheek(a - 0.02),
            cheek(b + 0.02),
            slab(
                [a - 0.02, inner - 0.005, bottom + 0.05],
                [b + 0.02, inner + 0.036, top - 0.006],
            ),
        ])
    }

    /// The treads of the front right step well.
    pub fn steps(&self, heights: &[f64]) -> Mesh {
        let (a, b) = self.well_x_m;
        let outer = -(self.half_width_m - 0.02);
        let tread = |z: f64| {
            slab(
                [a - 0.012, outer, z - 0.035],
                [b + 0.012, -self.well_y_m - 0.05, z],
            )
        };
        Mesh::of(heights.iter().map(|z| tread(*z)))
    }
}

/// The front pilot plate with its opening for the coupler, from `bottom` to `top`.
pub fn pilot(x: f64, half_width: f64, z: (f64, f64), coupler_z: f64) -> Mesh {
    let corner = 0.16;
    let outline = [
        (half_width, z.0 + corner),
        (half_width, z.1),
        (-half_width, z.1),
        (-half_width, z.0 + corner),
        (-half_width + corner, z.0),
        (half_width - corner, z.0),
    ]
    .map(DVec2::from);
    let opening = rectangle((-0.26, coupler_z - 0.2), (0.26, coupler_z + 0.2));
    let plate = Solid::plate(&outline, &[opening], -0.03, 0.03)
        .on(&Frame::front(x))
        .mesh();
    // The top beam is a toe board; a drop step for crossing to a coupled neighbour lies on it.
    let beam = slab(
        [x - 0.05, -half_width - 0.01, z.1 - 0.14],
        [x + 0.06, half_width + 0.01, z.1 + 0.02],
    );
    let step = slab([x + 0.02, -0.40, z.1 - 0.03], [x + 0.24, 0.40, z.1 + 0.008]);
    let pocket = slab(
        [x - 0.30, -0.34, coupler_z - 0.28],
        [x - 0.02, 0.34, coupler_z + 0.28],
    );
    Mesh::of([plate, beam, step, pocket])
}

/// A plow in front of the pilot: two curved blades that meet at the middle.
pub fn plow(x: f64, half_width: f64, z: (f64, f64), nose: f64) -> Mesh {
    let height = z.1 - z.0;
    let ring = |y: f64, ahead: f64, lift: f64| -> Vec<DVec3> {
        [
            (0.05, 0.0),
            (-0.03, 0.30),
            (-0.05, 0.60),
            (-0.01, 1.0),
            (-0.04, 1.0),
            (-0.09, 0.60),
            (-0.07, 0.30),
            (0.01, 0.0),
        ]
        .map(|(dx, share)| {
            DVec3::new(
                x + ahead + dx,
                y,
                z.0 + lift * (1.0 - share) + share * height,
            )
        })
        .to_vec()
    };
    let blade = Solid::loft(&[
        ring(-half_width, 0.0, 0.10),
        ring(-0.35 * half_width, 0.75 * nose, 0.0),
        ring(0.0, nose, 0.0),
        ring(0.35 * half_width, 0.75 * nose, 0.0),
        ring(half_width, 0.0, 0.10),
    ])
    .mesh();
    let brace = |y: f64| {
        slab(
            [x - 0.08, y - 0.03, z.0 + 0.2],
            [x + 0.4 * nose, y + 0.03, z.0 + 0.42],
        )
    };
    Mesh::of([blade, brace(-0.8), brace(0.8), brace(-0.3), brace(0.3)])
}

/// The rod that lifts the coupler's pin, from the middle of the front pilot to its right edge.
pub fn uncoupling_lever(x: f64, z: f64, half_width: f64) -> Mesh {
    let bar = [
        DVec3::new(x + 0.30, -0.10, z - 0.12),
        DVec3::new(x + 0.07, -0.32, z),
        DVec3::new(x + 0.07, -half_width + 0.16, z),
        DVec3::new(x + 0.10, -half_width + 0.10, z - 0.22),
    ];
    let bracket = |y: f64| {
        slab(
            [x + 0.01, y - 0.02, z - 0.03],
            [x + 0.09, y + 0.02, z + 0.03],
        )
    };
    Mesh::of([
        tube(&bar, 0.014, 4),
        bracket(-0.45),
        bracket(-half_width + 0.28),
    ])
}
