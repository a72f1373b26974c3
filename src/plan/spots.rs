//! Spots: allowed ground as points on a grid. May not enter: what is seen from them.

use crate::scene::Scene;
use glam::DVec2;

/// Closest spacing of the first look, metres: the refinement starts with steps of this size.
const CLOSEST_M: f64 = 0.5;
/// Wide ground is looked at in so many spots at most; what lies between them the refinement finds.
const MOST_SPOTS: f64 = 2000.0;

/// Farther than this from the machine's centre nothing is looked at: a 20 m machine then fills a third of
/// a frame only through lenses beyond 150 mm.
const FARTHEST_M: f64 = 140.0;

/// A point on which one may stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// East, north.
    pub at_m: DVec2,
    /// Index of its piece of ground.
    pub area: usize,
}

/// Every spot of the first look: the grid as close as it may be without too many spots.
pub fn first_look(scene: &Scene) -> Vec<Spot> {
    let area_m2: f64 = spots(scene, COUNTING_M).len() as f64 * COUNTING_M * COUNTING_M;
    spots(scene, (area_m2 / MOST_SPOTS).sqrt().max(CLOSEST_M))
}

/// Spacing at which the ground is measured.
const COUNTING_M: f64 = 1.5;

/// Every spot of a grid that lies on allowed ground and outside the stand-off. The grid is laid through the
/// machine's centre along its track, so that it moves and turns with the machine.
pub fn spots(scene: &Scene, spacing_m: f64) -> Vec<Spot> {
    let frame = scene.machine.frame();
    let (along, across) = (frame.forward, frame.forward.perp());
    let reach = (FARTHEST_M / spacing_m) as i32;
    let mut spots = Vec::new();
    for i in -reach..=reach {
        for j in -reach..=reach {
            let at_m = frame.origin_m
                + along * (i as f64 * spacing_m)
                + across * ((j as f64 + 0.5) * spacing_m);
            if let Ok(area) = scene.ground.may_stand(&scene.tracks, at_m) {
                let area = scene
                    .ground
                    .areas
                    .iter()
                    .position(|a| std::ptr::eq(a, area));
                spots.push(Spot {
                    at_m,
                    area: area.unwrap_or(0),
                });
            }
        }
    }
    spots
}
