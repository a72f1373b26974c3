//! A neutral standing figure. May not enter: who it is.

use super::build::{Build, cone, loft, round};
use crate::scene::coat::{Coat, Finish};
use glam::DVec3;

const SKIN: Coat = Coat::new(Finish::Skin, [0xa8, 0x7c, 0x62]);
const HAIR: Coat = Coat::new(Finish::Cloth, [0x3a, 0x30, 0x28]);
const TROUSERS: Coat = Coat::new(Finish::Cloth, [0x3c, 0x42, 0x50]);
const SHOES: Coat = Coat::new(Finish::Cloth, [0x26, 0x22, 0x20]);

/// Somebody who stands and looks towards a bearing, arms at the sides. Proportions of a grown body, common
/// practice of figure drawing: seven and a half heads tall, the fork at half the height.
pub fn person(foot: DVec3, height_m: f64, bearing_deg: f64, jacket: Coat) -> Build {
    let at = |x: f64, y: f64, z: f64| DVec3::new(x, y, z) * height_m;
    let thick = |share: f64| share * height_m;
    let mut build = Build::default();
    for side in [-1.0, 1.0] {
        let y = side * 0.052;
        let (hip, knee, ankle) = (at(0.0, y, 0.50), at(0.004, y, 0.27), at(-0.004, y, 0.035));
        build.add(TROUSERS, cone(knee, hip, thick(0.036), thick(0.050)));
        build.add(TROUSERS, cone(ankle, knee, thick(0.027), thick(0.036)));
        let shoe = |half_y: f64, z: f64, toe: f64| {
            [
                at(-0.035, y - half_y, z),
                at(toe, y - half_y * 0.8, z),
                at(toe, y + half_y * 0.8, z),
                at(-0.035, y + half_y, z),
            ]
        };
        build.add(
            SHOES,
            loft(shoe(0.027, 0.0, 0.115), shoe(0.022, 0.045, 0.06)),
        );
        let (shoulder, elbow) = (at(0.0, side * 0.113, 0.785), at(-0.012, side * 0.145, 0.63));
        let wrist = at(0.022, side * 0.140, 0.49);
        build.add(jacket, cone(elbow, shoulder, thick(0.026), thick(0.031)));
        build.add(jacket, round(shoulder, thick(0.032), thick(0.032)));
        build.add(jacket, cone(wrist, elbow, thick(0.020), thick(0.026)));
        build.add(
            SKIN,
            round(at(0.028, side * 0.138, 0.462), thick(0.021), thick(0.032)),
        );
    }
    // Eight corners: a rounded trunk, widest at the shoulders.
    let ring = |half_x: f64, half_y: f64, z: f64| {
        [
            (-0.5, -1.0),
            (0.5, -1.0),
            (1.0, -0.6),
            (1.0, 0.6),
            (0.5, 1.0),
            (-0.5, 1.0),
            (-1.0, 0.6),
            (-1.0, -0.6),
        ]
        .map(|(x, y)| at(x * half_x, y * half_y, z))
    };
    build.add(
        TROUSERS,
        loft(ring(0.056, 0.094, 0.485), ring(0.054, 0.090, 0.56)),
    );
    build.add(
        jacket,
        loft(ring(0.062, 0.096, 0.53), ring(0.064, 0.114, 0.765)),
    );
    build.add(
        jacket,
        loft(ring(0.064, 0.114, 0.765), ring(0.042, 0.060, 0.838)),
    );
    build.add(
        SKIN,
        cone(
            at(0.0, 0.0, 0.82),
            at(0.006, 0.0, 0.88),
            thick(0.034),
            thick(0.032),
        ),
    );
    build.add(
        SKIN,
        round(at(0.008, 0.0, 0.925), thick(0.045), thick(0.066)),
    );
    build.add(
        HAIR,
        round(at(-0.004, 0.0, 0.950), thick(0.047), thick(0.050)),
    );
    build.standing(foot, bearing_deg)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_stands_on_its_feet_and_is_as_tall_as_asked() {
        let build = person(DVec3::new(5.0, 6.0, -0.5), 1.8, 120.0, Coat::default());
        let corners: Vec<DVec3> = (build.solids.iter())
            .flat_map(|solid| solid.convex().corners)
            .collect();
        let ends = |pick: fn(f64, f64) -> f64, start: f64, of: fn(&DVec3) -> f64| {
            corners.iter().map(of).fold(start, pick)
        };
        assert!((ends(f64::min, f64::INFINITY, |p| p.z) + 0.5).abs() < 1e-9);
        assert!((ends(f64::max, f64::NEG_INFINITY, |p| p.z) - 1.3).abs() < 1e-9);
        // Nobody is wider than a third of their height.
        assert!(corners.iter().all(|p| (p.x - 5.0).hypot(p.y - 6.0) < 0.33));
    }
}
