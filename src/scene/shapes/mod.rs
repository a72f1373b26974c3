//! Solids of the things that stand about a railroad, each upright on a point or along a line.
//! May not enter: how files name them.
//!
//! Proportions that no key states are common practice, from memory.

pub mod build;
pub mod building;
pub mod figure;
pub mod growth;
mod roof;
pub mod structures;
pub mod uprights;

use super::coat::{Coat, Finish};
use super::polygon::convex_pieces;
use crate::mesh::solid::Solid;
use glam::DVec2;

/// Cast concrete of foundations and copings.
const CONCRETE: Coat = Coat::new(Finish::Concrete, [0xa0, 0x9c, 0x92]);
/// Panes, with what is dark behind them.
const GLASS: Coat = Coat::new(Finish::Glass, [0x3e, 0x4a, 0x50]);
/// Painted metal that nobody looks at twice.
const IRON: Coat = Coat::new(Finish::Paint, [0x30, 0x32, 0x34]);
/// Galvanised metal.
const ZINC: Coat = Coat::new(Finish::Paint, [0x92, 0x96, 0x98]);

/// Upright walls over a footprint, in convex pieces.
pub fn prisms(footprint_m: &[DVec2], bottom_m: f64, top_m: f64) -> Vec<Solid> {
    convex_pieces(footprint_m)
        .into_iter()
        .map(|footprint| Solid::Prism {
            footprint,
            bottom_m,
            top_m,
        })
        .collect()
}

/// Points along a line, at most `spacing_m` apart, every corner among them.
pub fn spaced(points_m: &[DVec2], spacing_m: f64) -> Vec<DVec2> {
    let mut at: Vec<DVec2> = points_m.first().copied().into_iter().collect();
    for pair in points_m.windows(2) {
        let pieces = (pair[0].distance(pair[1]) / spacing_m).ceil().max(1.0) as usize;
        at.extend((1..=pieces).map(|i| pair[0].lerp(pair[1], i as f64 / pieces as f64)));
    }
    at
}

/// The edges of a polygon, the closing one among them.
pub fn edges(polygon_m: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
    (0..polygon_m.len()).map(|i| (polygon_m[i], polygon_m[(i + 1) % polygon_m.len()]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn posts_stand_at_every_corner_and_no_farther_apart_than_asked() {
        let line = [DVec2::ZERO, DVec2::new(10.0, 0.0), DVec2::new(10.0, 2.0)];
        let posts = spaced(&line, 3.0);
        assert_eq!(posts.len(), 6);
        assert!(posts.contains(&line[1]) && posts.contains(&line[2]));
        assert!(
            posts
                .windows(2)
                .all(|pair| pair[0].distance(pair[1]) <= 3.0)
        );
    }
}
