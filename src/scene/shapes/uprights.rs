//! Poles, masts, signals and switch stands. May not enter: wires between them.

use super::build::{Build, bar, beam, block, cone, level, loft};
use super::{CONCRETE, IRON, ZINC};
use crate::scene::coat::{Coat, Finish};
use crate::units::rad;
use glam::DVec3;

const PORCELAIN: Coat = Coat::new(Finish::Paint, [0xb9, 0xb4, 0xa6]);
const LAMP_GLASS: Coat = Coat::new(Finish::Paint, [0xe2, 0xdf, 0xd2]);
const TIES: Coat = Coat::new(Finish::Timber, [0x4e, 0x42, 0x38]);
/// Lenses from the top: proceed, caution, stop.
const LENSES: [Coat; 3] = [
    Coat::new(Finish::Paint, [0x1d, 0x6b, 0x4b]),
    Coat::new(Finish::Paint, [0xa8, 0x7a, 0x1c]),
    Coat::new(Finish::Paint, [0x8e, 0x1d, 0x1a]),
];

/// A pole with its crossarms (2.4 m long, 0.6 m apart, the uppermost 0.3 m below the top), their braces and
/// insulators. Its shaft is the first solid.
pub fn pole(
    foot: DVec3,
    height_m: f64,
    diameter_m: f64,
    crossarms: usize,
    arms_bearing_deg: f64,
    wood: Coat,
) -> Build {
    let (sin, cos) = rad(arms_bearing_deg).sin_cos();
    let along = DVec3::new(sin, cos, 0.0);
    let mut build = Build::default();
    let (thick, thin) = (diameter_m / 2.0, diameter_m * 0.35);
    build.add(wood, cone(foot, foot + DVec3::Z * height_m, thick, thin));
    for arm in 0..crossarms {
        let up_m = height_m - 0.3 - 0.6 * arm as f64;
        // Arms are bolted to one face of the pole.
        let at = foot + DVec3::Z * up_m + along.cross(DVec3::Z) * (thin + 0.04);
        build.add(wood, beam(at - along * 1.2, at + along * 1.2, 0.09, 0.12));
        for aside_m in [-1.05, -0.45, 0.45, 1.05] {
            let pin = at + along * aside_m + DVec3::Z * 0.06;
            build.add(PORCELAIN, beam(pin, pin + DVec3::Z * 0.16, 0.07, 0.07));
        }
        for side in [-1.0, 1.0] {
            let low = at - DVec3::Z * 0.55;
            build.add(ZINC, beam(low, at + along * (side * 0.7), 0.02, 0.04));
        }
    }
    build
}

/// A mast on a foundation; with a lamp on an arm towards a bearing, if it carries one.
pub fn mast(
    foot: DVec3,
    height_m: f64,
    diameter_m: f64,
    lamp_bearing_deg: Option<f64>,
    paint: Coat,
) -> Build {
    let mut build = Build::default();
    let radius_m = diameter_m / 2.0;
    build.add(paint, bar(DVec3::ZERO, DVec3::Z * height_m, radius_m));
    let base_m = (radius_m * 2.0).max(0.2);
    let base_top_m = 0.25_f64.min(height_m);
    build.add(
        CONCRETE,
        block(
            DVec3::new(-base_m, -base_m, 0.0),
            DVec3::new(base_m, base_m, base_top_m),
        ),
    );
    if lamp_bearing_deg.is_some() && height_m > 3.0 {
        let at = |x: f64, below_m: f64| DVec3::new(x, 0.0, height_m - below_m);
        build.add(paint, bar(at(0.0, 0.55), at(1.5, 0.11), 0.035));
        let head = |x: f64, half_y: f64, below_m: f64| {
            [
                DVec3::new(x, -half_y, height_m - below_m),
                DVec3::new(x, half_y, height_m - below_m),
            ]
        };
        // Narrow and flat at the arm, wide in the middle.
        let ring = |x: f64, half_y: f64, depth_m: f64| {
            let [right, left] = head(x, half_y, 0.04 + depth_m);
            let [top_right, top_left] = head(x, half_y * 0.6, 0.04);
            [right, left, top_left, top_right]
        };
        build.add(paint, loft(ring(1.3, 0.08, 0.10), ring(1.65, 0.16, 0.16)));
        build.add(paint, loft(ring(1.65, 0.16, 0.16), ring(2.1, 0.12, 0.12)));
        let glass = block(
            at(1.6, 0.24) - DVec3::Y * 0.11,
            at(2.0, 0.16) + DVec3::Y * 0.11,
        );
        build.add(LAMP_GLASS, glass);
    }
    build.standing(foot, lamp_bearing_deg.unwrap_or(0.0))
}

/// A signal: a mast with heads of three hooded lights before a back plate, a ladder behind with a platform at
/// the heads, a case and a foundation at its foot. `facing_deg` is where its lights look.
pub fn signal(
    foot: DVec3,
    height_m: f64,
    diameter_m: f64,
    heads: usize,
    facing_deg: f64,
    paint: Coat,
) -> Build {
    let mut build = Build::default();
    let radius_m = diameter_m / 2.0;
    build.add(ZINC, bar(DVec3::ZERO, DVec3::Z * height_m, radius_m));
    let base = |half_m: f64, low_m: f64, top_m: f64| {
        block(
            DVec3::new(-half_m, -half_m, low_m.min(height_m)),
            DVec3::new(half_m, half_m, top_m.min(height_m)),
        )
    };
    build.add(CONCRETE, base(0.4, 0.0, 0.12));
    build.add(ZINC, base(0.26, 0.12, 0.95));
    let front_m = radius_m + 0.14;
    for number in 0..heads {
        let middle_m = height_m - 0.70 - 1.65 * number as f64;
        if middle_m < 1.2 && number > 0 {
            break; // no room left on the mast
        }
        head(&mut build, paint, front_m, middle_m);
    }
    let lowest_m = height_m - 1.4 - 1.65 * heads.saturating_sub(1) as f64;
    if lowest_m > 1.5 {
        let back_m = -radius_m - 0.28;
        for y in [-0.2, 0.2] {
            let rail = |z: f64| DVec3::new(back_m, y, z);
            build.add(ZINC, beam(rail(0.2), rail(height_m - 0.5), 0.05, 0.02));
        }
        let rungs = ((height_m - 0.8) / 0.45).clamp(1.0, 12.0) as usize;
        for rung in 0..rungs {
            let z = 0.4 + (height_m - 1.0) * rung as f64 / rungs as f64;
            let end = |y: f64| DVec3::new(back_m, y, z);
            build.add(ZINC, beam(end(-0.2), end(0.2), 0.025, 0.025));
        }
        let (low, high) = (lowest_m - 0.05, lowest_m);
        build.add(
            ZINC,
            block(
                DVec3::new(back_m - 0.45, -0.42, low),
                DVec3::new(back_m, 0.42, high),
            ),
        );
    }
    build.standing(foot, facing_deg)
}

/// One head, its lights looking ahead from `front_m`.
fn head(build: &mut Build, paint: Coat, front_m: f64, middle_m: f64) {
    let at = |x: f64, y: f64, z: f64| DVec3::new(x, y, middle_m + z);
    // The plate is an upright oblong with its corners cut off.
    let outline = [
        (-0.28, -0.45),
        (-0.16, -0.58),
        (0.16, -0.58),
        (0.28, -0.45),
        (0.28, 0.45),
        (0.16, 0.58),
        (-0.16, 0.58),
        (-0.28, 0.45),
    ];
    let plate = |x: f64| outline.map(|(y, z)| at(x, y, z));
    build.add(paint, loft(plate(front_m), plate(front_m + 0.02)));
    build.add(
        paint,
        block(at(front_m - 0.22, -0.15, -0.5), at(front_m, 0.15, 0.5)),
    );
    for (lens, z) in LENSES.into_iter().zip([0.34, 0.0, -0.34]) {
        let face = front_m + 0.02;
        build.add(lens, bar(at(face, 0.0, z), at(face + 0.02, 0.0, z), 0.105));
        // A hood: a roof and two cheeks over the light.
        let roof = block(at(face, -0.12, z + 0.105), at(face + 0.28, 0.12, z + 0.12));
        build.add(paint, roof);
        for side in [-0.12, 0.105] {
            let cheek = [
                at(face, side, z - 0.06),
                at(face + 0.03, side, z - 0.06),
                at(face + 0.28, side, z + 0.11),
                at(face, side, z + 0.11),
            ];
            let inner = cheek.map(|p| p + DVec3::Y * 0.015);
            // Seen from the left, where the second loop lies, counter-clockwise runs the other way round.
            let turned = |mut face: [DVec3; 4]| {
                face.reverse();
                face
            };
            build.add(paint, loft(turned(cheek), turned(inner)));
        }
    }
}

/// A switch stand: a stand on two ties, a rod, a lever, and a target that looks along the bearing.
pub fn switch_stand(foot: DVec3, height_m: f64, facing_deg: f64, paint: Coat) -> Build {
    let mut build = Build::default();
    let at = DVec3::new;
    build.add(IRON, bar(DVec3::ZERO, DVec3::Z * height_m, 0.022));
    for x in [-0.24, 0.24] {
        let top_m = 0.12_f64.min(height_m);
        let tie = block(at(x - 0.11, -0.6, 0.0), at(x + 0.11, 0.6, top_m));
        build.add(TIES, tie);
    }
    if height_m > 0.5 {
        let waist_m = (height_m * 0.55).min(0.75);
        build.add(
            IRON,
            loft(
                level(at(0.0, 0.0, 0.12), 0.22, 0.16),
                level(at(0.0, 0.0, waist_m), 0.08, 0.08),
            ),
        );
        build.add(
            IRON,
            bar(at(0.0, 0.05, waist_m - 0.08), at(0.0, 0.62, 0.22), 0.02),
        );
        let disc_m = height_m - 0.17;
        build.add(
            paint,
            bar(at(-0.01, 0.0, disc_m), at(0.01, 0.0, disc_m), 0.16),
        );
        let lower_m = (disc_m - 0.30).max(waist_m);
        let white = Coat::new(Finish::Paint, [0xd8, 0xd5, 0xca]);
        let blade = block(at(-0.15, -0.01, lower_m), at(0.15, 0.01, lower_m + 0.14));
        build.add(white, blade);
    }
    build.standing(foot, facing_deg)
}
