//! Fuel tank and air reservoirs. May not enter: the frame that they hang from.

use super::super::shape::{Frame, Mesh, Solid, cylinder, panel, slab, turned};
use super::hood::section;
use glam::{DVec2, DVec3};

/// A fuel tank hung between x `rear` and `front`: flat sides, rounded lower edges, welded ends.
pub fn fuel_tank(x: (f64, f64), half_width: f64, bottom: f64, top: f64) -> Mesh {
    let profile = |inset: f64| -> Vec<DVec2> {
        let right = [
            (0.55 * half_width, bottom + inset),
            (0.80 * half_width, bottom + 0.06 + inset),
            (0.94 * half_width - 0.5 * inset, bottom + 0.20 + inset),
            (half_width - inset, bottom + 0.40),
            (half_width - inset, top - 0.07),
            (half_width - 0.05 - inset, top - inset),
        ];
        let left = right.iter().rev().map(|p| (-p.0, p.1));
        right.into_iter().chain(left).map(DVec2::from).collect()
    };
    Solid::loft(&[
        section(x.0, &profile(0.04)),
        section(x.0 + 0.04, &profile(0.0)),
        section(x.1 - 0.04, &profile(0.0)),
        section(x.1, &profile(0.04)),
    ])
    .mesh()
}

/// What sits on a tank's right flank: filler neck with cap, gauge, straps.
pub fn tank_fittings(x: (f64, f64), half_width: f64, z: (f64, f64)) -> Mesh {
    let flank = Frame::right(half_width);
    let at = x.0 + 0.62 * (x.1 - x.0);
    let neck = turned(
        DVec3::new(at, 0.72 * z.0 + 0.28 * z.1 + 0.28, -0.02),
        DVec3::new(0.0, 0.55, 1.0),
        &[
            (0.0, 0.06),
            (0.09, 0.06),
            (0.09, 0.075),
            (0.13, 0.075),
            (0.145, 0.0),
        ],
        6,
    );
    let gauge = panel(
        (at + 0.35, z.0 + 0.10),
        (at + 0.43, z.1 - 0.10),
        0.02,
        0.025,
        0.008,
    );
    let strap = |share: f64| {
        let along = x.0 + share * (x.1 - x.0);
        slab([along - 0.035, z.0, -0.02], [along + 0.035, z.1, 0.012])
    };
    Mesh::of([
        neck,
        gauge,
        strap(0.08),
        strap(0.36),
        strap(0.5),
        strap(0.92),
    ])
    .on(&flank)
}

/// A lying air reservoir on the right side, its ends domed, with two straps.
pub fn reservoir(x: (f64, f64), y: f64, z: f64, radius: f64) -> Mesh {
    let length = x.1 - x.0;
    let barrel = turned(
        DVec3::new(x.0, -y, z),
        DVec3::X,
        &[
            (0.0, 0.0),
            (0.02, 0.55 * radius),
            (0.09, radius),
            (length - 0.09, radius),
            (length - 0.02, 0.55 * radius),
            (length, 0.0),
        ],
        8,
    );
    let strap = |share: f64| {
        let along = x.0 + share * length;
        cylinder(
            DVec3::new(along - 0.025, -y, z),
            DVec3::new(along + 0.025, -y, z),
            radius + 0.016,
            8,
        )
    };
    Mesh::of([barrel, strap(0.2), strap(0.8)])
}
