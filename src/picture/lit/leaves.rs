//! Where sprays of leaves hang in crowns and bushes, so many that a crown hides the share of what lies behind it that
//! the scene says. May not enter: devices, colours.

use super::surfaces::{Manner, Surfaces};
use super::uniforms::Spray;
use crate::mesh::solid::Convex;
use crate::scene::coat::Coat;
use crate::sighting::scatter::hash;
use crate::sighting::stage::Stage;
use glam::DVec3;

/// Leaves of a spray, each drawn as two triangles.
pub const LEAVES: u32 = 12;
/// Corners of a spray.
pub const CORNERS: u32 = LEAVES * 6;
/// No piece of a crown has more sprays.
const MOST: usize = 6000;
/// Nor has a stage many more than this: where it would, all sprays are larger and fewer.
const MOST_OF_ALL: usize = 150_000;
/// Crowns farther than this from the machine's middle have sprays that are larger and fewer with their distance.
const NEAR_M: f64 = 45.0;

/// A piece that bears leaves.
struct Leafy<'a> {
    convex: &'a Convex,
    /// Bounds of its whole crown.
    whole: (DVec3, DVec3),
    opacity: f64,
    surface: u32,
    sort: u32,
    seed: u32,
}

/// Sprays of all objects of a stage.
pub fn sprays(stage: &Stage, surfaces: &mut Surfaces) -> Vec<Spray> {
    let mut crowns = Vec::new();
    for (k, object) in stage.objects.iter().enumerate() {
        let leafy: Vec<(usize, u32)> = (0..object.pieces.len())
            .filter_map(|piece| {
                let finish = Coat::of_piece(&object.coats, piece).finish;
                match Manner::of(finish, object.opacity) {
                    Manner::Leafy(sort) => Some((piece, sort)),
                    _ => None,
                }
            })
            .collect();
        let pieces = leafy.iter().map(|(piece, _)| &object.pieces[*piece]);
        let whole = bounds(pieces.flat_map(|convex| &convex.corners));
        for (piece, sort) in leafy {
            crowns.push(Leafy {
                convex: &object.pieces[piece],
                whole,
                opacity: object.opacity,
                surface: surfaces.of_piece(stage, k, piece),
                sort,
                seed: hash(k as u32, piece as u32, 61),
            });
        }
    }
    let wanted: usize = crowns.iter().map(|crown| crown.count(1.0)).sum();
    // A spray twice as large hides four times as much.
    let coarser = (wanted as f64 / MOST_OF_ALL as f64).sqrt().max(1.0);
    let mut all = Vec::new();
    for crown in &crowns {
        crown.fill(coarser, &mut all);
    }
    all
}

/// Bounds of points.
pub fn bounds<'a>(points: impl Iterator<Item = &'a DVec3>) -> (DVec3, DVec3) {
    points.fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), p| {
        (low.min(*p), high.max(*p))
    })
}

impl Leafy<'_> {
    /// Middle and half axes of the piece.
    fn extent(&self) -> (DVec3, DVec3) {
        let (low, high) = bounds(self.convex.corners.iter());
        let radii = ((high - low) / 2.0).max(DVec3::splat(0.02));
        ((low + high) / 2.0, radii)
    }

    /// Half the size of a spray.
    fn half_m(&self, coarser: f64) -> f64 {
        let (middle, radii) = self.extent();
        let least = radii.min_element();
        let far = (middle.truncate().length() / NEAR_M).max(1.0);
        ((0.075 * least).clamp(0.07, 0.34) * far * coarser).min((0.4 * least).max(0.07))
    }

    /// How many sprays it takes.
    fn count(&self, coarser: f64) -> usize {
        let (_, radii) = self.extent();
        // Leaves of random direction hide half their area; a depth τ of them lets exp(−τ) through (Beer and
        // Lambert). The rim is thinner than the middle, which wants a little more.
        let depth = -(1.0 - self.opacity.min(0.93)).ln() * 1.35;
        let area_m2 = f64::from(LEAVES) * leaf_area_m2(self.sort, self.half_m(coarser));
        let silhouette_m2 = std::f64::consts::PI * radii.x.max(radii.y) * radii.z;
        let count = (depth * silhouette_m2 / (0.5 * area_m2)).ceil();
        count.min(MOST as f64) as usize
    }

    fn fill(&self, coarser: f64, all: &mut Vec<Spray>) {
        let (middle, radii) = self.extent();
        let (half_m, count) = (self.half_m(coarser), self.count(coarser));
        let whole_radii = ((self.whole.1 - self.whole.0) / 2.0).max(DVec3::splat(0.02));
        let whole_middle = (self.whole.0 + self.whole.1) / 2.0;
        let unit =
            |i: usize, salt: u32| f64::from(hash(i as u32, salt, self.seed)) / f64::from(u32::MAX);
        let mut placed = 0;
        for i in 0..count * 40 {
            if placed == count {
                break;
            }
            let at = DVec3::new(unit(i, 1), unit(i, 2), unit(i, 3)) * 2.0 - 1.0;
            let point = middle + at * radii;
            if !self.convex.contains(point) {
                continue;
            }
            let rim = at.length().min(1.0);
            // Leaves seek light: most hang near the rim.
            if unit(i, 4) > 0.25 + 0.75 * rim * rim {
                continue;
            }
            let of_whole = (point - whole_middle) / whole_radii;
            let outward = outward(point, (middle - radii, middle + radii), self.whole);
            let inside = (1.0 - of_whole.length().max(rim * 0.6)).clamp(0.0, 1.0);
            all.push(Spray {
                middle: point.extend(half_m).as_vec4().to_array(),
                outward: outward.extend(inside).as_vec4().to_array(),
                surface: self.surface,
                seed: hash(i as u32, 5, self.seed),
                reach_m: whole_radii.max_element() as f32 * 2.0,
                sort: self.sort,
            });
            placed += 1;
        }
    }
}

/// The direction of a crown at a place: as its piece is turned there, and as its whole is. Both by their bounds.
pub fn outward(point: DVec3, own: (DVec3, DVec3), whole: (DVec3, DVec3)) -> DVec3 {
    let turned = |(low, high): (DVec3, DVec3)| {
        let radii = ((high - low) / 2.0).max(DVec3::splat(0.02));
        ((point - (low + high) / 2.0) / (radii * radii)).normalize_or(DVec3::Z)
    };
    (turned(own) + turned(whole)).normalize_or(DVec3::Z)
}

/// Mean area of a leaf as shaders/leaf.wgsl shapes it.
fn leaf_area_m2(sort: u32, half_m: f64) -> f64 {
    let (long, wide) = match sort {
        0 => (0.53, 0.34),
        1 => (0.75, 0.13),
        2 => (1.1, 0.03),
        _ => (1.3, 0.07),
    };
    // Half the length, times the diamond's full width (four times `wide`).
    let long_m = long * half_m;
    long_m * (4.0 * wide * long_m)
}
