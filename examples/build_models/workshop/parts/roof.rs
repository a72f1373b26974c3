//! What stands on a hood's roof: fans under shrouds, exhaust stack, hatches. May not enter: the roof itself.

use super::super::shape::{Mesh, Solid, ring, slab, turned};
use super::hood::section;
use glam::{DVec2, DVec3};
use std::f64::consts::TAU;

/// A roof fan: a shroud from below the roof to `top`, a guard ring and bars over `blades` blades.
pub fn fan(x: f64, roof_z: f64, top: f64, radius: f64, blades: usize) -> Mesh {
    let origin = DVec3::new(x, 0.0, roof_z);
    let height = top - roof_z;
    let shroud = ring(
        origin,
        DVec3::Z,
        &[
            (-0.10, radius - 0.03),
            (-0.10, radius + 0.02),
            (height, radius + 0.01),
            (height, radius - 0.03),
        ],
        12,
    );
    let hub = turned(origin, DVec3::Z, &[(-0.02, 0.17), (height - 0.03, 0.14)], 6);
    let floor = turned(
        origin,
        DVec3::Z,
        &[(-0.08, radius - 0.005), (0.012, radius - 0.005)],
        8,
    );
    let mut all = Mesh::of([shroud, hub, floor]);
    for k in 0..blades {
        all.add(&blade(
            origin,
            TAU * k as f64 / blades as f64,
            radius - 0.05,
            height,
        ));
    }
    for across in [-0.35, 0.35] {
        let reach = radius * (1.0_f64 - across * across).sqrt() - 0.01;
        let y = across * radius;
        all.add(&slab(
            [x - reach, y - 0.012, top - 0.028],
            [x + reach, y + 0.012, top - 0.006],
        ));
    }
    all
}

/// One twisted blade from the hub outward.
fn blade(origin: DVec3, angle: f64, reach: f64, height: f64) -> Mesh {
    let (sin, cos) = angle.sin_cos();
    let (outward, sideward) = (DVec3::new(cos, sin, 0.0), DVec3::new(-sin, cos, 0.0));
    let ring = |distance: f64, half: f64, rise: f64| -> Vec<DVec3> {
        let centre = origin + outward * distance + DVec3::Z * (0.45 * height);
        let chord = sideward * half + DVec3::Z * rise;
        let thick = DVec3::Z * 0.008;
        vec![
            centre - chord - thick,
            centre + chord - thick,
            centre + thick,
        ]
    };
    Solid::loft(&[ring(0.12, 0.07, 0.05), ring(reach, 0.13, 0.03)]).mesh()
}

/// An exhaust stack: a flared box with a sunk, dark mouth (its floor is part of it).
pub fn exhaust(x: f64, roof_z: f64, top: f64, half_length: f64, half_width: f64) -> Mesh {
    let section_at = |z: f64, grow: f64| -> Vec<DVec3> {
        let (l, w) = (half_length + grow, half_width + grow);
        [
            (l - 0.05, -w),
            (l, -w + 0.05),
            (l, w - 0.05),
            (l - 0.05, w),
            (-l + 0.05, w),
            (-l, w - 0.05),
            (-l, -w + 0.05),
            (-l + 0.05, -w),
        ]
        .map(|(dx, dy)| DVec3::new(x + dx, dy, z))
        .to_vec()
    };
    let mouth: Vec<DVec3> = [(1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)]
        .map(|(sx, sy)| DVec3::new(x + sx * (half_length - 0.05), sy * (half_width - 0.05), top))
        .to_vec();
    Solid::loft(&[
        section_at(roof_z - 0.05, 0.06),
        section_at(roof_z + 0.06, 0.0),
        section_at(top, 0.0),
    ])
    .pocket(&mouth, 0.10)
    .mesh()
}

/// A low hatch on the roof between `x.0` and `x.1`.
pub fn hatch(x: (f64, f64), half_width: f64, roof_z: f64, proud: f64) -> Mesh {
    slab(
        [x.0, -half_width, roof_z - 0.05],
        [x.1, half_width, roof_z + proud],
    )
}

/// A roof of flats over a hood: eaves at (`half_width`, `eaves`), flat top at `top`; begins `sunk` below the eaves.
pub fn hood_roof(
    half_width: f64,
    eaves: f64,
    top: f64,
    sunk: f64,
    x: (f64, f64),
    ease: f64,
) -> Mesh {
    let profile = |inset: f64| -> Vec<DVec2> {
        let half = half_width - inset;
        let right = [
            (half, eaves - sunk),
            (half, eaves + 0.015),
            (half - 0.10, eaves + 0.45 * (top - eaves)),
            (half - 0.26, eaves + 0.85 * (top - eaves)),
            (half - 0.42, top - inset),
        ];
        let left = right.iter().rev().map(|p| (-p.0, p.1));
        right.into_iter().chain(left).map(DVec2::from).collect()
    };
    Solid::loft(&[
        section(x.0, &profile(ease)),
        section(x.0 + ease, &profile(0.0)),
        section(x.1 - ease, &profile(0.0)),
        section(x.1, &profile(ease)),
    ])
    .mesh()
}
