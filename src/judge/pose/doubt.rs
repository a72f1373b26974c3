//! Which marks are believed: the deepest fit, the marks that contradict all others, whether a bend is seen, and
//! whether another pose fits as well. May not enter: how one fit is searched.

use super::least::{Ended, Unknowns, descend};
use super::sights::{LOG_FOCAL, RADIAL, Rough, look, pose};
use super::start::starts;
use super::{Known, LEAST_FOR_BEND, Mark, Plate, Refused};

/// A mark is named when chance would put one of all so far off less often than this.
const CHANCE: f64 = 0.001;

/// How many observed errors the stated precision of marking weighs as.
const STATED_WEIGHT: f64 = 2.0;

/// Marks that must be left to contradict one.
const LEAST_LEFT: usize = 5;

/// A radial term is seen when it takes away so many times what one error does (F with one degree in the
/// numerator; 0.2 % by chance with a dozen left).
const BEND_SEEN: f64 = 15.0;

/// A second pose fits alike when its squares exceed the best by less than this many errors' (chi-square with two
/// degrees at 0.1 %), and is another one when its eye lies so far away, metres.
const ALIKE: f64 = 13.8;
const ANOTHER_M: f64 = 0.5;

/// Steps of every descent that is tried, and of the few that go on: those are so many.
const STEPS_TRIED: usize = 12;
const STEPS: usize = 200;
const GO_ON: usize = 8;

/// A fit whose marks are off by more than this share of the picture's width together has been drawn to a
/// wrong stand; with so few marks every pair is then searched anew.
const ASTRAY_SHARE: f64 = 0.004;
const MANY: usize = 20;

/// Times that a roughly known focal length is weighed anew against what the marks are seen to err by: it settles at once.
const REWEIGHED: usize = 3;

/// Marks off by more than this share of the picture's width together are no picture of this machine.
const APART_SHARE: f64 = 0.02;

/// A fit and what it left out.
pub(super) struct Settled {
    pub ended: Ended,
    pub free: Vec<usize>,
    pub left_out: Vec<usize>,
    /// The roughly known focal length as it was weighed last.
    pub rough: Option<Rough>,
    count: usize,
}

impl Settled {
    /// The marks kept.
    pub(super) fn marks<'m>(&self, marks: &'m [Mark]) -> Vec<&'m Mark> {
        without(marks, &self.left_out)
    }

    /// What an error along an axis is, squared: as the residuals say, and the stated precision.
    pub(super) fn variance(&self, known: &Known) -> f64 {
        let (squares, degrees) = weighed(&self.ended, self.count, self.free.len(), known);
        squares / degrees
    }

    /// Root mean square of the distances of the marks kept, pixels.
    pub(super) fn rms_px(&self) -> f64 {
        let rough_px = (self.rough.as_ref()).map_or(0.0, |rough| rough.error_px(&self.ended.at));
        let squares = (self.ended.squares - rough_px.powi(2)).max(0.0);
        (squares / self.count as f64).sqrt()
    }
}

/// Squares and degrees of freedom, the stated precision counted in.
fn weighed(ended: &Ended, count: usize, free: usize, known: &Known) -> (f64, f64) {
    let observed = 2 * count + usize::from(known.is_rough());
    let degrees = observed as f64 - free as f64;
    (
        ended.squares + STATED_WEIGHT * known.placed_to_px.powi(2),
        degrees + STATED_WEIGHT,
    )
}

/// Marks but those.
fn without<'m>(marks: &'m [Mark], out: &[usize]) -> Vec<&'m Mark> {
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
struct Search<'a> {
    marks: &'a [Mark],
    plate: &'a Plate,
    known: &'a Known,
    rough: Option<Rough>,
}

/// The fit that is believed.
pub(super) fn settle(marks: &[Mark], plate: &Plate, known: &Known) -> Result<Settled, Refused> {
    let search = Search {
        marks,
        plate,
        known,
        rough: known.rough(plate),
    };
    let mut free: Vec<usize> = (0..LOG_FOCAL).collect();
    if known.focal_mm.is_none() || known.is_rough() {
        free.push(LOG_FOCAL);
    }
    let plain = search.believed(&free)?;
    let mut best = plain;
    if known.bend && marks.len() >= LEAST_FOR_BEND {
        let mut bent = free.clone();
        bent.push(RADIAL);
        // A bend is believed if it explains what is left, counted over the marks that the bent fit keeps.
        if let Ok(found) = search.believed(&bent)
            && let Some(straight) = search.from(&found.left_out, &free, found.ended.at)
            && found.left_out.len() <= best.left_out.len()
            && found.variance(known) < best.variance(known)
        {
            let gain = (straight.squares - found.ended.squares) / found.variance(known);
            if gain > BEND_SEEN {
                best = found;
            }
        }
    }
    let best = search.reweighed(best);
    let rms_px = best.rms_px();
    if rms_px > APART_SHARE * plate.width_px {
        let worst = search.worst(&best);
        return Err(Refused::Apart { rms_px, worst });
    }
    search.refuse_a_second(&best)?;
    Ok(best)
}

impl Search<'_> {
    fn focal_px(&self) -> Option<f64> {
        self.known
            .focal_mm
            .map(|focal_mm| focal_mm * self.plate.px_per_mm())
    }

    /// The end of a descent from somewhere, some marks left out.
    fn from(&self, out: &[usize], free: &[usize], mut at: Unknowns) -> Option<Ended> {
        if !free.contains(&RADIAL) {
            at[RADIAL] = 0.0;
        }
        self.descend(&without(self.marks, out), free, STEPS, at)
    }

    fn descend(&self, kept: &[&Mark], free: &[usize], steps: usize, at: Unknowns) -> Option<Ended> {
        let look = |at: &Unknowns| look(at, self.plate, kept, self.rough.as_ref());
        descend(at, free, steps, look)
    }

    /// The ends of descents from all round, deepest first: all go a few steps, the deepest then to their end. None
    /// is bent: far from the pose a radial term folds the picture over.
    fn ends(&self, out: &[usize], free: &[usize], roll_deg: f64) -> Vec<Ended> {
        let kept = without(self.marks, out);
        let deepest_first = |ends: &mut Vec<Ended>| {
            ends.sort_by(|a, b| a.squares.total_cmp(&b.squares));
        };
        let straight: Vec<usize> = free.iter().copied().filter(|u| *u != RADIAL).collect();
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
    fn deepest(&self, out: &[usize], free: &[usize]) -> Option<Ended> {
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
        let best = best?;
        if !free.contains(&RADIAL) {
            return Some(best);
        }
        self.from(out, free, best.at)
    }

    /// The fit after every mark that contradicts the others has been left out: one at a time, and where
    /// no single one explains what is wrong, two (two names exchanged hide each other).
    fn believed(&self, free: &[usize]) -> Result<Settled, Refused> {
        let mut out = Vec::new();
        let mut ended = self.deepest(&out, free).ok_or(Refused::NoPose)?;
        loop {
            let kept: Vec<usize> = (0..self.marks.len())
                .filter(|index| !out.contains(index))
                .collect();
            let singles = kept.iter().map(|&one| vec![one]);
            let single = self.likeliest(&out, free, &ended, singles);
            let mut found = single;
            if found.is_none() && self.is_poor(&ended, kept.len(), free.len()) {
                let pairs = (kept.iter().enumerate())
                    .flat_map(|(i, &a)| kept[..i].iter().map(move |&b| vec![b, a]));
                found = self.likeliest(&out, free, &ended, pairs);
            }
            let Some((more, less)) = found else {
                return Ok(Settled {
                    count: kept.len(),
                    ended,
                    free: free.to_vec(),
                    left_out: out,
                    rough: self.rough,
                });
            };
            out.extend(more);
            out.sort_unstable();
            ended = less;
        }
    }

    /// The same with a roughly known focal length weighed against what the marks are seen to err by, in place of what they
    /// are said to.
    fn reweighed(&self, mut best: Settled) -> Settled {
        for _ in 0..REWEIGHED {
            let Some(rough) = self
                .known
                .rough_beside(self.plate, best.variance(self.known).sqrt())
            else {
                break;
            };
            let weighed = Search {
                rough: Some(rough),
                ..*self
            };
            let Some(ended) = weighed.from(&best.left_out, &best.free, best.ended.at) else {
                break;
            };
            (best.ended, best.rough) = (ended, Some(rough));
        }
        best
    }

    /// Whether marks err by far more than they are said to.
    fn is_poor(&self, ended: &Ended, count: usize, free: usize) -> bool {
        let (squares, degrees) = weighed(ended, count, free, self.known);
        squares / degrees > (3.0 * self.known.placed_to_px).powi(2)
    }

    /// The candidates without which the rest fits best, if chance would hardly put them so far off.
    fn likeliest(
        &self,
        out: &[usize],
        free: &[usize],
        ended: &Ended,
        candidates: impl Iterator<Item = Vec<usize>>,
    ) -> Option<(Vec<usize>, Ended)> {
        let mut tried = 0;
        let count = (self.marks.len() - out.len()) as f64;
        let rms_px = (ended.squares / count).sqrt();
        let astray = rms_px > ASTRAY_SHARE * self.plate.width_px && self.marks.len() <= MANY;
        let mut best: Option<(Vec<usize>, Ended)> = None;
        for more in candidates {
            tried += 1;
            let all: Vec<usize> = out.iter().chain(&more).copied().collect();
            let left = self.marks.len() - all.len();
            if left < LEAST_LEFT {
                return None;
            }
            // A fit that is far astray leads nowhere: each candidate is then searched from all round.
            let less = match astray {
                true => self.all_round(&all, free, ended),
                false => self.from(&all, free, ended.at),
            };
            let Some(less) = less else { continue };
            if best.as_ref().is_none_or(|(_, b)| less.squares < b.squares) {
                best = Some((more, less));
            }
        }
        let (more, mut less) = best?;
        let all: Vec<usize> = out.iter().chain(&more).copied().collect();
        // A mark that was far off may have drawn the fit to a wrong stand.
        if self.is_poor(&less, self.marks.len() - all.len(), free.len())
            && let Some(anew) = self.deepest(&all, free)
            && anew.squares < less.squares
        {
            less = anew;
        }
        let left = self.marks.len() - all.len();
        let (squares, degrees) = weighed(&less, left, free.len(), self.known);
        // Two errors for each mark left out, against those that stay: Fisher's F with 2 m and ν degrees. For
        // two its tail is (1 + 2 F / ν)^(−ν/2) exactly; for four, with u = 4 F / ν, (1 + u)^(−ν/2 − 1)
        // (1 + u (1 + ν/2)).
        let u = (ended.squares - less.squares).max(0.0) / squares;
        let half = degrees / 2.0;
        let chance = match more.len() {
            1 => (1.0 + u).powf(-half),
            _ => (1.0 + u).powf(-half - 1.0) * (1.0 + u * (1.0 + half)),
        };
        (chance * f64::from(tried) < CHANCE).then_some((more, less))
    }

    /// The deepest end from all round, for a camera held upright or turned as the fit has it that is astray.
    fn all_round(&self, out: &[usize], free: &[usize], astray: &Ended) -> Option<Ended> {
        let quarter_deg = 90.0 * (pose(&astray.at).roll_deg / 90.0).round();
        let rolls = [0.0, quarter_deg];
        let rolls = &rolls[..1 + usize::from(quarter_deg != 0.0)];
        let ends = rolls
            .iter()
            .flat_map(|roll_deg| self.ends(out, free, *roll_deg));
        ends.min_by(|a, b| a.squares.total_cmp(&b.squares))
    }

    /// The mark that is most off.
    fn worst(&self, settled: &Settled) -> String {
        let kept = settled.marks(self.marks);
        let errors = look(&settled.ended.at, self.plate, &kept, None).map(|linear| linear.errors);
        let off = |index: usize| {
            let errors = errors.as_deref().unwrap_or_default();
            errors
                .get(2 * index..2 * index + 2)
                .map_or(0.0, |e| e[0].hypot(e[1]))
        };
        (0..kept.len())
            .max_by(|&a, &b| off(a).total_cmp(&off(b)))
            .map_or(String::new(), |index| kept[index].name.clone())
    }

    /// Refuses a pose beside which another one fits as well.
    fn refuse_a_second(&self, best: &Settled) -> Result<(), Refused> {
        let eye = pose(&best.ended.at).eye;
        let most = best.ended.squares + ALIKE * best.variance(self.known);
        let roll_deg = pose(&best.ended.at).roll_deg;
        let alike = Search {
            rough: best.rough,
            ..*self
        };
        for straight in alike.ends(&best.left_out, &best.free, roll_deg) {
            // Those are not bent yet.
            let other = match best.free.contains(&RADIAL) {
                true => alike.from(&best.left_out, &best.free, straight.at),
                false => Some(straight),
            };
            let Some(other) = other.filter(|other| other.squares <= most) else {
                continue;
            };
            let there = pose(&other.at).eye;
            // Unresolved unknowns let ends differ along a valley: that is told by the covariance instead.
            let apart = there.distance(eye) > ANOTHER_M && self.is_own_minimum(best, &other);
            if apart {
                return Err(Refused::TwoPoses(eye, there));
            }
        }
        Ok(())
    }

    /// Whether the squares rise between two ends, beyond what noise is.
    fn is_own_minimum(&self, best: &Settled, other: &Ended) -> bool {
        let kept = best.marks(self.marks);
        let mut between = best.ended.at;
        for (value, there) in between.iter_mut().zip(&other.at) {
            *value = (*value + there) / 2.0;
        }
        let squares = look(&between, self.plate, &kept, best.rough.as_ref())
            .map(|linear| super::least::sum_of_squares(&linear.errors));
        squares.is_none_or(|squares| squares > 4.0 * (best.ended.squares.max(other.squares) + 1.0))
    }
}
