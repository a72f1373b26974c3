//! The patch: graded points as squares to scale, neighbours that are alike put together. May not enter: how they were
//! graded, colours.

use super::field::{Field, STRIDES, block};
use crate::grade::Verdict;
use glam::DVec2;

/// What is known of a spot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// The verdict; lost where closed form loses it.
    pub verdict: Verdict,
    /// The score; where closed form loses it, what it could be at most.
    pub score: f64,
    /// Index of the rulebook's fault that binds: the worst one; none where all is clean.
    pub binds: Option<usize>,
    /// The spot that was graded for it; none where closed form says enough.
    pub graded_m: Option<DVec2>,
}

/// A square of allowed ground of which one thing is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Its middle: east, north.
    pub centre_m: DVec2,
    /// Its side.
    pub size_m: f64,
    /// Index of its piece of ground.
    pub area: usize,
    /// What is known of it.
    pub known: Known,
}

/// The ground graded for one minute.
#[derive(Clone, Debug, PartialEq)]
pub struct Patch {
    /// Squares that do not overlap. Ground without one is not allowed, or not yet graded.
    pub cells: Vec<Cell>,
    /// All squares are turned so that one side runs along this unit vector (the machine's track).
    pub along: DVec2,
    /// Side of the smallest square.
    pub spacing_m: f64,
    /// Spots graded so far.
    pub graded: usize,
    /// How much of the work is done, 0–1.
    pub share: f64,
}

impl Patch {
    /// The best cell; of equals the first.
    pub fn best(&self) -> Option<&Cell> {
        let graded = self
            .cells
            .iter()
            .filter(|cell| cell.known.graded_m.is_some());
        graded.reduce(|best, cell| {
            if cell.known.score > best.known.score {
                cell
            } else {
                best
            }
        })
    }

    /// What is known at a place; none off the patch.
    pub fn at(&self, spot_m: DVec2) -> Option<&Cell> {
        let across = self.along.perp();
        self.cells.iter().find(|cell| {
            let offset = spot_m - cell.centre_m;
            offset.dot(self.along).abs().max(offset.dot(across).abs()) <= cell.size_m / 2.0
        })
    }

    /// Square metres on which the verdict is at least so good.
    pub fn area_m2(&self, least: Verdict) -> f64 {
        let serves = self.cells.iter().filter(|cell| cell.known.verdict >= least);
        serves.fold(0.0, |sum, cell| sum + cell.size_m * cell.size_m)
    }

    /// Points with what is known of each.
    pub(super) fn of(field: &Field, known: &[Option<Known>], graded: usize, share: f64) -> Patch {
        let mut cells = Vec::new();
        for points in field.blocks[0].values() {
            put_block(field, known, points, 0, &mut cells);
        }
        Patch {
            cells,
            along: field.along,
            spacing_m: field.spacing_m,
            graded,
            share,
        }
    }
}

/// Whether two points may be one square.
fn alike(a: &Known, b: &Known) -> bool {
    match (a.graded_m, b.graded_m) {
        (None, None) => (a.verdict, a.binds) == (b.verdict, b.binds),
        (a, b) => a == b,
    }
}

/// Puts a block as one square, if all of it is allowed and alike; else as the blocks inside it.
fn put_block(
    field: &Field,
    known: &[Option<Known>],
    points: &[usize],
    level: usize,
    out: &mut Vec<Cell>,
) {
    let stride = STRIDES[level];
    let first = &field.points[points[0]];
    let is_whole = points.len() == (stride * stride) as usize
        && points.iter().all(|n| field.points[*n].area == first.area)
        && points
            .windows(2)
            .all(|pair| match (&known[pair[0]], &known[pair[1]]) {
                (Some(a), Some(b)) => alike(a, b),
                _ => false,
            });
    if is_whole || stride == 1 {
        let best = points.iter().filter_map(|n| known[*n]);
        let best = best.reduce(|a, b| if b.score > a.score { b } else { a });
        out.extend(best.map(|known| Cell {
            centre_m: field.middle_m(first, stride),
            size_m: field.spacing_m * f64::from(stride),
            area: first.area,
            known,
        }));
        return;
    }
    let mut points = points.to_vec();
    let of = |n: &usize| block(&field.points[*n], STRIDES[level + 1]);
    points.sort_by_key(of);
    for inner in points.chunk_by(|a, b| of(a) == of(b)) {
        put_block(field, known, inner, level + 1, out);
    }
}
