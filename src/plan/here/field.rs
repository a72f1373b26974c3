//! The field: allowed ground as points of a grid laid along the machine's track, and blocks of them from coarse to
//! fine. May not enter: what is seen from them.

use crate::grade::Studio;
use crate::plan::spots::{FARTHEST_M, roomy};
use glam::DVec2;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Spacings of the points, metres, and how many of them there may be: wide ground is laid out more widely.
const SPACINGS: [(f64, usize); 3] = [(0.5, 3_000), (1.0, 12_000), (2.0, usize::MAX)];

/// Sides of the blocks, in points, from coarse to fine.
pub const STRIDES: [i32; 3] = [4, 2, 1];

/// A point on which one may stand, in the middle of its own square.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Steps along the track and across it.
    pub step: [i32; 2],
    /// East, north.
    pub at_m: DVec2,
    /// Index of its piece of ground.
    pub area: usize,
}

/// Indices of the points of a block, by the block's own steps.
pub type Blocks = BTreeMap<[i32; 2], Vec<usize>>;

/// Allowed ground.
pub struct Field {
    /// Distance between neighbours.
    pub spacing_m: f64,
    /// Along the track, toward the machine's nose.
    pub along: DVec2,
    /// Where one may stand.
    pub points: Vec<Point>,
    /// The points in blocks of each of [`STRIDES`].
    pub blocks: [Blocks; 3],
}

impl Field {
    /// Lays the grid through the machine's centre along its track, so that it moves and turns with the machine.
    pub fn of(studio: &Studio) -> Field {
        // Closer ones are not even tried where wider ones are too many already.
        let (mut spacing_m, mut points) = (0.0, Vec::new());
        for (spacing, most) in SPACINGS.into_iter().rev() {
            if !points.is_empty() && points.len() * 4 > most {
                break;
            }
            (spacing_m, points) = (spacing, self::points(studio, spacing));
        }
        let blocks = STRIDES.map(|stride| {
            let mut blocks = Blocks::new();
            for (n, point) in points.iter().enumerate() {
                blocks.entry(block(point, stride)).or_default().push(n);
            }
            blocks
        });
        Field {
            spacing_m,
            along: studio.frame.forward,
            points,
            blocks,
        }
    }

    /// Where a block's middle lies; a point's is its own place.
    pub fn middle_m(&self, point: &Point, stride: i32) -> DVec2 {
        let [i, j] =
            block(point, stride).map(|at| f64::from(at * stride) + f64::from(stride) / 2.0);
        let [own_i, own_j] = point.step.map(|at| f64::from(at) + 0.5);
        let across = self.along.perp();
        point.at_m + (self.along * (i - own_i) + across * (j - own_j)) * self.spacing_m
    }
}

/// The block of a stride in which a point lies.
pub fn block(point: &Point, stride: i32) -> [i32; 2] {
    point.step.map(|at| at.div_euclid(stride))
}

fn points(studio: &Studio, spacing_m: f64) -> Vec<Point> {
    let frame = &studio.frame;
    let (along, across) = (frame.forward, frame.forward.perp());
    // Only within the bounds of the pieces of ground is anything asked.
    let corners = (studio.scene.ground.areas.iter()).flat_map(|area| &area.polygon_m);
    let flat = |corner: &DVec2| {
        let offset = *corner - frame.origin_m;
        DVec2::new(offset.dot(along), offset.dot(across)) / spacing_m
    };
    let far = DVec2::splat(FARTHEST_M / spacing_m);
    let (mut low, mut high) = (far, -far);
    for corner in corners.map(flat) {
        (low, high) = (low.min(corner), high.max(corner));
    }
    let (low, high) = (low.max(-far).floor(), high.min(far).ceil());
    let row = |i: i32| {
        (low.y as i32..high.y as i32).filter_map(move |j| {
            let offset = DVec2::new(f64::from(i), f64::from(j)) + DVec2::splat(0.5);
            let at_m = frame.origin_m + (along * offset.x + across * offset.y) * spacing_m;
            let area = roomy(studio, at_m)?;
            let step = [i, j];
            Some(Point { step, at_m, area })
        })
    };
    (low.x as i32..high.x as i32)
        .into_par_iter()
        .flat_map_iter(row)
        .collect()
}
