//! Another six-axle hood unit, standing by. May not enter: the machine that is portrayed (that is a model).

use super::gear::{DARK, places, running_gear, toned};
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::build::{Build, across, bar, beam, block, extruded};
use glam::DVec3;

const GLASS: Coat = Coat::new(Finish::Paint, [0x20, 0x28, 0x2c]);
const GRILLE: Coat = Coat::new(Finish::Paint, [0x2a, 0x28, 0x26]);
const RAIL: Coat = Coat::new(Finish::Paint, [0xb8, 0xb0, 0x98]);
const LAMP: Coat = Coat::new(Finish::Paint, [0xd8, 0xd6, 0xcc]);

fn at(x: f64, y: f64, z: f64) -> DVec3 {
    DVec3::new(x, y, z)
}

/// A plate on both faces of a body whose half width is `face_m`, so far before it.
fn both(build: &mut Build, coat: Coat, x: [f64; 2], [face_m, proud_m]: [f64; 2], z: [f64; 2]) {
    for side in [-1.0, 1.0] {
        let (a, b) = (side * (face_m - 0.02), side * (face_m + proud_m));
        build.add(coat, block(at(x[0], a, z[0]), at(x[1], b, z[1])));
    }
}

/// A long hood with doors and grilles, a cab, a short hood with a sloping top, walkways with handrails,
/// a fuel tank, fans and an exhaust on the roof.
pub fn hood_unit(build: &mut Build, half_m: f64, paint: Coat) {
    running_gear(build, half_m, 6.63, &[-1.9, 0.0, 1.9]);
    let body = half_m - 0.75;
    let hood = toned(paint, 1.06);
    // The frame with its deck, deepest in the middle; the tank between the trucks.
    build.add(paint, block(at(-body, -1.52, 1.38), at(body, 1.52, 1.60)));
    build.add(DARK, block(at(-body, -1.2, 1.0), at(body, 1.2, 1.40)));
    let tank = [
        (-1.35, 0.70),
        (-0.9, 0.42),
        (0.9, 0.42),
        (1.35, 0.70),
        (1.35, 1.2),
        (-1.35, 1.2),
    ];
    build.add(DARK, extruded(&tank, -3.2, 3.2));
    let (rear, front, nose) = (-body + 0.9, 5.1, body - 0.95);
    let section = [
        (-0.92, 1.58),
        (0.92, 1.58),
        (0.92, 3.95),
        (0.7, 4.18),
        (-0.7, 4.18),
        (-0.92, 3.95),
    ];
    build.add(hood, extruded(&section, rear, front));
    for x in places(rear + 1.1, front - 1.1, 6) {
        both(build, hood, [x - 0.75, x + 0.75], [0.92, 0.02], [1.75, 3.1]);
    }
    both(
        build,
        GRILLE,
        [rear + 0.2, rear + 3.0],
        [0.92, 0.025],
        [3.2, 3.85],
    );
    both(
        build,
        GRILLE,
        [front - 2.2, front - 0.5],
        [0.92, 0.025],
        [3.25, 3.8],
    );
    for x in places(rear + 0.9, rear + 3.3, 3) {
        build.add(GRILLE, bar(at(x, 0.0, 4.17), at(x, 0.0, 4.30), 0.52));
    }
    build.add(DARK, block(at(0.4, -0.25, 4.17), at(1.3, 0.25, 4.42)));
    cab(build, front, hood);
    let short = [
        (7.2, 1.58),
        (nose, 1.58),
        (nose, 2.80),
        (nose - 0.25, 3.05),
        (7.2, 3.30),
    ];
    build.add(hood, across(&short, -0.92, 0.92));
    for x in [nose, rear] {
        let out = if x > 0.0 { 0.04 } else { -0.04 };
        let z = if x > 0.0 { 2.5 } else { 3.6 };
        let low = at(x - out, -0.28, z - 0.1);
        build.add(LAMP, block(low, at(x + out, 0.28, z + 0.1)));
    }
    ends_and_rails(build, body, paint);
}

fn cab(build: &mut Build, from_x: f64, paint: Coat) {
    let roof = [
        (-1.53, 1.58),
        (1.53, 1.58),
        (1.53, 4.12),
        (1.0, 4.44),
        (-1.0, 4.44),
        (-1.53, 4.12),
    ];
    build.add(paint, extruded(&roof, from_x - 0.05, from_x + 2.2));
    for x in [from_x + 0.3, from_x + 1.2] {
        both(build, GLASS, [x, x + 0.7], [1.53, 0.015], [3.1, 3.8]);
    }
    for (x, out) in [(from_x + 2.2, 0.015), (from_x - 0.05, -0.015)] {
        for y in [-1.4, 0.45] {
            let low = at(x - out, y, 3.3);
            build.add(GLASS, block(low, at(x + out, y + 0.95, 3.95)));
        }
    }
    build.add(
        DARK,
        beam(
            at(from_x + 0.6, 0.0, 4.52),
            at(from_x + 1.1, 0.0, 4.52),
            0.3,
            0.16,
        ),
    );
}

/// Pilots, steps and handrails.
fn ends_and_rails(build: &mut Build, body: f64, paint: Coat) {
    for end in [-1.0, 1.0] {
        let (a, b) = (end * (body - 0.12), end * body);
        build.add(paint, block(at(a, -1.5, 0.35), at(b, 1.5, 1.40)));
        let x = end * (body - 0.05);
        for y in [-1.45, -0.55, 0.55, 1.45] {
            build.add(RAIL, beam(at(x, y, 1.55), at(x, y, 2.6), 0.035, 0.035));
        }
        build.add(
            RAIL,
            beam(at(x, -1.45, 2.6), at(x, 1.45, 2.6), 0.035, 0.035),
        );
        for side in [-1.0, 1.0] {
            for (k, z) in [0.5, 0.95].into_iter().enumerate() {
                let inner = end * (body - 0.75 + 0.15 * k as f64);
                let outer = end * (body - 0.15);
                let (c, d) = (side * 1.2, side * 1.53);
                build.add(DARK, block(at(inner, c, z), at(outer, d, z + 0.04)));
            }
        }
    }
    for side in [-1.0, 1.0] {
        let y = side * 1.47;
        for x in places(-body + 0.8, 4.6, 6) {
            build.add(RAIL, beam(at(x, y, 1.58), at(x, y, 2.62), 0.035, 0.035));
        }
        build.add(
            RAIL,
            beam(at(-body + 0.8, y, 2.62), at(4.9, y, 2.62), 0.035, 0.035),
        );
    }
}
