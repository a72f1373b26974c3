//! Which marks are believed: the deepest fit, the marks that contradict all others, whether a bend is seen, and
//! whether another pose fits as well. May not enter: how one fit is searched.

use super::least::Ended;
use super::search::{Search, Settled};
use super::sights::{LOG_FOCAL, MIDDLE_X, MIDDLE_Y, RADIAL, look, pose};
use super::{Known, LEAST_FOR_BEND, Mark, Plate, Point, Refused};

/// A mark is named when chance would put one of all so far off less often than this.
const CHANCE: f64 = 0.001;

/// Marks that must be left to contradict one.
const LEAST_LEFT: usize = 5;

/// A radial term is seen when it takes away so many times what one error does (F with one degree in the
/// numerator; 0.2 % by chance with a dozen left).
const BEND_SEEN: f64 = 15.0;

/// A second pose fits alike when its squares exceed the best by less than this many errors' (chi-square with two
/// degrees at 0.1 %), and is another one when its eye lies so far away, metres.
const ALIKE: f64 = 13.8;
pub(super) const ANOTHER_M: f64 = 0.5;

/// A fit whose marks are off by more than this share of the picture's width together has been drawn to a
/// wrong stand; with so few marks every pair is then searched anew.
const ASTRAY_SHARE: f64 = 0.004;
const MANY: usize = 20;

/// Times that what is known roughly is weighed anew against what the marks are seen to err by. That depends on the weight only
/// by as much as it draws the marks aside, so it settles soon.
const REWEIGHED: usize = 3;

/// Marks off by more than this share of the picture's width together are no picture of this machine.
pub(super) const APART_SHARE: f64 = 0.02;

/// The fit that is believed.
pub(super) fn settle(marks: &[Mark], plate: &Plate, known: &Known) -> Result<Settled, Refused> {
    let search = Search {
        marks,
        plate,
        known,
        rough: known.rough_beside(plate, known.placed_to_px),
    };
    let mut free: Vec<usize> = (0..LOG_FOCAL).collect();
    if known.focal_mm.is_none() || known.is_rough() {
        free.push(LOG_FOCAL);
    }
    if known.is_beside() {
        free.extend([MIDDLE_X, MIDDLE_Y]);
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
            && found.variance < best.variance
        {
            let gain = (straight.squares - found.ended.squares) / found.variance;
            if gain > BEND_SEEN {
                best = found;
            }
        }
    }
    let best = search.reweighed(best);
    let rms_px = best.rms_px;
    if rms_px > APART_SHARE * plate.width_px {
        let worst = search.worst(&best);
        return Err(Refused::Apart { rms_px, worst });
    }
    search.refuse_a_second(&best)?;
    Ok(best)
}

impl Search<'_> {
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
            if found.is_none() && self.is_poor(&ended, &out, free) {
                let pairs = (kept.iter().enumerate())
                    .flat_map(|(i, &a)| kept[..i].iter().map(move |&b| vec![b, a]));
                found = self.likeliest(&out, free, &ended, pairs);
            }
            let Some((more, less)) = found else {
                return Ok(self.settled(ended, out, free));
            };
            out.extend(more);
            out.sort_unstable();
            ended = less;
        }
    }

    /// The same with what is known roughly weighed against what the marks are seen to err by, in place of what they are
    /// said to.
    fn reweighed(&self, mut best: Settled) -> Settled {
        for _ in 0..REWEIGHED {
            let rough = self.known.rough_beside(self.plate, best.variance.sqrt());
            if rough.is_empty() {
                break;
            }
            let weighed = Search { rough, ..*self };
            let Some(ended) = weighed.from(&best.left_out, &best.free, best.ended.at) else {
                break;
            };
            best = weighed.settled(ended, best.left_out, &best.free);
        }
        best
    }

    /// Whether marks err by far more than they are said to.
    fn is_poor(&self, ended: &Ended, out: &[usize], free: &[usize]) -> bool {
        let (squares, degrees) = self.weighed(ended, out, free);
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
        let rms_px = (self.marks_squares(ended) / count).sqrt();
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
        if self.is_poor(&less, &all, free)
            && let Some(anew) = self.deepest(&all, free)
            && anew.squares < less.squares
        {
            less = anew;
        }
        let (squares, degrees) = self.weighed(&less, &all, free);
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

    /// The mark that is most off.
    fn worst(&self, settled: &Settled) -> Point {
        let kept = settled.marks(self.marks);
        let errors = look(&settled.ended.at, self.plate, &kept, &[]).map(|linear| linear.errors);
        let off = |index: usize| {
            let errors = errors.as_deref().unwrap_or_default();
            errors
                .get(2 * index..2 * index + 2)
                .map_or(0.0, |e| e[0].hypot(e[1]))
        };
        (0..kept.len())
            .max_by(|&a, &b| off(a).total_cmp(&off(b)))
            .map_or(Point::named(""), |index| Point::named(&kept[index].name))
    }

    /// Refuses a pose beside which another one fits as well.
    fn refuse_a_second(&self, best: &Settled) -> Result<(), Refused> {
        let eye = pose(&best.ended.at).eye;
        let most = best.ended.squares + ALIKE * best.variance;
        let roll_deg = pose(&best.ended.at).roll_deg;
        let alike = Search {
            rough: best.rough.clone(),
            ..*self
        };
        for plain in alike.ends(&best.left_out, &best.free, roll_deg) {
            let other = alike.whole(&best.left_out, &best.free, plain);
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
        let squares = look(&between, self.plate, &kept, &best.rough)
            .map(|linear| super::least::sum_of_squares(&linear.errors));
        squares.is_none_or(|squares| squares > 4.0 * (best.ended.squares.max(other.squares) + 1.0))
    }
}
