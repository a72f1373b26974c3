//! What grows: crowns of three kinds within the bounds that a file states, trunks, bushes, weeds.
//! May not enter: how much light they stop.

use super::build::{Build, chance, cone, loft, round};
use crate::mesh::solid::Solid;
use crate::scene::coat::{Coat, Finish};
use glam::DVec3;
use std::f64::consts::TAU;

/// The golden angle, π·(3 − √5), as leaves stand about a stem: no two limbs or blades stand over one another
/// (H. Vogel, Mathematical Biosciences 44, 1979). Sighting, which the scene does not know, has one of its own.
const GOLDEN_ANGLE_RAD: f64 = 2.399_963_229_728_653;

/// What a tree looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TreeKind {
    /// A round crown of heaped masses of leaves.
    Broadleaf,
    /// Tiers that narrow to a point.
    Conifer,
    /// A slim column.
    Poplar,
}

impl TreeKind {
    /// Every kind with its word in scene files.
    pub const WORDS: [(&'static str, TreeKind); 3] = [
        ("broadleaf", TreeKind::Broadleaf),
        ("conifer", TreeKind::Conifer),
        ("poplar", TreeKind::Poplar),
    ];

    /// Its usual summer coat.
    pub fn coat(self) -> Coat {
        match self {
            TreeKind::Broadleaf => Coat::new(Finish::Leaves, [0x4b, 0x62, 0x38]),
            TreeKind::Conifer => Coat::new(Finish::Needles, [0x35, 0x4a, 0x38]),
            TreeKind::Poplar => Coat::new(Finish::Leaves, [0x58, 0x6e, 0x3c]),
        }
    }

    /// Solids of the crown, which together reach from `base_m` to `top_m` over the foot and stay within
    /// `width_m`.
    pub fn crown(self, foot: DVec3, width_m: f64, base_m: f64, top_m: f64) -> Vec<Solid> {
        match self {
            TreeKind::Broadleaf => broadleaf(foot, width_m, base_m, top_m),
            TreeKind::Conifer => conifer(foot, width_m, base_m, top_m),
            TreeKind::Poplar => poplar(foot, width_m, base_m, top_m),
        }
    }
}

/// A point at a turn and a distance from the stem, so high over the foot.
fn about(foot: DVec3, turn: f64, out_m: f64, up_m: f64) -> DVec3 {
    let (sin, cos) = turn.sin_cos();
    foot + DVec3::new(out_m * cos, out_m * sin, up_m)
}

/// A body of leaves from the base upward, a head that reaches the top, and a ring of masses that reach the
/// full width.
fn broadleaf(foot: DVec3, width_m: f64, base_m: f64, top_m: f64) -> Vec<Solid> {
    const MASSES: usize = 7;
    let (reach, tall) = (width_m / 2.0, top_m - base_m);
    let chance = |number: usize| chance(foot, number);
    let head_up = 0.27 * tall;
    let mut solids = vec![
        round(
            about(foot, 0.0, 0.0, base_m + 0.46 * tall),
            0.76 * reach,
            0.46 * tall,
        ),
        round(
            about(foot, TAU * chance(0), 0.12 * reach, top_m - head_up),
            0.56 * reach,
            head_up,
        ),
    ];
    for mass in 0..MASSES {
        let turn = TAU * (mass as f64 + 0.5 * chance(mass + 1)) / MASSES as f64;
        let across = reach * (0.38 + 0.12 * chance(mass + 20));
        let up = tall * (0.20 + 0.07 * chance(mass + 40));
        // Every other one sits higher.
        let level = if mass % 2 == 0 { 0.36 } else { 0.56 };
        let middle = base_m + tall * (level + 0.08 * (chance(mass + 60) - 0.5));
        solids.push(round(about(foot, turn, reach - across, middle), across, up));
    }
    solids
}

/// A column: masses one above the other, each a little aside.
fn poplar(foot: DVec3, width_m: f64, base_m: f64, top_m: f64) -> Vec<Solid> {
    // Share of the full width and of the height, from the lowest.
    const MASSES: [(f64, f64); 6] = [
        (0.72, 0.16),
        (0.94, 0.32),
        (1.00, 0.47),
        (0.88, 0.62),
        (0.68, 0.76),
        (0.42, 0.90),
    ];
    let (reach, tall) = (width_m / 2.0, top_m - base_m);
    let mass = |(i, (wide, level)): (usize, (f64, f64))| {
        let across = reach * wide * 0.9;
        let aside = (reach - across).min(0.1 * reach);
        let up = tall * if i == 5 { 0.10 } else { 0.16 };
        round(
            about(foot, TAU * chance(foot, i), aside, base_m + tall * level),
            across,
            up,
        )
    };
    MASSES.into_iter().enumerate().map(mass).collect()
}

/// Tiers of boughs, each wider than the next, up to a point.
fn conifer(foot: DVec3, width_m: f64, base_m: f64, top_m: f64) -> Vec<Solid> {
    const TIERS: usize = 8;
    // A bar's polygon reaches past its radius, so that their areas are alike (see `Solid::convex`).
    const WITHIN: f64 = 0.96;
    let (reach, tall) = (width_m / 2.0 * WITHIN, top_m - base_m);
    let tier = |i: usize| {
        let share = i as f64 / TIERS as f64;
        let thin = (1.0 - share).powf(0.85) * (1.0 - 0.14 * chance(foot, i) * f64::from(i > 0));
        let up_m = if i + 1 == TIERS {
            tall
        } else {
            (tall * (share + 2.1 / TIERS as f64)).min(tall)
        };
        let at = |z: f64| about(foot, 0.0, 0.0, base_m + z);
        // Not one tier's facets over another's.
        let lean_m = if up_m < tall {
            0.02 * reach * share
        } else {
            0.0
        };
        let lean = about(DVec3::ZERO, TAU * chance(foot, i + 9), lean_m, 0.0);
        cone(
            at(tall * share),
            at(up_m) + lean,
            reach * thin,
            (reach * thin * 0.18)
                .min(0.4 * (1.0 - share) * reach)
                .max(0.01),
        )
    };
    (0..TIERS).map(tier).collect()
}

/// A trunk that ends a little way into its crown; a bare tree's reaches the top and carries limbs that fork,
/// within the crown's bounds.
pub fn trunk(
    foot: DVec3,
    diameter_m: f64,
    [base_m, top_m]: [f64; 2],
    width_m: f64,
    is_bare: bool,
    bark: Coat,
) -> Build {
    let mut build = Build::default();
    let radius_m = diameter_m / 2.0;
    let up = |height_m: f64| foot + DVec3::Z * height_m;
    if !is_bare {
        // Limbs, or more of the trunk, would show through the crown's gaps as uprights of their own.
        let end_m = base_m + 0.2 * (top_m - base_m);
        build.add(bark, cone(foot, up(end_m), radius_m, radius_m * 0.6));
        return build;
    }
    build.add(bark, cone(foot, up(top_m), radius_m, radius_m * 0.08));
    const LIMBS: usize = 14;
    let reach = width_m / 2.0;
    for limb in 0..LIMBS {
        let share = limb as f64 / LIMBS as f64;
        let turn = limb as f64 * GOLDEN_ANGLE_RAD;
        let from_m = base_m + (top_m - base_m) * share * 0.8;
        let out_m = reach * (0.97 - 0.75 * share) * (0.8 + 0.2 * chance(foot, limb));
        let rise_m = (out_m * 0.9).min((top_m - from_m) * 0.8);
        let elbow = about(foot, turn, out_m * 0.55, from_m + rise_m * 0.5);
        let thick_m = radius_m * (0.42 - 0.28 * share);
        build.add(bark, twig(up(from_m), elbow, thick_m, thick_m * 0.6));
        for (aside, far, high) in [(0.0, 1.0, 1.0), (0.45, 0.85, 0.7), (-0.4, 0.8, 0.95)] {
            let tip = about(foot, turn + aside, out_m * far, from_m + rise_m * high);
            build.add(bark, twig(elbow, tip, thick_m * 0.5, thick_m * 0.12));
        }
    }
    build
}

/// A thin limb of five sides.
fn twig(from: DVec3, to: DVec3, radius_from_m: f64, radius_to_m: f64) -> Solid {
    let (u, v) = (to - from).normalize_or(DVec3::Z).any_orthonormal_pair();
    let ring = |middle: DVec3, radius_m: f64| {
        (0..5).map(move |k| {
            let (sin, cos) = (TAU * f64::from(k) / 5.0).sin_cos();
            middle + (u * cos + v * sin) * radius_m
        })
    };
    loft(ring(from, radius_from_m), ring(to, radius_to_m))
}

/// A bush: masses of leaves from the ground, within its width and height.
pub fn bush(foot: DVec3, width_m: f64, height_m: f64) -> Vec<Solid> {
    let reach = width_m / 2.0;
    let mut solids = vec![round(
        foot + DVec3::Z * (height_m * 0.5),
        reach * 0.72,
        height_m * 0.5,
    )];
    for mass in 0..5 {
        let turn = TAU * (mass as f64 + 0.6 * chance(foot, mass)) / 5.0;
        let across = reach * (0.40 + 0.15 * chance(foot, mass + 10));
        let up = height_m * (0.28 + 0.12 * chance(foot, mass + 20));
        solids.push(round(about(foot, turn, reach - across, up), across, up));
    }
    solids
}

/// Weeds: blades and stalks that lean outward from a low mound.
pub fn weeds(foot: DVec3, width_m: f64, height_m: f64) -> Vec<Solid> {
    const BLADES: usize = 34;
    let reach = width_m / 2.0;
    let mut solids = vec![round(
        foot + DVec3::Z * (height_m * 0.16),
        reach * 0.85,
        height_m * 0.16,
    )];
    for blade in 0..BLADES {
        let turn = blade as f64 * GOLDEN_ANGLE_RAD;
        let out_m = reach * 0.92 * ((blade as f64 + 0.5) / BLADES as f64).sqrt();
        let tall_m = height_m
            * if blade == 0 {
                1.0
            } else {
                0.45 + 0.5 * chance(foot, blade)
            };
        let lean_m = (0.35 * tall_m * chance(foot, blade + 50)).min(reach - out_m);
        let half_m = (0.012 + 0.02 * chance(foot, blade + 80)) * (1.0 + height_m);
        let ring = |middle: DVec3, half_m: f64| {
            [0.0, 1.0, 2.0].map(|k| middle + about(DVec3::ZERO, turn + k * TAU / 3.0, half_m, 0.0))
        };
        let (low, tip) = (
            about(foot, turn, out_m, 0.0),
            about(foot, turn, out_m + lean_m, tall_m),
        );
        solids.push(loft(ring(low, half_m), ring(tip, half_m * 0.15)));
    }
    solids
}

#[cfg(test)]
mod tests {
    use super::*;

    fn corners(solids: &[Solid]) -> Vec<DVec3> {
        (solids.iter())
            .flat_map(|solid| solid.convex().corners)
            .collect()
    }

    #[test]
    fn a_crown_of_any_kind_reaches_its_base_and_top_and_keeps_within_its_width() {
        for (word, kind) in TreeKind::WORDS {
            for place in 0..40 {
                let foot = DVec3::new(place as f64 * 7.3, place as f64 * -3.1, -0.5);
                let corners = corners(&kind.crown(foot, 6.0, 2.0, 9.0));
                let low = corners.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
                let high = corners
                    .iter()
                    .map(|p| p.z)
                    .fold(f64::NEG_INFINITY, f64::max);
                assert!((low - 1.5).abs() < 1e-9, "{word}: base at {low}");
                assert!((high - 8.5).abs() < 1e-9, "{word}: top at {high}");
                let out = |p: &DVec3| (p - foot).truncate().length();
                let widest = corners.iter().map(out).fold(0.0, f64::max);
                assert!(widest <= 3.0 + 1e-9, "{word}: {widest}");
                assert!(widest > 2.65, "{word}: {widest}");
                assert!(kind.crown(foot, 6.0, 2.0, 9.0).len() <= 12, "{word}");
            }
        }
    }

    #[test]
    fn a_bare_tree_s_limbs_keep_within_its_crown_and_look_outward() {
        let foot = DVec3::new(3.0, 4.0, -0.5);
        let bare = trunk(foot, 0.5, [3.0, 10.0], 8.0, true, Coat::default());
        for solid in &bare.solids {
            assert!(solid.convex().volume_m3() > 0.0, "{solid:?}");
        }
        for corner in corners(&bare.solids) {
            assert!(corner.z < 9.5 + 0.05, "{corner}");
            assert!((corner - foot).truncate().length() < 4.0, "{corner}");
        }
        let leafy = trunk(foot, 0.5, [3.0, 10.0], 8.0, false, Coat::default());
        assert!(corners(&leafy.solids).iter().all(|p| p.z < 9.5 - 3.0));
    }

    #[test]
    fn bushes_and_weeds_keep_within_their_width_and_reach_their_height() {
        let foot = DVec3::new(4.0, 5.0, -0.5);
        for solids in [bush(foot, 2.0, 1.1), weeds(foot, 2.0, 1.1)] {
            let corners = corners(&solids);
            let high = corners
                .iter()
                .map(|p| p.z)
                .fold(f64::NEG_INFINITY, f64::max);
            assert!((high - 0.6).abs() < 1e-9, "{high}");
            assert!(corners.iter().all(|p| p.z > -0.5 - 0.02));
            // A blade's own thickness may stand out by a few centimetres.
            assert!(
                corners
                    .iter()
                    .all(|p| (p - foot).truncate().length() < 1.08)
            );
        }
    }
}
