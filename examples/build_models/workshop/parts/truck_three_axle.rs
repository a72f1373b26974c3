//! A three-axle truck: cast side frames on coil springs and journal boxes, about x = 0. May not enter: wheels
//! (see `wheel`).

use super::super::shape::polygon::stroke;
use super::super::shape::{Frame, Mesh, Solid, slab};
use super::truck_parts::{brake_cylinder, coil_spring, cross_beam, journal_box, motor};
use super::wheel::TruckMeshes;
use glam::{DVec2, DVec3};

/// Sizes of a truck.
#[derive(Clone, Copy, Debug)]
pub struct Truck {
    /// Distance between its outer axles.
    pub wheelbase_m: f64,
    /// Height of the axles.
    pub axle_z_m: f64,
    /// Top of the side frame's ends.
    pub top_z_m: f64,
    /// Distance of the side frame's outer face from the centre line.
    pub face_y_m: f64,
}

/// Half the length of the gap in a side frame over a journal box and its springs.
const ARCH_HALF_M: f64 = 0.47;

impl Truck {
    /// Where the axles lie along the truck.
    fn axles(&self) -> [f64; 3] {
        [-0.5 * self.wheelbase_m, 0.0, 0.5 * self.wheelbase_m]
    }

    fn wall(&self) -> Frame {
        Frame::right(self.face_y_m)
    }

    /// The upper edge of the side frame, rear to front.
    fn crest(&self) -> Vec<DVec2> {
        let (end, top) = (0.5 * self.wheelbase_m, self.top_z_m);
        let half = [
            (0.30, top - 0.06),
            (0.62, top - 0.13),
            (0.5 * end + 0.38, top - 0.13),
            (end - 0.36, top),
            (end + 0.34, top),
            (end + 0.48, top - 0.10),
        ];
        let rear = half.iter().rev().map(|p| (-p.0, p.1));
        rear.chain(half.iter().copied()).map(DVec2::from).collect()
    }

    /// The side frame on the right: a web with arches over the journal boxes and lightening holes,
    /// a flange along its crest.
    fn side_frame(&self) -> Mesh {
        let (end, z, top) = (0.5 * self.wheelbase_m, self.axle_z_m, self.top_z_m);
        let (low, arch) = (z - 0.07, z + 0.27);
        let a = ARCH_HALF_M;
        let mut outline: Vec<DVec2> = self.crest().into_iter().rev().collect();
        let under = [
            (-end - 0.48, top - 0.34),
            (-end - a, arch - 0.06),
            (-end - a + 0.07, arch),
            (-end + a - 0.07, arch),
            (-end + a, arch - 0.07),
            (-end + a + 0.05, low + 0.10),
            (-end + a + 0.16, low),
            (-a - 0.16, low),
            (-a - 0.05, low + 0.10),
            (-a, arch - 0.07),
            (-a + 0.07, arch),
        ];
        outline.extend(under.map(DVec2::from));
        outline.extend(under.iter().rev().map(|p| DVec2::new(-p.0, p.1)));
        let hole = |middle: f64| -> Vec<DVec2> {
            let (from, to) = (z + 0.05, top - 0.235);
            [
                (-0.30, from + 0.03),
                (-0.24, from),
                (0.24, from),
                (0.30, from + 0.03),
                (0.27, to),
                (-0.27, to),
            ]
            .map(|(x, z)| DVec2::new(middle + x, z))
            .to_vec()
        };
        let web = Solid::plate(&outline, &[hole(-0.5 * end), hole(0.5 * end)], -0.12, -0.03);
        let flange = Solid::prism(&stroke(&self.crest(), 0.055), -0.16, 0.0);
        let web_behind_holes = |middle: f64| {
            slab(
                [middle - 0.40, low + 0.04, -0.20],
                [middle + 0.40, top - 0.18, -0.135],
            )
        };
        Mesh::of([
            web.mesh(),
            flange.mesh(),
            web_behind_holes(-0.5 * end),
            web_behind_holes(0.5 * end),
        ])
        .on(&self.wall())
    }

    /// Journal boxes on the right, with covers and spring seats.
    fn journal_boxes(&self) -> Mesh {
        let boxes = self.axles().map(|x| journal_box(x, self.axle_z_m, 0.40));
        Mesh::of(boxes).on(&self.wall())
    }

    /// Coil springs on the right: two on each journal box.
    fn springs(&self) -> Mesh {
        let z = (self.axle_z_m - 0.11, self.axle_z_m + 0.30);
        let spring = |x: f64| coil_spring(x, -self.face_y_m + 0.095, z, 2, 0.082);
        let pairs = self.axles().into_iter();
        Mesh::of(pairs.flat_map(|x| [spring(x - 0.29), spring(x + 0.29)]))
    }

    /// Brake cylinders and their rods on the right.
    fn brakes(&self) -> Mesh {
        let (end, z, top) = (0.5 * self.wheelbase_m, self.axle_z_m, self.top_z_m);
        let y = -self.face_y_m;
        Mesh::of([-0.5 * end, 0.5 * end].map(|middle| {
            let toward = middle.signum();
            let at = DVec3::new(middle - toward * 0.22, y - 0.015, top - 0.055);
            let foot = DVec3::new(middle + toward * 0.47, y + 0.02, z + 0.02);
            brake_cylinder(at, toward, foot)
        }))
    }

    /// What ties the sides together: bolster, end transoms, traction motors.
    fn middle(&self) -> Mesh {
        let (end, z, top) = (0.5 * self.wheelbase_m, self.axle_z_m, self.top_z_m);
        let inner = self.face_y_m - 0.09;
        let mut all = Mesh::of([
            cross_beam(-0.5 * end, 0.16, inner, (top - 0.33, top - 0.16)),
            cross_beam(0.5 * end, 0.16, inner, (top - 0.33, top - 0.16)),
            cross_beam(-end - 0.44, 0.05, inner, (top - 0.30, top - 0.08)),
            cross_beam(end + 0.44, 0.05, inner, (top - 0.30, top - 0.08)),
            slab(
                [-0.5 * end, -0.45, top - 0.2],
                [0.5 * end, 0.45, top + 0.12],
            ),
        ]);
        for axle in self.axles() {
            let side = if axle > 0.0 { -1.0 } else { 1.0 };
            all.add(&motor(axle + side * 0.38, z));
        }
        all
    }

    /// All of it about x = 0.
    pub fn meshes(&self) -> TruckMeshes {
        let frame = Mesh::of([self.side_frame(), self.journal_boxes()]);
        let gear = Mesh::of([self.springs(), self.brakes()]);
        TruckMeshes {
            axles_x_m: self.axles().to_vec(),
            frame: frame.both_sides(),
            gear: Mesh::of([gear.both_sides(), self.middle()]),
            axle_half_m: self.face_y_m - 0.12,
        }
    }
}
