//! Triangles in runs that lie together and face alike, so that those which an eye cannot see are left out a run at a
//! time: on a processor that plays an adapter their corners cost more than their pixels. May not enter: devices.

use super::frame::clip_from_machine;
use crate::sighting::view::{Rays, View};
use glam::{DMat4, DVec3, DVec4};
use std::ops::Range;

/// Triangles that lie together and face alike.
#[derive(Clone, Debug)]
struct Run {
    /// Indices.
    range: Range<u32>,
    low: DVec3,
    high: DVec3,
    /// Mean direction, and the widest angle of any from it, radians; none if they face all ways.
    faces: Option<(DVec3, f64)>,
    /// Of triangles that are each of some size.
    is_coarse: bool,
}

/// Triangles cut into runs.
#[derive(Clone, Debug, Default)]
pub struct Runs {
    /// Corners, three to a triangle, run by run.
    pub indices: Vec<u32>,
    runs: Vec<Run>,
}

/// Who looks.
#[derive(Clone, Copy, Debug)]
pub struct Looks {
    /// Clip space of what it sees.
    pub clip_from_machine: DMat4,
    /// The eye, or the direction in which parallel rays run.
    pub from: From,
    /// Whether it sees the backs of things.
    pub sees_backs: bool,
    /// Whether small triangles are left out.
    pub coarsely: bool,
}

/// Where rays start.
#[derive(Clone, Copy, Debug)]
pub enum From {
    /// At an eye.
    Eye(DVec3),
    /// Nowhere: they run all in this direction.
    Along(DVec3),
}

/// Most triangles of a run.
const MOST: usize = 96;
/// Runs hold what lies in one cell of so many metres.
const CELL_M: f64 = 2.5;
/// A triangle of this area is coarse, square metres.
const COARSE_M2: f64 = 0.02;

impl Runs {
    /// Cuts triangles into runs. `corners` tells a triangle's.
    pub fn of(triangles: &[[u32; 3]], corner: &dyn Fn(u32) -> DVec3) -> Runs {
        let mut sorted: Vec<([i64; 6], [u32; 3])> = (triangles.iter())
            .map(|triangle| (key(triangle.map(corner)), *triangle))
            .collect();
        // Within a run the order stays as it was, so that corners that follow one another are shared.
        sorted.sort_by_key(|(key, _)| *key);
        let mut all = Runs::default();
        for alike in sorted.chunk_by(|(a, _), (b, _)| a == b) {
            for part in alike.chunks(MOST) {
                let start = all.indices.len() as u32;
                all.indices
                    .extend(part.iter().flat_map(|(_, triangle)| triangle));
                let range = start..all.indices.len() as u32;
                let corners: Vec<[DVec3; 3]> = (part.iter()).map(|(_, t)| t.map(corner)).collect();
                all.runs.push(Run::of(range, &corners, alike[0].0[0] == 0));
            }
        }
        all
    }

    /// Ranges of the indices of what may be seen; neighbours are one.
    pub fn seen(&self, looks: &Looks) -> Vec<Range<u32>> {
        let mut seen: Vec<Range<u32>> = vec![];
        for run in self.runs.iter().filter(|run| run.may_be_seen(looks)) {
            match seen.last_mut() {
                Some(last) if last.end == run.range.start => last.end = run.range.end,
                _ => seen.push(run.range.clone()),
            }
        }
        seen
    }

    /// Where the indices of what may be seen begin and end, once `start` others lie before them.
    pub fn seen_from(&self, looks: &Looks, start: u32) -> impl Iterator<Item = Range<u32>> {
        (self.seen(looks).into_iter()).map(move |range| range.start + start..range.end + start)
    }

    /// Adds the indices of what may be seen.
    pub fn gather(&self, looks: &Looks, into: &mut Vec<u32>) {
        for range in self.seen(looks) {
            into.extend(&self.indices[range.start as usize..range.end as usize]);
        }
    }
}

/// Triangles of one key lie together and face alike: small or large, the direction's nearest of 26, the cell.
fn key(corners: [DVec3; 3]) -> [i64; 6] {
    let twice = (corners[1] - corners[0]).cross(corners[2] - corners[0]);
    let [x, y, z] = (twice.normalize_or(DVec3::ZERO).to_array()).map(|v| (v * 1.49).round() as i64);
    let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
    let at = (middle / CELL_M).floor().truncate();
    let is_fine = i64::from(twice.length() < 2.0 * COARSE_M2);
    [is_fine, x, y, z, at.x as i64, at.y as i64]
}

impl Run {
    fn of(range: Range<u32>, triangles: &[[DVec3; 3]], is_coarse: bool) -> Run {
        let points = triangles.iter().flatten();
        let none = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        let (low, high) = points.fold(none, |(low, high), p| (low.min(*p), high.max(*p)));
        let directions: Vec<DVec3> = (triangles.iter())
            .filter_map(|[a, b, c]| (*b - *a).cross(*c - *a).try_normalize())
            .collect();
        let mean = directions.iter().sum::<DVec3>().try_normalize();
        let faces = mean.map(|mean| {
            let angles = directions.iter().map(|n| mean.angle_between(*n));
            (mean, angles.fold(0.0, f64::max))
        });
        Run {
            range,
            low,
            high,
            faces,
            is_coarse,
        }
    }

    fn may_be_seen(&self, looks: &Looks) -> bool {
        if looks.coarsely && !self.is_coarse {
            return false;
        }
        (looks.sees_backs || !self.faces_away(looks.from)) && looks.meets(self.low, self.high)
    }

    /// Whether all of its triangles show their backs.
    fn faces_away(&self, from: From) -> bool {
        let Some((mean, widest)) = self.faces else {
            return false;
        };
        let (way, spread) = match from {
            From::Along(way) => (way, 0.0),
            From::Eye(eye) => {
                let middle = (self.low + self.high) / 2.0;
                let (way, radius) = (middle - eye, self.high.distance(self.low) / 2.0);
                if way.length() <= radius {
                    return false;
                }
                (way, (radius / way.length()).asin())
            }
        };
        mean.angle_between(way) + widest + spread < std::f64::consts::FRAC_PI_2 - 1e-6
    }
}

impl Looks {
    /// What a view sees.
    pub fn of(view: &View, closed: bool) -> Looks {
        Looks {
            clip_from_machine: clip_from_machine(view),
            from: match view.rays {
                Rays::Perspective => From::Eye(view.eye),
                Rays::Orthographic => From::Along(view.forward),
            },
            sees_backs: !closed,
            coarsely: false,
        }
    }

    /// Whether it may see something of a box.
    pub fn meets(&self, low: DVec3, high: DVec3) -> bool {
        meets(&self.clip_from_machine, low, high)
    }
}

/// Whether a box may meet what a clip space holds; depth is not asked, for which all near planes differ.
fn meets(clip: &DMat4, low: DVec3, high: DVec3) -> bool {
    let corners = (0..8).map(|i| {
        let pick = |bit: u8, k: usize| if i & bit > 0 { high[k] } else { low[k] };
        *clip * DVec4::new(pick(1, 0), pick(2, 1), pick(4, 2), 1.0)
    });
    let outside = |p: DVec4| {
        let tests = [p.x < -p.w, p.x > p.w, p.y < -p.w, p.y > p.w, p.w <= 0.0];
        (0..)
            .zip(tests)
            .map(|(i, is)| u8::from(is) << i)
            .sum::<u8>()
    };
    corners.map(outside).fold(u8::MAX, |all, one| all & one) == 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solid::Solid;

    /// Round bars lying about; whatever faces an eye must be among what it may see (a triangle faces an eye on the
    /// side its direction points to, as winding has it).
    #[test]
    fn nothing_that_faces_an_eye_is_left_out() {
        let mut corners: Vec<DVec3> = vec![];
        let mut triangles = vec![];
        for i in 0..40 {
            let at = DVec3::new(f64::from(i % 8) * 3.1, f64::from(i / 8) * 1.7, 0.3);
            let bar = Solid::Bar {
                a: at,
                b: at + DVec3::new(0.4, 0.2 * f64::from(i % 3), 2.0),
                radius_a_m: 0.2,
                radius_b_m: 0.3,
            };
            let convex = bar.convex();
            let base = corners.len() as u32;
            triangles.extend(convex.triangles().map(|t| t.map(|k| k + base)));
            corners.extend(convex.corners);
        }
        let runs = Runs::of(&triangles, &|i| corners[i as usize]);
        assert_eq!(runs.indices.len(), 3 * triangles.len());
        let mut left_out = 0;
        for from in [
            From::Eye(DVec3::new(10.0, -12.0, 1.6)),
            From::Eye(DVec3::new(9.0, 3.0, 1.0)),
            From::Along(DVec3::new(0.3, 0.8, -0.5)),
        ] {
            let looks = Looks {
                // Everything lies before it.
                clip_from_machine: DMat4::from_scale(DVec3::splat(1e-3)),
                from,
                sees_backs: false,
                coarsely: false,
            };
            let mut seen = vec![];
            runs.gather(&looks, &mut seen);
            let seen: std::collections::HashSet<[u32; 3]> =
                seen.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect();
            left_out += triangles.len() - seen.len();
            for triangle in &triangles {
                let [a, b, c] = triangle.map(|i| corners[i as usize]);
                let way = match from {
                    From::Eye(eye) => a - eye,
                    From::Along(way) => way,
                };
                let faces = (b - a).cross(c - a).dot(way) < 0.0;
                assert!(!faces || seen.contains(triangle));
            }
        }
        assert!(
            left_out > triangles.len(),
            "{left_out} of 3 x {}",
            triangles.len()
        );
    }
}
