//! A three-axle truck: cast side frames on coil springs and journal boxes, brakes, motors, bolster.
//! Built about x = 0 for the right side where it has one. May not enter: wheels (see `wheel`).

use super::super::shape::polygon::stroke;
use super::super::shape::{Frame, Mesh, Solid, panel, rectangle, slab, tube, turned};
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
    pub fn axles(&self) -> [f64; 3] {
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
    pub fn side_frame(&self) -> Mesh {
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
    pub fn journal_boxes(&self) -> Mesh {
        let z = self.axle_z_m;
        let boxes = self.axles().map(|x| {
            let housing = panel(
                (x - 0.155, z - 0.17),
                (x + 0.155, z + 0.165),
                0.24,
                -0.005,
                0.03,
            );
            let cover = turned(
                DVec3::new(x, z, -0.02),
                DVec3::Z,
                &[(0.0, 0.13), (0.06, 0.105)],
                8,
            );
            let seat = slab([x - 0.40, z - 0.155, -0.17], [x + 0.40, z - 0.095, -0.02]);
            Mesh::of([housing, cover, seat])
        });
        Mesh::of(boxes).on(&self.wall())
    }

    /// Coil springs on the right: two on each journal box, as stacks of coils.
    pub fn springs(&self) -> Mesh {
        let (from, to) = (self.axle_z_m - 0.11, self.axle_z_m + 0.30);
        let spring = |x: f64| {
            let coils = 3;
            let step = (to - from) / f64::from(coils);
            let mut stations = Vec::new();
            for k in 0..coils {
                let low = step * f64::from(k);
                stations.push((low, 0.058));
                stations.push((low + 0.5 * step, 0.082));
            }
            stations.push((to - from, 0.058));
            let origin = DVec3::new(x, -self.face_y_m + 0.095, from);
            turned(origin, DVec3::Z, &stations, 5)
        };
        Mesh::of(
            self.axles()
                .into_iter()
                .flat_map(|x| [spring(x - 0.29), spring(x + 0.29)]),
        )
    }

    /// Brake cylinders and their rods on the right.
    pub fn brakes(&self) -> Mesh {
        let (end, z, top) = (0.5 * self.wheelbase_m, self.axle_z_m, self.top_z_m);
        let y = -self.face_y_m;
        let mut all = Mesh::default();
        for middle in [-0.5 * end, 0.5 * end] {
            let toward = middle.signum();
            let cylinder_at = DVec3::new(middle - toward * 0.22, y - 0.015, top - 0.055);
            all.add(&turned(
                cylinder_at,
                DVec3::X * toward,
                &[(0.0, 0.105), (0.24, 0.105), (0.30, 0.05)],
                8,
            ));
            all.add(&tube(
                &[
                    cylinder_at + DVec3::X * (toward * 0.28),
                    DVec3::new(middle + toward * 0.44, y + 0.01, top - 0.07),
                    DVec3::new(middle + toward * 0.47, y + 0.02, z + 0.02),
                ],
                0.02,
                5,
            ));
        }
        all
    }

    /// What ties the sides together: bolster, end transoms, traction motors.
    pub fn middle(&self) -> Mesh {
        let (end, z, top) = (0.5 * self.wheelbase_m, self.axle_z_m, self.top_z_m);
        let inner = self.face_y_m - 0.09;
        let beam = |x: f64, half: f64, low: f64, high: f64| {
            slab([x - half, -inner, low], [x + half, inner, high])
        };
        let mut all = Mesh::of([
            beam(-0.5 * end, 0.16, top - 0.33, top - 0.16),
            beam(0.5 * end, 0.16, top - 0.33, top - 0.16),
            beam(-end - 0.44, 0.05, top - 0.30, top - 0.08),
            beam(end + 0.44, 0.05, top - 0.30, top - 0.08),
            slab(
                [-0.5 * end, -0.45, top - 0.2],
                [0.5 * end, 0.45, top + 0.12],
            ),
        ]);
        for axle in self.axles() {
            let side = if axle > 0.0 { -1.0 } else { 1.0 };
            let at = axle + side * 0.38;
            let motor = Solid::prism(
                &rectangle((at - 0.36, z - 0.24), (at + 0.36, z + 0.24)),
                -0.52,
                0.52,
            );
            all.add(&motor.on(&Frame::right(0.0)).mesh());
        }
        all
    }
}
