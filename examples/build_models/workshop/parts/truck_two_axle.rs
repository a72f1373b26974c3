//! A two-axle truck, about x = 0: side frames that hang on leaf springs between swing links, or that ride
//! on equalizer bars. May not enter: wheels (see `wheel`).

use super::super::shape::polygon::stroke;
use super::super::shape::{Frame, Mesh, Solid, slab};
use super::truck_parts::{brake_cylinder, coil_spring, cross_beam, journal_box, motor};
use super::wheel::TruckMeshes;
use glam::{DVec2, DVec3};

/// What carries the side frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Springing {
    /// Leaf springs on a plank between outside swing links, coil springs on the journal boxes.
    SwingLinks,
    /// Bars from box to box below the frame, coil springs on them.
    Equalizers,
}

/// Sizes of a truck.
#[derive(Clone, Copy, Debug)]
pub struct Truck {
    /// Distance between its axles.
    pub wheelbase_m: f64,
    /// Height of the axles.
    pub axle_z_m: f64,
    /// Top of the side frame.
    pub top_z_m: f64,
    /// Distance of the side frame's outer face from the centre line.
    pub face_y_m: f64,
    /// What carries it.
    pub springing: Springing,
}

/// A half outline and its mirror image, in order.
fn mirrored(half: &[(f64, f64)]) -> Vec<DVec2> {
    let rear = half.iter().rev().map(|p| (-p.0, p.1));
    half.iter().copied().chain(rear).map(DVec2::from).collect()
}

impl Truck {
    fn wall(&self) -> Frame {
        Frame::right(self.face_y_m)
    }

    fn end(&self) -> f64 {
        0.5 * self.wheelbase_m
    }

    /// The upper edge of the side frame, front to rear.
    fn crest(&self) -> Vec<DVec2> {
        let (end, top) = (self.end(), self.top_z_m);
        match self.springing {
            Springing::SwingLinks => mirrored(&[
                (end + 0.52, top - 0.13),
                (end + 0.38, top),
                (end - 0.40, top),
                (end - 0.72, top - 0.09),
            ]),
            Springing::Equalizers => mirrored(&[
                (end + 0.42, top - 0.10),
                (end + 0.30, top),
                (0.40, top),
                (0.30, top + 0.05),
            ]),
        }
    }

    /// The side frame on the right: its web, and a flange along its crest.
    fn side_frame(&self) -> Mesh {
        let (end, z, top) = (self.end(), self.axle_z_m, self.top_z_m);
        let under: Vec<(f64, f64)> = match self.springing {
            Springing::SwingLinks => {
                let (low, arch, a) = (z - 0.07, z + 0.27, 0.45);
                vec![
                    (end + 0.52, top - 0.36),
                    (end + a, arch - 0.06),
                    (end + a - 0.07, arch),
                    (end - a + 0.07, arch),
                    (end - a, arch - 0.07),
                    (end - a - 0.04, low + 0.08),
                    (end - a - 0.14, low),
                    (end - a - 0.22, low + 0.06),
                    (0.60, top - 0.36),
                ]
            }
            Springing::Equalizers => {
                let (low, arch, a) = (z - 0.20, z + 0.20, 0.20);
                vec![
                    (end + a + 0.14, top - 0.26),
                    (end + a + 0.12, low),
                    (end + a, low),
                    (end + a, arch),
                    (end - a, arch),
                    (end - a, low),
                    (end - a - 0.12, low),
                    (end - a - 0.16, top - 0.30),
                    (0.34, top - 0.30),
                    (0.28, top - 0.40),
                ]
            }
        };
        let mut outline: Vec<DVec2> = self.crest();
        outline.reverse();
        outline.extend(mirrored(&under));
        let web = Solid::prism(&outline, -0.12, -0.035);
        let flange = Solid::prism(&stroke(&self.crest(), 0.055), -0.16, 0.0);
        Mesh::of([web.mesh(), flange.mesh(), self.carriers()]).on(&self.wall())
    }

    /// Swing links with their plank, or the equalizer bar.
    fn carriers(&self) -> Mesh {
        let (end, z, top) = (self.end(), self.axle_z_m, self.top_z_m);
        match self.springing {
            Springing::SwingLinks => {
                let plank = slab([-0.60, z - 0.20, -0.17], [0.60, z - 0.14, 0.03]);
                let link =
                    |x: f64| slab([x - 0.035, z - 0.24, -0.02], [x + 0.035, top - 0.11, 0.016]);
                let pin = |x: f64| {
                    slab(
                        [x - 0.055, top - 0.19, -0.03],
                        [x + 0.055, top - 0.12, 0.026],
                    )
                };
                Mesh::of([plank, link(-0.52), link(0.52), pin(-0.52), pin(0.52)])
            }
            Springing::Equalizers => {
                let path = mirrored(&[
                    (end + 0.12, z + 0.205),
                    (end - 0.20, z + 0.205),
                    (end - 0.48, z - 0.16),
                ]);
                let bar = Solid::prism(&stroke(&path, 0.10), -0.03, 0.025).mesh();
                let bolster_end = slab([-0.22, top - 0.36, -0.10], [0.22, top - 0.03, 0.02]);
                Mesh::of([bar, bolster_end])
            }
        }
    }

    /// Leaf packs and coil springs on the right.
    fn springs(&self) -> Mesh {
        let (end, z, top) = (self.end(), self.axle_z_m, self.top_z_m);
        let y = -self.face_y_m;
        match self.springing {
            Springing::SwingLinks => {
                let mut all = Mesh::default();
                for (k, half) in [0.26, 0.40, 0.46, 0.40, 0.26].into_iter().enumerate() {
                    let low = z - 0.135 + 0.046 * k as f64;
                    all.add(&slab(
                        [-half, y - 0.015, low],
                        [half, y + 0.125 - 0.004 * k as f64, low + 0.036],
                    ));
                }
                all.add(&slab(
                    [-0.13, y - 0.036, z - 0.15],
                    [0.13, y + 0.14, top - 0.20],
                ));
                for x in [-end - 0.29, -end + 0.29, end - 0.29, end + 0.29] {
                    all.add(&coil_spring(x, y + 0.095, (z - 0.11, z + 0.30), 3, 0.082));
                }
                all
            }
            Springing::Equalizers => Mesh::of(
                [-0.56, -0.38, 0.38, 0.56]
                    .map(|x| coil_spring(x, y + 0.01, (z - 0.12, top - 0.27), 3, 0.075)),
            ),
        }
    }

    /// Brake cylinders with their rods, and shoes on the wheels, on the right.
    fn brakes(&self) -> Mesh {
        let (end, z, top) = (self.end(), self.axle_z_m, self.top_z_m);
        let y = -self.face_y_m;
        let mut all = Mesh::default();
        for toward in [-1.0, 1.0] {
            let at = DVec3::new(toward * 0.30, y - 0.03, top - 0.03);
            let foot = DVec3::new(toward * (end - 0.50), y + 0.03, z + 0.20);
            all.add(&brake_cylinder(at, toward, foot));
            for ahead in [-1.0, 1.0] {
                let x = toward * end + ahead * 0.565;
                all.add(&slab(
                    [x - 0.045, -0.84, z - 0.05],
                    [x + 0.045, -0.715, z + 0.24],
                ));
                all.add(&slab(
                    [x - 0.02, -0.80, z + 0.10],
                    [x + 0.02, -0.755, top - 0.05],
                ));
            }
        }
        all
    }

    /// What ties the sides together: bolster, end transoms, traction motors.
    fn middle(&self) -> Mesh {
        let (end, z, top) = (self.end(), self.axle_z_m, self.top_z_m);
        let inner = self.face_y_m - 0.09;
        let mut all = Mesh::of([
            cross_beam(0.0, 0.24, inner - 0.02, (top - 0.33, top - 0.07)),
            cross_beam(-end - 0.44, 0.05, inner, (top - 0.32, top - 0.14)),
            cross_beam(end + 0.44, 0.05, inner, (top - 0.32, top - 0.14)),
            slab([-0.45, -0.45, top - 0.2], [0.45, 0.45, top + 0.14]),
        ]);
        for axle in [-end, end] {
            all.add(&motor(axle - axle.signum() * 0.40, z));
        }
        all
    }

    /// All of it about x = 0.
    pub fn meshes(&self) -> TruckMeshes {
        let (end, z) = (self.end(), self.axle_z_m);
        let seat = match self.springing {
            Springing::SwingLinks => 0.40,
            Springing::Equalizers => 0.17,
        };
        let boxes = Mesh::of([-end, end].map(|x| journal_box(x, z, seat)));
        let frame = Mesh::of([self.side_frame(), boxes.on(&self.wall())]);
        let gear = Mesh::of([self.springs(), self.brakes()]);
        TruckMeshes {
            axles_x_m: vec![-end, end],
            frame: frame.both_sides(),
            gear: Mesh::of([gear.both_sides(), self.middle()]),
            axle_half_m: self.face_y_m - 0.12,
        }
    }
}
