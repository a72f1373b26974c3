//! The good patch of ground: for one minute, lens and height the verdict of every allowed spot, coarse first. Each
//! spot that is drawn is graded as `grade` grades it, at search size; what closed form loses is never drawn. May not
//! enter: other minutes, other lenses, colours.

mod eyes; // what was drawn before, kept
mod field; // allowed ground as points, and blocks of them
mod patch; // graded points as cells to scale

pub use eyes::Eyes;
pub use patch::{Cell, Known, Patch};

use super::request::{Cancelled, Watch};
use crate::grade::measure::capture::Capture;
use crate::grade::measure::light;
use crate::grade::{Composed, Grade, Minute, Stand, Studio, Tally, Verdict};
use crate::sighting::shown::{Shown, Side};
use eyes::Geometry;
use field::{Field, STRIDES, block};
use glam::DVec2;
use rayon::prelude::*;

/// How the camera is held on every spot: level, aimed for equal side margins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// Focal length.
    pub lens_mm: f64,
    /// Height of the lens over the ground.
    pub height_m: f64,
    /// How it is stopped down and exposed.
    pub capture: Capture,
}

impl Hold {
    /// The stand on a spot.
    pub fn stand(&self, studio: &Studio, spot_m: DVec2) -> Stand {
        let mut stand = Stand {
            spot_m,
            height_m: self.height_m,
            lens_mm: self.lens_mm,
            heading_deg: 0.0,
            pitch_deg: 0.0,
            roll_deg: 0.0,
        };
        stand.heading_deg = studio.balanced_heading_deg(&stand);
        stand
    }
}

/// Spots drawn between two partial results and two looks at the watch.
const BATCH: usize = 24;

/// Scores that differ by less all round a block, for one cause, are told apart by nobody who looks at shaded ground.
const EVEN_SCORES: f64 = 2.0;

/// Grades the allowed ground at a minute. `on_part` is handed the whole patch again and again, more of it and finer
/// each time; the last one is returned. `eyes` keeps what is drawn for this studio, so that another minute costs no
/// drawing. What is returned depends on nothing that was kept.
pub fn here(
    studio: &Studio,
    eyes: &Eyes,
    minute: &Minute,
    hold: &Hold,
    watch: &Watch,
    on_part: &mut dyn FnMut(&Patch),
) -> Result<Patch, Cancelled> {
    watch.step("the ground", 0.0)?;
    eyes.begin();
    let field = eyes.field(studio);
    watch.alive()?;
    let geometry = eyes.geometry(studio, hold);
    watch.alive()?;
    let mut look = Look {
        studio,
        field,
        bounds: bounds(studio, minute, &geometry),
        graded: vec![None; field.points.len()],
        count: 0,
    };
    for level in 0..STRIDES.len() {
        let wanted = look.wanted(level);
        for (done, batch) in wanted.chunks(BATCH).enumerate() {
            let within = (done * BATCH) as f64 / wanted.len() as f64;
            let share = (level as f64 + within) / STRIDES.len() as f64;
            watch.step("standing here and there", share)?;
            let composed = eyes.compose(studio, hold, &geometry, batch);
            look.grade(minute, batch, &composed);
            on_part(&look.patch(share));
        }
    }
    let patch = look.patch(1.0);
    watch.step("done", 1.0)?;
    on_part(&patch);
    Ok(patch)
}

/// What closed form says of every point: its sun, its geometry, and other things' shadows, which every eye on a side
/// sees alike. By night or where all is shaded nothing is left to draw.
fn bounds(studio: &Studio, minute: &Minute, geometry: &Geometry) -> Vec<Known> {
    let moment = minute.moment();
    // First, so that no two threads wait for one of these.
    let shadows = [false, true].map(|head| {
        [Side::Left, Side::Right].map(|side| {
            let mut out = Vec::new();
            if !moment.is_night() {
                light::foreign(
                    studio.shadows(minute, Shown { head, side }, false),
                    &mut out,
                );
            }
            out
        })
    });
    let of_point = |(stand, tally): &(Stand, Tally)| {
        let mut tally = tally.clone();
        if tally.verdict() > Verdict::Lost {
            tally = studio.bound(&tally, stand, &moment);
            let shown = Shown::to(studio.eye(stand));
            let right = usize::from(shown.side == Side::Right);
            tally.add_measured(studio.rulebook, &shadows[usize::from(shown.head)][right]);
        }
        Known {
            verdict: tally.verdict(),
            score: tally.score(),
            binds: worst(&tally),
            graded_m: None,
        }
    };
    geometry.par_iter().map(of_point).collect()
}

/// The worst fault of a tally: the worst grade, the largest penalty, the first.
fn worst(tally: &Tally) -> Option<usize> {
    let faults = tally.faults.iter().enumerate();
    let faults = faults.filter(|(_, (grade, _))| *grade > Grade::Clean);
    let worse = |a: &(Grade, f64), b: &(Grade, f64)| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1));
    faults
        .min_by(|a, b| worse(a.1, b.1))
        .map(|(fault, _)| fault)
}

/// What has been looked at so far.
struct Look<'a, 'b> {
    studio: &'a Studio<'b>,
    field: &'a Field,
    /// For each point what closed form says.
    bounds: Vec<Known>,
    /// For each point what was graded there.
    graded: Vec<Option<Known>>,
    count: usize,
}

impl Look<'_, '_> {
    /// The points that stand for their blocks at a level and are not graded yet, those first that hope most.
    fn wanted(&self, level: usize) -> Vec<usize> {
        let stride = STRIDES[level];
        let blocks = self.field.blocks[level].iter();
        let mut wanted: Vec<usize> = blocks
            .filter(|(at, _)| level == 0 || self.pays(level - 1, at.map(|k| k.div_euclid(2))))
            .filter_map(|(_, points)| {
                let hopeful = |n: &&usize| self.bounds[**n].verdict > Verdict::Lost;
                let from_middle = |n: &&usize| {
                    let point = &self.field.points[**n];
                    point.at_m.distance(self.field.middle_m(point, stride))
                };
                let nearest = points.iter().filter(hopeful);
                let nearest = *nearest.min_by(|a, b| from_middle(a).total_cmp(&from_middle(b)))?;
                let is_known = points.iter().any(|n| self.graded[*n].is_some());
                (!is_known).then_some(nearest)
            })
            .collect();
        // Stable: equals keep the field's order.
        wanted.sort_by(|a, b| self.bounds[*b].score.total_cmp(&self.bounds[*a].score));
        wanted
    }

    /// Whether it pays to look closer into a block: it or one beside it holds something that is not lost. To the last
    /// only where they differ: what is alike all round is alike in between.
    fn pays(&self, level: usize, [i, j]: [i32; 2]) -> bool {
        let around = (-1..=1).flat_map(|di| (-1..=1).map(move |dj| [i + di, j + dj]));
        let points = around.filter_map(|at| self.field.blocks[level].get(&at));
        let known: Vec<Known> = (points.flatten()).filter_map(|n| self.graded[*n]).collect();
        let is_last = level + 2 == STRIDES.len();
        let scores = known.iter().map(|known| known.score);
        let span =
            scores.clone().fold(f64::NEG_INFINITY, f64::max) - scores.fold(f64::INFINITY, f64::min);
        let same =
            |pair: &[Known]| (pair[0].verdict, pair[0].binds) == (pair[1].verdict, pair[1].binds);
        let is_even = span < EVEN_SCORES && known.windows(2).all(same);
        known.iter().any(|known| known.verdict > Verdict::Lost) && !(is_last && is_even)
    }

    /// Grades drawn frames at the minute.
    fn grade(&mut self, minute: &Minute, points: &[usize], composed: &[std::sync::Arc<Composed>]) {
        let book = self.studio.rulebook;
        let known = composed.par_iter().map(|composed| {
            let sheet = self.studio.grade_at(composed, minute).sheet;
            let worst = sheet
                .faults
                .first()
                .filter(|worst| worst.grade > Grade::Clean);
            let index = |key: &str| book.faults.iter().position(|fault| fault.key == key);
            Known {
                verdict: sheet.verdict,
                score: sheet.score,
                binds: worst.and_then(|worst| index(&worst.fault)),
                graded_m: Some(composed.stand.spot_m),
            }
        });
        let known: Vec<Known> = known.collect();
        self.count += known.len();
        for (n, known) in points.iter().zip(known) {
            self.graded[*n] = Some(known);
        }
    }

    /// Every point with what stands for it: its own grade, or that of the nearest in the smallest block that has one.
    fn patch(&self, share: f64) -> Patch {
        let of_point = |n: usize| {
            if self.bounds[n].verdict == Verdict::Lost {
                return Some(self.bounds[n]);
            }
            let point = &self.field.points[n];
            let in_block = |level: usize| {
                let points = self.field.blocks[level].get(&block(point, STRIDES[level]))?;
                let known = points.iter().filter_map(|n| self.graded[*n]);
                known.min_by(|a, b| {
                    let away = |known: &Known| known.graded_m.map(|at| at.distance(point.at_m));
                    away(a)
                        .partial_cmp(&away(b))
                        .unwrap_or(std::cmp::Ordering::Equal)
                })
            };
            (0..STRIDES.len()).rev().find_map(in_block)
        };
        let known: Vec<Option<Known>> = (0..self.field.points.len()).map(of_point).collect();
        Patch::of(self.field, &known, self.count, share)
    }
}
