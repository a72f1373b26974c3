//! The tank car. May not enter: running gear.

use super::gear::{DARK, ladder, running_gear, toned};
use crate::mesh::solid::Solid;
use crate::scene::coat::Coat;
use crate::scene::shapes::build::{Build, bar, beam, block, loft};
use glam::DVec3;
use std::f64::consts::TAU;

/// Sides of the polygon that stands for the shell.
const SIDES: usize = 20;
const AXIS_Z_M: f64 = 2.45;
const RADIUS_M: f64 = 1.42;

fn at(x: f64, y: f64, z: f64) -> DVec3 {
    DVec3::new(x, y, z)
}

/// A stretch of shell that may narrow.
fn shell(from: (f64, f64), to: (f64, f64)) -> Solid {
    let ring = |(x, radius): (f64, f64)| {
        (0..SIDES).map(move |i| {
            let (sin, cos) = (TAU * i as f64 / SIDES as f64).sin_cos();
            at(x, radius * cos, AXIS_Z_M + radius * sin)
        })
    };
    loft(ring(from), ring(to))
}

/// A tank with dished ends on a stub frame: saddles, bands, a manway under a railed platform, ladders, a
/// handrail along each side.
pub fn tank_car(build: &mut Build, half_m: f64, paint: Coat) {
    running_gear(build, half_m, half_m - 2.6, &[-0.88, 0.88]);
    let body = half_m - 0.75;
    let straight = body - 1.15;
    build.add(paint, shell((-straight, RADIUS_M), (straight, RADIUS_M)));
    for end in [-1.0, 1.0] {
        // A dished end in two steps.
        let steps = [
            (straight, RADIUS_M),
            (straight + 0.34, 1.22),
            (straight + 0.52, 0.72),
        ];
        for pair in steps.windows(2) {
            let [near, far] = [pair[0], pair[1]].map(|(x, radius)| (end * x, radius));
            build.add(
                paint,
                if end > 0.0 {
                    shell(near, far)
                } else {
                    shell(far, near)
                },
            );
        }
        let x = end * (half_m - 2.6);
        let seam = toned(paint, 0.85);
        build.add(
            seam,
            shell((x - 0.07, RADIUS_M + 0.012), (x + 0.07, RADIUS_M + 0.012)),
        );
        // The saddle, wide at the shell.
        let level = |half_y: f64, z: f64| {
            [
                at(x - 0.35, -half_y, z),
                at(x + 0.35, -half_y, z),
                at(x + 0.35, half_y, z),
                at(x - 0.35, half_y, z),
            ]
        };
        build.add(DARK, loft(level(0.5, 0.95), level(1.15, 1.75)));
        // The stub of the frame with a platform over the coupler.
        let (a, b) = (end * (straight - 2.6), end * body);
        build.add(DARK, block(at(a, -0.33, 0.72), at(b, 0.33, 1.06)));
        let (a, b) = (end * (body - 0.75), end * body);
        build.add(DARK, block(at(a, -1.45, 1.06), at(b, 1.45, 1.14)));
        let rail_x = end * (body - 0.06);
        for y in [-1.4, 1.4] {
            build.add(
                DARK,
                beam(at(rail_x, y, 1.1), at(rail_x, y, 2.2), 0.05, 0.05),
            );
        }
        build.add(
            DARK,
            beam(at(rail_x, -1.4, 2.18), at(rail_x, 1.4, 2.18), 0.05, 0.05),
        );
        for side in [-1.0, 1.0] {
            let span = [end * body, end * (body - 0.45)];
            ladder(build, span, side * 1.4, [0.5, 0.85], 2, DARK);
        }
    }
    manway(build, paint);
    for side in [-1.0, 1.0] {
        let y = side * 1.52;
        let rail = |x: f64| at(x, y, 2.30);
        build.add(
            DARK,
            bar(rail(-straight - 0.2), rail(straight + 0.2), 0.022),
        );
    }
}

/// The manway on top with its platform, railing and the ladders that lead there.
fn manway(build: &mut Build, paint: Coat) {
    let top_z = AXIS_Z_M + RADIUS_M;
    build.add(
        paint,
        bar(at(0.0, 0.0, top_z - 0.1), at(0.0, 0.0, 4.34), 0.42),
    );
    build.add(
        toned(paint, 1.15),
        bar(at(0.0, 0.0, 4.34), at(0.0, 0.0, 4.42), 0.46),
    );
    for side in [-1.0, 1.0] {
        let (a, b) = (side * 0.5, side * 1.25);
        build.add(DARK, block(at(-1.1, a, 3.80), at(1.1, b, 3.85)));
        let y = side * 1.22;
        for x in [-1.08, 1.08] {
            build.add(DARK, beam(at(x, y, 3.82), at(x, y, 4.62), 0.04, 0.04));
        }
        for z in [4.22, 4.60] {
            build.add(DARK, beam(at(-1.08, y, z), at(1.08, y, z), 0.04, 0.04));
        }
        for x in [-0.26, 0.26] {
            // The ladder bows round the shell's widest place.
            build.add(
                DARK,
                beam(at(x, side * 1.50, 0.7), at(x, side * 1.50, 3.0), 0.05, 0.04),
            );
            build.add(
                DARK,
                beam(at(x, side * 1.50, 3.0), at(x, y, 3.82), 0.05, 0.04),
            );
        }
        ladder(build, [-0.26, 0.26], side * 1.45, [0.75, 2.95], 7, DARK);
    }
}
