//! Rails, ties and ballast of a track as solids. May not enter: the ground beside it.

use super::stage::StageKind;
use crate::mesh::solid::Solid;
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::build::chance;
use crate::scene::track::Track;
use glam::DVec2;

/// Tracks are drawn with ties this far from the machine.
const TIES_REACH_M: f64 = 60.0;
/// Height of the ballast's crown, between the ties.
const CROWN_M: f64 = -0.22;
/// A rail's parts in its section, from common practice for heavy rail, from memory: width, underside, top.
const RAIL: [[f64; 3]; 3] = [
    [0.07, -0.05, 0.0],
    [0.02, -0.155, -0.05],
    [0.14, -0.18, -0.155],
];
/// From one tie to the next.
pub const TIE_SPACING_M: f64 = 0.55;
/// From a track's middle to its ties' ends.
pub const TIE_HALF_M: f64 = 1.3;

const BALLAST: Coat = Coat::new(Finish::Gravel, [142, 136, 128]);
const TIES: Coat = Coat::new(Finish::Timber, [78, 64, 54]);
const STEEL: Coat = Coat::new(Finish::Steel, [96, 82, 74]);

/// Ballast, ties and rails of one track; ties only near a place.
pub fn solids(track: &Track, near: DVec2) -> [(StageKind, Coat, Vec<Solid>); 3] {
    let (mut ballast, mut ties, mut rails) = (vec![], vec![], vec![]);
    for ends in track.points_m.windows(2) {
        let piece = Piece::between(ends[0], ends[1]);
        ballast.push(piece.ballast(track.ground_below_rail_m));
        for side in [-1.0, 1.0] {
            // The gauge is measured between the heads.
            let offset_m = side * (track.gauge_m + RAIL[0][0]) / 2.0;
            rails.extend(RAIL.map(|part| piece.rail(part, offset_m)));
        }
        ties.extend(piece.ties(near));
    }
    [
        (StageKind::Ballast, BALLAST, ballast),
        (StageKind::Tie, TIES, ties),
        (StageKind::Rail, STEEL, rails),
    ]
}

/// A straight piece of track.
struct Piece {
    a: DVec2,
    b: DVec2,
    along: DVec2,
    left: DVec2,
}

impl Piece {
    fn between(a: DVec2, b: DVec2) -> Piece {
        let along = (b - a).normalize_or(DVec2::X);
        Piece {
            a,
            b,
            along,
            left: along.perp(),
        }
    }

    /// Shoulders slope at about 1 : 2 from beside the ties down to the ground.
    fn ballast(&self, ground_below_rail_m: f64) -> Solid {
        Solid::Bank {
            a: self.a,
            b: self.b,
            crown_half_m: 1.6,
            foot_half_m: 1.6 + 2.0 * (ground_below_rail_m + CROWN_M).max(0.05),
            bottom_m: -ground_below_rail_m - 0.02,
            top_m: CROWN_M,
        }
    }

    fn rail(&self, [width_m, bottom_m, top_m]: [f64; 3], offset_m: f64) -> Solid {
        let half = width_m / 2.0;
        let corners = [
            (self.a, -half),
            (self.b, -half),
            (self.b, half),
            (self.a, half),
        ];
        Solid::Prism {
            footprint: corners
                .map(|(p, side)| p + self.left * (side + offset_m))
                .to_vec(),
            bottom_m,
            top_m,
        }
    }

    /// Ties as they lie: no two end alike, none quite square.
    fn ties(&self, near: DVec2) -> impl Iterator<Item = Solid> {
        let count = (self.a.distance(self.b) / TIE_SPACING_M) as usize;
        (0..count).filter_map(move |i| {
            let middle = self.a + self.along * (i as f64 + 0.5) * TIE_SPACING_M;
            if middle.distance(near) >= TIES_REACH_M {
                return None;
            }
            // Between −1 and 1.
            let varied = |seed: usize| 2.0 * chance(self.a.extend(0.0), 4 * i + seed) - 1.0;
            let end = |side: f64, seed: usize| {
                let askew = self.along * (0.02 * side * varied(seed));
                let low_m = -0.27 + 0.008 * varied(3);
                (middle + self.left * side * (TIE_HALF_M + 0.04 * varied(seed)) + askew)
                    .extend(low_m)
            };
            Some(Solid::Beam {
                a: end(-1.0, 0),
                b: end(1.0, 1),
                width_m: 0.23 + 0.012 * varied(2),
                height_m: 0.18,
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rails_lie_the_gauge_apart_with_their_heads_at_height_zero() {
        let track = Track {
            name: "siding".into(),
            points_m: vec![DVec2::ZERO, DVec2::new(0.0, 40.0)],
            gauge_m: 1.435,
            ground_below_rail_m: 0.6,
        };
        let [ballast, ties, rails] = solids(&track, DVec2::new(0.0, 20.0));
        let heads = rails.2.iter().flat_map(|one| one.convex().corners);
        let heads: Vec<_> = heads.filter(|p| p.z > -1e-9).collect();
        assert!(heads.iter().all(|p| p.z.abs() < 1e-9));
        let inner = heads
            .iter()
            .map(|p| p.x.abs())
            .fold(f64::INFINITY, f64::min);
        assert!((2.0 * inner - 1.435).abs() < 1e-9);
        assert_eq!(ties.2.len(), 72, "every 0.55 m of 40 m");
        let foot = ballast.2[0].convex().corners;
        assert!(
            foot.iter().any(|p| p.z < -0.6),
            "it reaches into the ground"
        );
    }
}
