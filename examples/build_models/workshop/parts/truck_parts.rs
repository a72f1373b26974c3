//! What trucks of every kind are made of: journal boxes, coil springs, brake cylinders, beams, motors.
//! Built for the right side where it has one. May not enter: side frames (see each truck).

use super::super::shape::{Frame, Mesh, Solid, panel, rectangle, slab, tube, turned};
use glam::DVec3;

/// A journal box at `x` in wall coordinates, its axle at height `z`: housing, cover and spring seats that
/// reach `seat_half` to either side.
pub fn journal_box(x: f64, z: f64, seat_half: f64) -> Mesh {
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
    let seat = slab(
        [x - seat_half, z - 0.155, -0.17],
        [x + seat_half, z - 0.095, -0.02],
    );
    Mesh::of([housing, cover, seat])
}

/// A coil spring, upright at `(x, y)` between two heights, as a stack of `coils` coils.
pub fn coil_spring(x: f64, y: f64, z: (f64, f64), coils: u32, radius: f64) -> Mesh {
    let step = (z.1 - z.0) / f64::from(coils);
    let mut stations = Vec::new();
    for k in 0..coils {
        let low = step * f64::from(k);
        stations.push((low, 0.7 * radius));
        stations.push((low + 0.5 * step, radius));
    }
    stations.push((z.1 - z.0, 0.7 * radius));
    turned(DVec3::new(x, y, z.0), DVec3::Z, &stations, 4)
}

/// A brake cylinder that lies at `at` and works toward +x or −x, its rod bent down to `foot`.
pub fn brake_cylinder(at: DVec3, toward: f64, foot: DVec3) -> Mesh {
    let barrel = turned(
        at,
        DVec3::X * toward,
        &[(0.0, 0.105), (0.24, 0.105), (0.30, 0.05)],
        6,
    );
    let rod = tube(
        &[
            at + DVec3::X * (toward * 0.28),
            DVec3::new(foot.x - toward * 0.03, at.y + 0.025, at.z - 0.015),
            foot,
        ],
        0.02,
        4,
    );
    Mesh::of([barrel, rod])
}

/// A beam across the truck at `x`.
pub fn cross_beam(x: f64, half: f64, inner: f64, z: (f64, f64)) -> Mesh {
    slab([x - half, -inner, z.0], [x + half, inner, z.1])
}

/// A traction motor beside an axle, its middle at (`x`, `z`).
pub fn motor(x: f64, z: f64) -> Mesh {
    let outline = rectangle((x - 0.36, z - 0.24), (x + 0.36, z + 0.24));
    Solid::prism(&outline, -0.52, 0.52)
        .on(&Frame::right(0.0))
        .mesh()
}
