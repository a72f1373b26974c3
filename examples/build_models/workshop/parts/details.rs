//! Horn, bell, antenna, sand fillers, lifting eyes and other small things. May not enter: lights, rails.

use super::super::shape::{Mesh, cylinder, eased, slab, turned};
use glam::DVec3;

/// A horn of three chimes on a bracket: `base` on the roof, bells at height `z`, facing forward (the
/// middle one backward).
pub fn horn(base: DVec3, z: f64) -> Mesh {
    let chime = |y: f64, ahead: f64, length: f64, mouth: f64| {
        turned(
            DVec3::new(base.x - ahead * 0.12, base.y + y, z),
            DVec3::X * ahead,
            &[
                (0.0, 0.028),
                (0.75 * length, 0.04),
                (length, mouth),
                (0.8 * length, 0.0),
            ],
            8,
        )
    };
    Mesh::of([
        chime(-0.16, 1.0, 0.42, 0.075),
        chime(0.0, -1.0, 0.34, 0.07),
        chime(0.16, 1.0, 0.34, 0.065),
        slab(
            [base.x - 0.05, base.y - 0.20, z - 0.05],
            [base.x + 0.05, base.y + 0.20, z + 0.01],
        ),
        cylinder(
            base - DVec3::Z * 0.03,
            DVec3::new(base.x, base.y, z - 0.03),
            0.03,
            8,
        ),
    ])
}

/// A bell in its yoke, hung over `base`.
pub fn bell(base: DVec3) -> Mesh {
    let body = turned(
        base + DVec3::Z * 0.06,
        DVec3::Z,
        &[
            (0.0, 0.135),
            (0.03, 0.125),
            (0.10, 0.09),
            (0.19, 0.08),
            (0.23, 0.04),
            (0.235, 0.0),
        ],
        10,
    );
    let post = |y: f64| {
        slab(
            [base.x - 0.025, base.y + y - 0.012, base.z - 0.03],
            [base.x + 0.025, base.y + y + 0.012, base.z + 0.27],
        )
    };
    let yoke = slab(
        [base.x - 0.018, base.y - 0.172, base.z + 0.245],
        [base.x + 0.018, base.y + 0.172, base.z + 0.285],
    );
    Mesh::of([body, post(-0.155), post(0.155), yoke])
}

/// A radio antenna under its round cap.
pub fn antenna(base: DVec3, height: f64) -> Mesh {
    turned(
        base,
        DVec3::Z,
        &[
            (-0.03, 0.09),
            (0.02, 0.09),
            (0.03, 0.045),
            (height - 0.02, 0.04),
            (height, 0.0),
        ],
        10,
    )
}

/// A filler cap on a flat face: `axis` points out of it.
pub fn filler(at: DVec3, axis: DVec3, radius: f64) -> Mesh {
    turned(at, axis, &[(-0.03, radius), (0.06, 0.8 * radius)], 6)
}

/// A ventilator on a cab's roof.
pub fn ventilator(low: [f64; 3], high: [f64; 3]) -> Mesh {
    eased(low, high, 0.04)
}
