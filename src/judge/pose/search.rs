//! Ends of descents towards a pose, and what each says of how well the marks were placed. May not enter: which marks are
//! believed.

use super::doubt::{ANOTHER_M, APART_SHARE};
use super::least::{Ended, Unknowns, descend, inverse, normal};
use super::sights::{MIDDLE_X, MIDDLE_Y, RADIAL, Rough, look, pose};
use super::start::starts;
use super::{Known, Mark, Plate};

/// How many observed errors the stated precision of marking weighs as.
const STATED_WEIGHT: f64 = 2.0;

/// Steps of every descent that is tried, and of the few that go on: those are so many.
const STEPS_TRIED: usize = 12;
const STEPS: usize = 200;
const GO_ON: usize = 8;

/// What is left at nothing until a pose is found: far from it these fold the picture over, or take its place.
const LATE: [usize; 3] = [RADIAL, MIDDLE_X, MIDDLE_Y];

/// A fit and what it left out.
pub(super) struct Settled {
    pub ended: Ended,
    pub free: Vec<usize>,
    pub left_out: Vec<usize>,
    /// What is known roughly, as it was weighed last.
    pub rough: Vec<Rough>,
    /// What an error along an axis is, squared: as the residuals say, and the stated precision.
    pub variance: f64,
    /// Root mean square of the distances of the marks kept, pixels.
    pub rms_px: f64,
}

impl Settled {
    /// The marks kept.
    pub(super) fn marks<'m>(&self, marks: &'m [Mark]) -> Vec<&'m Mark> {
        without(marks, &self.left_out)
    }
}

/// Marks but those.
pub(super) fn without<'m>(marks: &'m [Mark], out: &[usize]) -> Vec<&'m Mark> {
    let kept = |(index, mark): (usize, &'m Mark)| (!out.contains(&index)).then_some(mark);
    marks.iter().enumerate().filter_map(kept).collect()
}

/// The first few ends whose eyes lie apart.
fn distinct(ends: Vec<Ended>) -> impl Iterator<Item = Ended> {
    let mut kept: Vec<Ended> = Vec::new();
    for end in ends {
        let eye = pose(&end.at).eye;
        let known = kept
            .iter()
            .any(|other| pose(&other.at).eye.distance(eye) < ANOTHER_M / 2.0);
        if !known && kept.len() < GO_ON {
            kept.push(end);
        }
    }
    kept.into_iter()
}

/// What is searched, and in what.
pub(super) struct Search<'a> {
    pub marks: &'a [Mark],
    pub plate: &'a Plate,
    pub known: &'a Known,
    pub rough: Vec<Rough>,
}

impl Search<'_> {
    fn focal_px(&self) -> Option<f64> {
        self.known
            .focal_mm
            .map(|focal_mm| focal_mm * self.plate.px_per_mm())
    }

    /// The end of a descent from somewhere, some marks left out.
    pub(super) fn from(&self, out: &[usize], free: &[usize], mut at: Unknowns) -> Option<Ended> {
        for late in LATE.iter().filter(|late| !free.contains(late)) {
            at[*late] = 0.0;
        }
        self.descend(&without(self.marks, out), free, STEPS, at)
    }

    pub(super) fn descend(
        &self,
        kept: &[&Mark],
        free: &[usize],
        steps: usize,
        at: Unknowns,
    ) -> Option<Ended> {
        let look = |at: &Unknowns| look(at, self.plate, kept, &self.rough);
        descend(at, free, steps, look)
    }

    /// A fit as it ended, some marks left out.
    pub(super) fn settled(&self, ended: Ended, left_out: Vec<usize>, free: &[usize]) -> Settled {
        let (squares, degrees) = self.weighed(&ended, &left_out, free);
        let count = self.marks.len() - left_out.len();
        Settled {
            variance: squares / degrees,
            rms_px: (self.marks_squares(&ended) / count as f64).sqrt(),
            ended,
            free: free.to_vec(),
            left_out,
            rough: self.rough.clone(),
        }
    }

    /// The squares of the marks alone: how far something roughly known is from what is told of it says nothing of how
    /// well marks were placed.
    pub(super) fn marks_squares(&self, ended: &Ended) -> f64 {
        let rough = self
            .rough
            .iter()
            .map(|rough| rough.error_px(&ended.at).powi(2));
        (ended.squares - rough.sum::<f64>()).max(0.0)
    }

    /// The marks' squares and degrees of freedom, the stated precision counted in. An unknown takes away as much of one as the
    /// marks decide it: the rest of it is what is roughly known (its leverage).
    pub(super) fn weighed(&self, ended: &Ended, out: &[usize], free: &[usize]) -> (f64, f64) {
        let count = self.marks.len() - out.len();
        let degrees = (2 * count) as f64 - free.len() as f64 + self.leverage(ended, out, free);
        (
            self.marks_squares(ended) + STATED_WEIGHT * self.known.placed_to_px.powi(2),
            degrees + STATED_WEIGHT,
        )
    }

    /// How many of the unknowns are decided by what is known roughly.
    fn leverage(&self, ended: &Ended, out: &[usize], free: &[usize]) -> f64 {
        if self.rough.is_empty() {
            return 0.0;
        }
        let linear = look(
            &ended.at,
            self.plate,
            &without(self.marks, out),
            &self.rough,
        );
        let inverse = linear.and_then(|linear| inverse(&normal(&linear, free).0, free.len()).ok());
        let Some(inverse) = inverse else { return 0.0 };
        let of = |rough: &Rough| {
            let place = free.iter().position(|unknown| *unknown == rough.unknown);
            place.map_or(0.0, |i| rough.weight_px.powi(2) * inverse[i][i])
        };
        self.rough.iter().map(of).sum()
    }

    /// The ends of descents from all round, deepest first: all go a few steps, the deepest then to their end. None
    /// is bent, and each has its axis in the middle.
    pub(super) fn ends(&self, out: &[usize], free: &[usize], roll_deg: f64) -> Vec<Ended> {
        let kept = without(self.marks, out);
        let deepest_first = |ends: &mut Vec<Ended>| {
            ends.sort_by(|a, b| a.squares.total_cmp(&b.squares));
        };
        let straight: Vec<usize> = free.iter().copied().filter(|u| !LATE.contains(u)).collect();
        let free = &straight[..];
        let mut tried: Vec<Ended> = starts(&kept, self.plate, self.focal_px(), roll_deg)
            .into_iter()
            .filter_map(|at| self.descend(&kept, free, STEPS_TRIED, at))
            .collect();
        deepest_first(&mut tried);
        let mut ends: Vec<Ended> = distinct(tried)
            .filter_map(|end| self.descend(&kept, free, STEPS, end.at))
            .collect();
        deepest_first(&mut ends);
        ends
    }

    /// The deepest end from anywhere. A camera held on its side is tried where an upright one does not fit.
    pub(super) fn deepest(&self, out: &[usize], free: &[usize]) -> Option<Ended> {
        let good = self.marks.len() as f64 * (APART_SHARE * self.plate.width_px / 4.0).powi(2);
        let mut best: Option<Ended> = None;
        for roll_deg in [0.0, 90.0, -90.0, 180.0] {
            let found = self.ends(out, free, roll_deg).into_iter().next();
            best = match (best, found) {
                (Some(a), Some(b)) if b.squares < a.squares => Some(b),
                (a, b) => a.or(b),
            };
            if best.as_ref().is_some_and(|best| best.squares < good) {
                break;
            }
        }
        self.whole(out, free, best?)
    }

    /// The same end with what comes late.
    pub(super) fn whole(&self, out: &[usize], free: &[usize], plain: Ended) -> Option<Ended> {
        match LATE.iter().any(|late| free.contains(late)) {
            true => self.from(out, free, plain.at),
            false => Some(plain),
        }
    }

    /// The deepest end from all round, for a camera held upright or turned as the fit has it that is astray.
    pub(super) fn all_round(&self, out: &[usize], free: &[usize], astray: &Ended) -> Option<Ended> {
        let quarter_deg = 90.0 * (pose(&astray.at).roll_deg / 90.0).round();
        let rolls = [0.0, quarter_deg];
        let rolls = &rolls[..1 + usize::from(quarter_deg != 0.0)];
        let ends = rolls
            .iter()
            .flat_map(|roll_deg| self.ends(out, free, *roll_deg))
            .filter_map(|plain| self.whole(out, free, plain));
        ends.min_by(|a, b| a.squares.total_cmp(&b.squares))
    }
}
