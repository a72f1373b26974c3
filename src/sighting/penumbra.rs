//! Where a convex piece takes all of the sun's disc, where none and where some, told from its outline across the rays:
//! only near that outline the share itself must be asked. May not enter: shares, several pieces at once.

use super::cover::NEAREST_M;
use super::disc::{SUN_RADIUS_TAN, hull};
use glam::{DVec2, DVec3};

/// Rounding must never decide a point: this much more is left to the share itself, metres.
const SLACK_M: f64 = 1e-6;

/// How a piece's shadow reaches a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reach {
    /// It takes nothing of the disc.
    Beyond,
    /// It takes all of it.
    Whole,
    /// Its outline comes near: it may take some.
    Edge,
}

/// A piece's outline across the rays.
#[derive(Debug)]
pub(super) struct Penumbra {
    /// Outward unit normals with their offsets: the piece lies where `normal · point` is no more.
    edges: Vec<(DVec2, f64)>,
    /// Least and greatest depth toward the sun.
    depths: [f64; 2],
}

impl Penumbra {
    /// Of a piece's corners: across the rays and toward the sun.
    pub(super) fn of(corners: &[DVec3]) -> Penumbra {
        let outline = hull(corners.iter().map(|corner| corner.truncate()).collect());
        let next = outline.iter().cycle().skip(1);
        let edge = |(a, b): (&DVec2, &DVec2)| {
            let normal = -(*b - *a).perp().normalize_or_zero();
            (normal, normal.dot(*a))
        };
        let depths = corners.iter().map(|corner| corner.z);
        Penumbra {
            // Edge-on there is no outline to speak of: each point is then asked.
            edges: match outline.len() {
                0..3 => vec![],
                _ => outline.iter().zip(next).map(edge).collect(),
            },
            depths: depths.fold(
                [f64::INFINITY, f64::NEG_INFINITY],
                |[least, most], depth| [least.min(depth), most.max(depth)],
            ),
        }
    }

    /// How far beside a ray the disc reaches at the piece's farthest, seen from a depth.
    fn beside_m(&self, depth: f64) -> f64 {
        (self.depths[1] - depth).max(0.0) * SUN_RADIUS_TAN + SLACK_M
    }

    /// Seen from a point, its depth toward the sun beside it. A line that parts the piece from the point by more than
    /// the disc reaches parts it from the disc. A point farther inside every edge than that sees no sun: each ray to the
    /// disc begins below the piece and ends above it, over the piece all the way, so that it must pass through.
    pub(super) fn reach(&self, at: DVec2, depth: f64) -> Reach {
        let beside_m = self.beside_m(depth);
        let mut is_whole = !self.edges.is_empty() && self.depths[0] - depth >= NEAREST_M;
        for (normal, offset) in &self.edges {
            let out_m = normal.dot(at) - offset;
            if out_m > beside_m {
                return Reach::Beyond;
            }
            is_whole &= out_m < -beside_m;
        }
        match is_whole {
            true => Reach::Whole,
            false => Reach::Edge,
        }
    }

    /// Whether it may take anything of the disc from any point between `low` and `high` no less deep than this.
    pub(super) fn can_touch(&self, low: DVec2, high: DVec2, depth: f64) -> bool {
        let beside_m = self.beside_m(depth);
        let (middle, half) = ((low + high) / 2.0, (high - low) / 2.0);
        (self.edges.iter()).all(|(normal, offset)| {
            normal.dot(middle) - normal.abs().dot(half) - offset <= beside_m
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solid::{Convex, Solid};
    use crate::sighting::cover::{Cover, SunAxes};

    /// A leaning bar, a mast and a wall, as the sun of a morning has them.
    fn pieces() -> [Convex; 3] {
        let bar = |a, b, radius_m: f64| Solid::Bar {
            a,
            b,
            radius_a_m: radius_m,
            radius_b_m: radius_m / 2.0,
        };
        let footprint = [(4.0, -3.0), (5.0, -3.5), (5.0, 1.0), (4.0, 1.0)];
        [
            bar(DVec3::new(9.0, -2.0, 0.0), DVec3::new(7.0, 3.0, 6.0), 0.12).convex(),
            bar(DVec3::new(12.0, 0.5, 0.0), DVec3::new(12.0, 0.5, 10.0), 0.2).convex(),
            Solid::Prism {
                footprint: footprint.map(|(x, y)| DVec2::new(x, y)).to_vec(),
                bottom_m: 0.0,
                top_m: 3.0,
            }
            .convex(),
        ]
    }

    /// Against rays to 64 directions of the disc that are asked, one by one, whether they meet the piece: clipped by the
    /// planes of its faces (Cyrus & Beck 1978).
    #[test]
    fn what_the_outline_decides_is_what_rays_say() {
        let toward = DVec3::new(0.8, 0.15, 0.45).normalize();
        let axes = SunAxes::new(toward);
        let (across, upward) = toward.any_orthonormal_pair();
        let mut decided = [0; 3];
        for piece in pieces() {
            let corners: Vec<DVec3> = (piece.corners.iter())
                .map(|c| axes.flat(*c).extend(c.dot(toward)))
                .collect();
            let penumbra = Penumbra::of(&corners);
            for i in 0..40 {
                for k in 0..40 {
                    let point = DVec3::new(0.0, i as f64 * 0.2 - 5.0, k as f64 * 0.15 - 2.0);
                    let hits = (0..64).filter(|ray| {
                        let turn = *ray as f64 * 2.399963;
                        let radius = SUN_RADIUS_TAN * ((*ray as f64 + 0.5) / 64.0).sqrt();
                        let aside = across * turn.cos() + upward * turn.sin();
                        meets(&piece, point, toward + aside * radius)
                    });
                    let hits = hits.count();
                    match penumbra.reach(axes.flat(point), point.dot(toward)) {
                        Reach::Beyond => {
                            decided[0] += 1;
                            assert_eq!(hits, 0, "{point}");
                        }
                        Reach::Whole => {
                            decided[1] += 1;
                            assert_eq!(hits, 64, "{point}");
                        }
                        Reach::Edge => decided[2] += 1,
                    }
                }
            }
        }
        assert!(decided[0] > 1000 && decided[1] > 200, "{decided:?}");
        assert!(decided[2] * 4 < decided[0] + decided[1], "{decided:?}");
    }

    fn meets(piece: &Convex, from: DVec3, way: DVec3) -> bool {
        let (mut enter, mut leave) = (0.0f64, f64::INFINITY);
        for face in &piece.faces {
            let corner = |i: usize| piece.corners[face[i] as usize];
            let normal = (corner(1) - corner(0)).cross(corner(2) - corner(0));
            let (over, along) = (normal.dot(corner(0) - from), normal.dot(way));
            match along {
                along if along < 0.0 => enter = enter.max(over / along),
                along if along > 0.0 => leave = leave.min(over / along),
                _ if over < 0.0 => return false,
                _ => {}
            }
        }
        enter <= leave
    }

    #[test]
    fn a_bunch_is_passed_by_only_where_each_of_its_points_is() {
        let toward = DVec3::new(0.8, 0.15, 0.45).normalize();
        let axes = SunAxes::new(toward);
        for piece in pieces() {
            let one = [piece];
            let cover = Cover::new(axes, &one, 1.0);
            for i in 0..200 {
                let at = DVec3::new(
                    0.0,
                    (i % 20) as f64 * 0.4 - 5.0,
                    (i / 20) as f64 * 0.5 - 1.0,
                );
                let points = [at, at + DVec3::Y * 0.3, at + DVec3::Z * 0.2];
                let bunch = crate::sighting::cover::Bunch::of(&axes, points.into_iter());
                if cover.pieces_over(&bunch).is_empty() {
                    let dark = points.map(|point| cover.dark(point));
                    assert_eq!(dark, [0.0; 3], "{at}");
                }
            }
        }
    }
}
