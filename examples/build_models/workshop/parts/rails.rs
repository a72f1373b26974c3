//! Handrails, stanchions, grab irons, chains. May not enter: the walkways that they guard.

use super::super::shape::{Mesh, rounded, slab, tube};
use glam::DVec3;

/// Radius of a handrail.
pub const RAIL_RADIUS_M: f64 = 0.017;

/// Radius of a stanchion.
pub const STANCHION_RADIUS_M: f64 = 0.0135;

/// A side rail (right side): straight and level at height `z` from `from_x` on; at `to_x` bent down to
/// `foot_z` with radius `bend`.
pub fn side_rail(from_x: f64, to_x: f64, y: f64, z: f64, foot_z: f64, bend: f64) -> Mesh {
    let path = [
        DVec3::new(from_x, -y, z),
        DVec3::new(to_x, -y, z),
        DVec3::new(to_x, -y, foot_z),
    ];
    tube(&rounded(&path, bend, 4), RAIL_RADIUS_M, 6)
}

/// A stanchion (right side) from the sill's outer face up to the rail, with its foot.
pub fn stanchion(x: f64, y: f64, z: (f64, f64)) -> Mesh {
    let post = tube(
        &[DVec3::new(x, -y, z.0), DVec3::new(x, -y, z.1)],
        STANCHION_RADIUS_M,
        5,
    );
    let foot = slab(
        [x - 0.035, -y - 0.024, z.0 - 0.01],
        [x + 0.035, -y + 0.024, z.0 + 0.05],
    );
    Mesh::of([post, foot])
}

/// The right half of a front end railing: a hoop from the corner to the gap at the middle, with a
/// lower rail.
pub fn end_rail(x: f64, y: (f64, f64), z: (f64, f64)) -> Mesh {
    let hoop = [
        DVec3::new(x, -y.1, z.0),
        DVec3::new(x, -y.1, z.1),
        DVec3::new(x, -y.0, z.1),
        DVec3::new(x, -y.0, z.0),
    ];
    let middle = 0.5 * (z.0 + z.1);
    Mesh::of([
        tube(&rounded(&hoop, 0.14, 2), RAIL_RADIUS_M, 6),
        tube(
            &[DVec3::new(x, -y.1, middle), DVec3::new(x, -y.0, middle)],
            STANCHION_RADIUS_M,
            6,
        ),
    ])
}

/// A chain across a gap, hanging by `sag`.
pub fn chain(x: f64, half_gap: f64, z: f64, sag: f64) -> Mesh {
    let path: Vec<DVec3> = (0..=4)
        .map(|k| {
            let share = k as f64 / 2.0 - 1.0;
            DVec3::new(x, share * half_gap, z - sag * (1.0 - share * share))
        })
        .collect();
    tube(&path, 0.008, 4)
}

/// An upright grab iron beside a step well: foot and head bent back into the body by `reach` along x.
pub fn upright_grab(x: f64, y: f64, z: (f64, f64), reach: f64) -> Mesh {
    let path = [
        DVec3::new(x + reach, -y, z.0),
        DVec3::new(x, -y, z.0),
        DVec3::new(x, -y, z.1),
        DVec3::new(x + reach, -y, z.1),
    ];
    tube(&rounded(&path, 0.05, 1), STANCHION_RADIUS_M, 5)
}

/// A grab iron on a wall (wall coordinates): from `a` to `b`, standing out by `out`.
pub fn wall_grab(a: (f64, f64), b: (f64, f64), out: f64) -> Mesh {
    let path = [
        DVec3::new(a.0, a.1, -0.02),
        DVec3::new(a.0, a.1, out),
        DVec3::new(b.0, b.1, out),
        DVec3::new(b.0, b.1, -0.02),
    ];
    tube(&path, 0.012, 4)
}
