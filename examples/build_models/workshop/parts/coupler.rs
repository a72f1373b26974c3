//! Couplers and air hoses, facing forward. May not enter: the pilot around them.

use super::super::shape::{Mesh, Solid, cylinder, rounded, slab, tube};
use glam::{DVec2, DVec3};

/// A knuckle coupler: its face at `face_x`, its centre at height `z`, its shank reaching back `shank`.
pub fn coupler(face_x: f64, z: f64, shank: f64) -> Mesh {
    // Castings: each outline drawn in at the top and the bottom, about its own middle.
    let at = |outline: &[(f64, f64)], low: f64, high: f64| {
        let count = outline.len() as f64;
        let middle = outline
            .iter()
            .fold(DVec2::ZERO, |sum, p| sum + DVec2::from(*p))
            / count;
        let ring = |share: f64, up: f64| -> Vec<DVec3> {
            let place = |p: &(f64, f64)| {
                let p = middle + (DVec2::from(*p) - middle) * share;
                DVec3::new(face_x + p.x, p.y, z + up)
            };
            outline.iter().map(place).collect()
        };
        let edge = 0.03;
        Solid::loft(&[
            ring(0.86, low),
            ring(1.0, low + edge),
            ring(1.0, high - edge),
            ring(0.86, high),
        ])
        .mesh()
    };
    // From above, x from the coupler's face, y to the left: body with its guard arm on the left …
    let head = [
        (-0.36, -0.11),
        (-0.26, -0.20),
        (-0.10, -0.22),
        (-0.09, -0.10),
        (-0.17, 0.02),
        (-0.14, 0.12),
        (-0.01, 0.19),
        (-0.02, 0.25),
        (-0.16, 0.22),
        (-0.36, 0.11),
    ];
    // … and the knuckle on the right.
    let knuckle = [
        (-0.13, -0.205),
        (-0.02, -0.20),
        (0.0, -0.15),
        (0.0, 0.0),
        (-0.03, 0.04),
        (-0.075, 0.03),
        (-0.07, -0.09),
        (-0.13, -0.12),
    ];
    let pin = cylinder(
        DVec3::new(face_x - 0.085, -0.16, z - 0.19),
        DVec3::new(face_x - 0.085, -0.16, z + 0.21),
        0.026,
        8,
    );
    let bar = slab(
        [face_x - 0.34 - shank, -0.075, z - 0.085],
        [face_x - 0.30, 0.075, z + 0.085],
    );
    Mesh::of([
        at(&head, -0.15, 0.15),
        at(&knuckle, -0.165, 0.165),
        pin,
        bar,
    ])
}

/// An air hose from the pilot at `x` hanging at `y`: cock, hose and coupling.
pub fn hose(x: f64, y: f64, z: f64, drop: f64, radius: f64) -> Mesh {
    let path = [
        DVec3::new(x - 0.02, y, z),
        DVec3::new(x + 0.16, y, z),
        DVec3::new(x + 0.20, y, z - drop),
        DVec3::new(x + 0.34, y * 0.92, z - drop - 0.02),
    ];
    let half = radius + 0.012;
    let cock = slab(
        [x - 0.03, y - half, z - half],
        [x + 0.07, y + half, z + half],
    );
    let end = path[3];
    let gladhand = slab(
        [end.x - 0.03, end.y - 0.025, end.z - 0.04],
        [end.x + 0.08, end.y + 0.025, end.z + 0.04],
    );
    Mesh::of([cock, tube(&rounded(&path, 0.09, 1), radius, 4), gladhand])
}
