//! Open cars: the flat car and the gondola. May not enter: running gear.

use super::gear::{DARK, ladder, places, ribs, running_gear, toned};
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::build::{Build, across, bar, block};
use glam::DVec3;

const DECK: Coat = Coat::new(Finish::Timber, [0x7c, 0x6c, 0x58]);

fn at(x: f64, y: f64, z: f64) -> DVec3 {
    DVec3::new(x, y, z)
}

/// A deck of planks on deep side sills with stake pockets, a hand brake at one end.
pub fn flat_car(build: &mut Build, half_m: f64, paint: Coat) {
    running_gear(build, half_m, half_m - 2.6, &[-0.88, 0.88]);
    let body = half_m - 0.75;
    build.add(DECK, block(at(-body, -1.45, 1.08), at(body, 1.45, 1.15)));
    build.add(DARK, block(at(-body, -0.35, 0.62), at(body, 0.35, 1.08)));
    let (deep, straight) = (0.30 * body, 0.62 * body);
    let sill = [
        (-body, 0.84),
        (-straight, 0.80),
        (-deep, 0.52),
        (deep, 0.52),
        (straight, 0.80),
        (body, 0.84),
        (body, 1.14),
        (-body, 1.14),
    ];
    for y in [-1.47, 1.39] {
        build.add(paint, across(&sill, y, y + 0.08));
    }
    ribs(
        build,
        places(-body + 0.5, body - 0.5, 13),
        0.06,
        [1.47, 1.54],
        [0.86, 1.10],
        paint,
    );
    for end in [-1.0, 1.0] {
        let (a, b) = (end * (body - 0.06), end * (body + 0.04));
        build.add(paint, block(at(a, -1.47, 0.78), at(b, 1.47, 1.17)));
        for side in [-1.0, 1.0] {
            let x = end * (body - 0.05);
            let span = [x, x - end * 0.4];
            ladder(build, span, side * 1.48, [0.45, 0.75], 2, DARK);
        }
    }
    // The hand brake's wheel on its staff.
    let staff = at(body - 0.15, -0.6, 1.1);
    build.add(DARK, bar(staff, staff + DVec3::Z * 0.85, 0.025));
    let wheel = staff + DVec3::Z * 0.85;
    build.add(DARK, bar(wheel, wheel + DVec3::Z * 0.03, 0.25));
}

/// An open car with ribbed sides, a top chord and ribbed ends.
pub fn gondola(build: &mut Build, half_m: f64, paint: Coat) {
    running_gear(build, half_m, half_m - 2.6, &[-0.88, 0.88]);
    let (body, face) = (half_m - 0.75, 1.46);
    build.add(DARK, block(at(-body, -0.35, 0.72), at(body, 0.35, 1.05)));
    build.add(
        toned(paint, 0.8),
        block(at(-body, -face, 1.02), at(body, face, 1.12)),
    );
    let (deep, straight) = (0.55 * body, 0.68 * body);
    // The sides reach lowest between the trucks.
    let side = [
        (-body, 1.0),
        (-straight, 1.0),
        (-deep, 0.72),
        (deep, 0.72),
        (straight, 1.0),
        (body, 1.0),
        (body, 2.50),
        (-body, 2.50),
    ];
    for y in [-face, face - 0.07] {
        build.add(paint, across(&side, y, y + 0.07));
    }
    ribs(
        build,
        places(-body + 0.08, body - 0.08, 13),
        0.065,
        [face, 1.55],
        [1.0, 2.45],
        paint,
    );
    for side in [-1.0, 1.0] {
        let (a, b) = (side * (face - 0.12), side * 1.56);
        build.add(paint, block(at(-body, a, 2.44), at(body, b, 2.56)));
        let (a, b) = (side * (face - 0.02), side * 1.55);
        build.add(paint, block(at(-deep, a, 0.70), at(deep, b, 0.80)));
    }
    for end in [-1.0, 1.0] {
        let plate = |from: f64, to: f64, half_y: f64, z: [f64; 2]| {
            let (a, b) = (end * from, end * to);
            block(at(a, -half_y, z[0]), at(b, half_y, z[1]))
        };
        build.add(paint, plate(body - 0.07, body, face, [1.0, 2.50]));
        for z in [1.3, 1.65, 2.0, 2.35] {
            build.add(
                paint,
                plate(body - 0.02, body + 0.06, 1.36, [z - 0.07, z + 0.07]),
            );
        }
        for side in [-1.0, 1.0] {
            let x = end * (body - 0.2);
            let span = [x, x - end * 0.45];
            ladder(build, span, side * 1.55, [1.2, 2.3], 4, DARK);
        }
    }
}
