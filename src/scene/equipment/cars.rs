//! Closed cars: the boxcar and the covered hopper. May not enter: running gear.

use super::gear::{DARK, ladder, places, ribs, running_gear, toned};
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::build::{Build, across, block, extruded};
use glam::DVec3;

const ROOF: Coat = Coat::new(Finish::Steel, [0x84, 0x82, 0x7c]);

fn at(x: f64, y: f64, z: f64) -> DVec3 {
    DVec3::new(x, y, z)
}

/// A closed car with ribbed sides, a sliding door in the middle of each, corrugated ends.
pub fn boxcar(build: &mut Build, half_m: f64, paint: Coat) {
    running_gear(build, half_m, half_m - 2.6, &[-0.88, 0.88]);
    let (body, face) = (half_m - 0.75, 1.47);
    build.add(DARK, block(at(-body, -0.35, 0.72), at(body, 0.35, 1.05)));
    build.add(paint, block(at(-body, -face, 1.06), at(body, face, 4.30)));
    // A side sill hangs below the floor, deepest between the trucks.
    let deep = 0.45 * body;
    let sill = [
        (-body, 1.02),
        (-deep, 0.82),
        (deep, 0.82),
        (body, 1.02),
        (body, 1.16),
        (-body, 1.16),
    ];
    for y in [-face - 0.03, face - 0.05] {
        build.add(paint, across(&sill, y, y + 0.08));
    }
    let roof = [
        (-1.50, 4.29),
        (1.50, 4.29),
        (1.50, 4.35),
        (0.0, 4.53),
        (-1.50, 4.35),
    ];
    build.add(ROOF, extruded(&roof, -body - 0.04, body + 0.04));
    for x in places(-body + 1.4, body - 1.4, 5) {
        let seam = [
            (-1.45, 4.33),
            (1.45, 4.33),
            (1.45, 4.385),
            (0.0, 4.565),
            (-1.45, 4.385),
        ];
        build.add(ROOF, extruded(&seam, x - 0.04, x + 0.04));
    }
    let left = places(-body + 0.06, -1.75, 5);
    let right = places(1.75, body - 0.06, 5);
    ribs(
        build,
        left.chain(right),
        0.055,
        [face, 1.54],
        [1.15, 4.28],
        paint,
    );
    door(build, face, paint);
    for end in [-1.0, 1.0] {
        for z in places(1.40, 4.00, 5) {
            let (a, b) = (end * (body - 0.02), end * (body + 0.05));
            build.add(paint, block(at(a, -1.38, z - 0.12), at(b, 1.38, z + 0.12)));
        }
        for side in [-1.0, 1.0] {
            let x = end * body;
            let span = [x, x - end * 0.5];
            ladder(
                build,
                span,
                side * 1.53,
                [1.3, if end > 0.0 { 3.9 } else { 2.2 }],
                4,
                DARK,
            );
        }
    }
}

/// Doors of a boxcar with their rails and bars.
fn door(build: &mut Build, face: f64, paint: Coat) {
    let tone = toned(paint, 0.88);
    for side in [-1.0, 1.0] {
        let plate = |x: [f64; 2], out: f64, z: [f64; 2]| {
            let (a, b) = (side * (face - 0.02), side * out);
            block(at(x[0], a, z[0]), at(x[1], b, z[1]))
        };
        build.add(tone, plate([-1.55, 1.55], 1.53, [1.18, 4.18]));
        build.add(paint, plate([-1.7, 3.4], 1.56, [1.10, 1.20]));
        build.add(paint, plate([-1.7, 3.4], 1.56, [4.14, 4.24]));
        for z in [1.9, 2.7, 3.5] {
            build.add(tone, plate([-1.5, 1.5], 1.555, [z - 0.06, z + 0.06]));
        }
        build.add(DARK, plate([1.15, 1.21], 1.58, [1.3, 4.1]));
    }
}

/// A covered hopper: ribbed sides over three bays, slope sheets and open ends, hatches along the roof.
pub fn hopper(build: &mut Build, half_m: f64, paint: Coat) {
    running_gear(build, half_m, half_m - 2.6, &[-0.88, 0.88]);
    let (body, face) = (half_m - 0.75, 1.50);
    build.add(paint, block(at(-body, -0.33, 0.78), at(body, 0.33, 1.10)));
    // Side view: the ends slope inward from the roof's corners down to the bays.
    let (top, low) = (body - 0.35, body - 3.0);
    let shell = [
        (-low, 1.55),
        (low, 1.55),
        (top, 3.45),
        (top, 4.18),
        (-top, 4.18),
        (-top, 3.45),
    ];
    build.add(paint, across(&shell, -face, face));
    let roof = [
        (-1.50, 4.16),
        (1.50, 4.16),
        (1.35, 4.32),
        (0.8, 4.40),
        (-0.8, 4.40),
        (-1.35, 4.32),
    ];
    build.add(toned(paint, 1.06), extruded(&roof, -top, top));
    build.add(
        toned(paint, 0.8),
        block(at(-top + 0.5, -0.33, 4.38), at(top - 0.5, 0.33, 4.52)),
    );
    for y in [-0.95, 0.62] {
        build.add(ROOF, block(at(-body, y, 4.44), at(body, y + 0.33, 4.48)));
    }
    for x in [-low + 1.75, 0.0, low - 1.75] {
        // Bays narrow downward to their gates.
        let bay = [
            (x - 1.65, 1.57),
            (x - 0.35, 0.52),
            (x + 0.35, 0.52),
            (x + 1.65, 1.57),
        ];
        build.add(paint, across(&bay, -1.05, 1.05));
        build.add(
            DARK,
            block(at(x - 0.42, -0.75, 0.40), at(x + 0.42, 0.75, 0.54)),
        );
    }
    ribs(
        build,
        places(-low + 0.1, low - 0.1, 9),
        0.05,
        [face, 1.58],
        [1.6, 4.15],
        paint,
    );
    for side in [-1.0, 1.0] {
        let (a, b) = (side * 1.42, side * 1.55);
        let (near, far) = (a, b);
        build.add(paint, block(at(-body, near, 0.98), at(body, far, 1.16)));
        build.add(paint, block(at(-top, near, 4.08), at(top, far, 4.2)));
        build.add(paint, block(at(-low, near, 1.50), at(low, far, 1.62)));
    }
    for end in [-1.0, 1.0] {
        let (a, b) = (end * (body - 1.5), end * body);
        build.add(paint, block(at(a, -1.5, 1.02), at(b, 1.5, 1.12)));
        for side in [-1.0, 1.0] {
            let x = end * (body - 0.1);
            let (near, far) = (side * 1.40, side * 1.5);
            // Corner posts up to the roof, and stays in the open end.
            build.add(
                paint,
                block(at(x - 0.06, near, 1.1), at(x + 0.06, far, 4.2)),
            );
            let inner = end * (body - 1.6);
            build.add(
                paint,
                block(at(inner - 0.05, near, 1.1), at(inner + 0.05, far, 2.4)),
            );
            let span = [x, x - end * 0.5];
            ladder(build, span, side * 1.5, [1.4, 3.9], 6, DARK);
        }
        let (a, b) = (end * (top - 0.02), end * (top + 0.06));
        let beam = block(at(a, -1.4, 3.5), at(b, 1.4, 3.62));
        build.add(paint, beam);
    }
}
