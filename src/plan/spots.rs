//! Spots: allowed ground as points on a grid. May not enter: what is seen from them.

use crate::grade::Studio;
use crate::scene::ground::Area;
use glam::DVec2;
use rayon::prelude::*;

/// Closest spacing of the first look, metres: the refinement starts with steps of this size.
const CLOSEST_M: f64 = 0.5;

/// Farther than this from the machine's centre nothing is looked at: a 20 m machine then fills a third of
/// a frame only through lenses beyond 150 mm.
pub(super) const FARTHEST_M: f64 = 140.0;

/// A point on which one may stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// East, north.
    pub at_m: DVec2,
    /// Index of its piece of ground.
    pub area: usize,
}

/// Every spot of the first look: the grid as close as it may be with about so many spots at most.
pub fn first_look(studio: &Studio, most: f64) -> Vec<Spot> {
    let area_m2: f64 = spots(studio, COUNTING_M).len() as f64 * COUNTING_M * COUNTING_M;
    spots(studio, (area_m2 / most).sqrt().max(CLOSEST_M))
}

/// Nobody is sent to the very edge of allowed ground: this much of it lies on every side, metres.
const ELBOW_M: f64 = 0.3;

/// The piece of ground on which a spot lies, if one may stand there with room to the ground's edge.
pub fn roomy(studio: &Studio, at_m: DVec2) -> Option<usize> {
    let scene = &studio.scene;
    let area = |at_m: DVec2| scene.may_stand(&studio.obstacles, at_m).ok();
    let here = area(at_m)?;
    let around = [DVec2::X, DVec2::NEG_X, DVec2::Y, DVec2::NEG_Y];
    let room = around
        .into_iter()
        .all(|way| area(at_m + way * ELBOW_M).is_some());
    let is_here = |one: &Area| std::ptr::eq(one, here);
    room.then(|| scene.ground.areas.iter().position(is_here))?
}

/// Spacing at which the ground is measured.
const COUNTING_M: f64 = 1.5;

/// Every spot of a grid that lies on allowed ground and outside the stand-off. The grid is laid through the
/// machine's centre along its track, so that it moves and turns with the machine.
pub fn spots(studio: &Studio, spacing_m: f64) -> Vec<Spot> {
    let frame = studio.frame;
    let (along, across) = (frame.forward, frame.forward.perp());
    let reach = (FARTHEST_M / spacing_m) as i32;
    let of_row = |i: i32| {
        (-reach..=reach).filter_map(move |j| {
            let at_m = frame.origin_m
                + along * (i as f64 * spacing_m)
                + across * ((j as f64 + 0.5) * spacing_m);
            roomy(studio, at_m).map(|area| Spot { at_m, area })
        })
    };
    (-reach..reach + 1)
        .into_par_iter()
        .flat_map_iter(of_row)
        .collect()
}
