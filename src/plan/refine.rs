//! Refining: a proposed stand and minute is moved in small steps while that betters its score. May not
//! enter: the grid.

use crate::grade::measure::eye::WIDEST_DEG;
use crate::grade::rulebook::ViewSize;
use crate::grade::{Composed, Graded, Minute, Moment, Stand, Studio, Tally};
use crate::plan::request::{Cancelled, Watch};
use crate::plan::spots::roomy;
use chrono::{DateTime, Duration, Utc};
use glam::DVec2;
use rayon::prelude::*;
use std::cmp::Ordering;
use std::sync::{Arc, OnceLock};

/// How a stand and minute is refined.
pub struct Climb {
    /// Steps of spot, metres, and of time, seconds, from coarse to fine.
    steps: &'static [(f64, i64)],
    /// So many rounds without gain end a step size.
    stalled: usize,
    /// Where the score is level, climb by headroom.
    by_headroom: bool,
    /// Less gain of score or headroom is none.
    least_gain: f64,
}

/// By the search's own size.
pub const SEARCH: Climb = Climb {
    steps: &[(0.5, 240), (0.25, 60), (0.12, 30)],
    stalled: 2,
    by_headroom: true,
    least_gain: 0.002,
};

/// By the proof's, whose sizes cost ten times as much: the score alone.
pub const PROOF: Climb = Climb {
    steps: &[(0.12, 30)],
    stalled: 1,
    by_headroom: false,
    least_gain: 0.01,
};

/// Directions in which the spot moves.
const WAYS: usize = 8;
/// The directions turn by this from round to round, degrees: a fine frame's score is the least of many
/// headrooms, so that it rises along narrow ridges which fixed directions miss. The golden angle leaves no
/// direction out for long.
const TURN_DEG: f64 = 137.507_764;
/// So many pairs are drawn side by side: a fixed number, so that one thread does the same work as many. More would be
/// drawn in vain where the first of them gains.
const AT_ONCE: usize = 4;
/// No step size is followed for longer.
const MOST_ROUNDS: usize = 16;

/// What is climbed: the score, and where that is level the room inside the clean limits, so that a frame
/// with a lasting small fault has a best minute too.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    /// 0–100.
    pub score: f64,
    /// 0–1.
    pub headroom: f64,
}

impl Worth {
    fn of(graded: &Graded) -> Worth {
        Worth {
            score: graded.sheet.score,
            headroom: graded.sheet.headroom,
        }
    }

    fn bound(tally: &Tally) -> Worth {
        Worth {
            score: tally.score(),
            headroom: tally.headroom,
        }
    }

    fn betters(&self, other: &Worth, climb: &Climb) -> bool {
        let gain = self.score - other.score;
        let level = climb.by_headroom && gain.abs() < climb.least_gain;
        gain >= climb.least_gain || (level && self.headroom >= other.headroom + climb.least_gain)
    }

    fn order(&self, other: &Worth) -> Ordering {
        (other.score.total_cmp(&self.score)).then(other.headroom.total_cmp(&self.headroom))
    }
}

/// A stand and minute with what was drawn for it.
pub struct Held<'a> {
    /// When.
    pub at: DateTime<Utc>,
    /// The size at which it was drawn.
    size: &'a ViewSize,
    composed: Arc<Composed>,
    minute: Arc<Minute>,
    /// Its worth at this size.
    pub worth: Worth,
}

impl<'a> Held<'a> {
    /// Draws and grades a stand and minute.
    pub fn new(studio: &Studio, size: &'a ViewSize, stand: Stand, at: DateTime<Utc>) -> Held<'a> {
        let composed = compose(studio, size, &stand);
        let minute = studio.minute_at_size(at, size);
        let worth = Worth::of(&studio.grade_unmended(&composed, &minute));
        Held {
            at,
            size,
            composed: Arc::new(composed),
            minute: Arc::new(minute),
            worth,
        }
    }

    /// Where and how.
    pub fn stand(&self) -> &Stand {
        &self.composed.stand
    }

    /// The grade at this size, its findings without what would mend them.
    pub fn unmended(&self, studio: &Studio) -> Graded {
        studio.grade_unmended(&self.composed, &self.minute)
    }

    /// The same minute from elsewhere; `None` where one may not stand.
    pub fn moved(&self, studio: &Studio, step_m: DVec2) -> Option<Graded> {
        let stand = stepped(studio, self.stand(), step_m)?;
        Some(studio.grade_unmended(&compose(studio, self.size, &stand), &self.minute))
    }

    /// The same stand at another minute.
    pub fn later(&self, studio: &Studio, seconds: i64) -> (DateTime<Utc>, Graded) {
        let at = self.at + Duration::seconds(seconds);
        let minute = studio.minute_at_size(at, self.size);
        (at, studio.grade_unmended(&self.composed, &minute))
    }
}

fn compose(studio: &Studio, size: &ViewSize, stand: &Stand) -> Composed {
    studio.compose(stand, &studio.default_capture(), size, WIDEST_DEG)
}

/// A stand moved on allowed ground, its heading balanced anew.
fn stepped(studio: &Studio, stand: &Stand, step_m: DVec2) -> Option<Stand> {
    let mut stand = *stand;
    stand.spot_m += step_m;
    roomy(studio, stand.spot_m)?;
    stand.heading_deg = studio.balanced_heading_deg(&stand);
    Some(stand)
}

/// A place to try, drawn only when something that needs it is worth grading.
struct Place {
    stand: Stand,
    /// What geometry says of it.
    geometry: Tally,
    /// As drawn, and what that says without a sun.
    composed: OnceLock<(Arc<Composed>, Tally)>,
}

/// A minute to try, likewise.
struct Time {
    at: DateTime<Utc>,
    moment: Moment,
    minute: OnceLock<Arc<Minute>>,
}

/// Climbs by pattern search in spot and time until no step betters the score; the minute stays in
/// `from..=to`.
pub fn refine(
    studio: &Studio,
    held: &mut Held,
    climb: &Climb,
    (from, to): (DateTime<Utc>, DateTime<Utc>),
    watch: &Watch,
) -> Result<(), Cancelled> {
    let mut turn_deg = 0.0;
    for (step_m, step_s) in climb.steps {
        let mut stalled = 0;
        for _ in 0..MOST_ROUNDS {
            watch.alive()?;
            let times = times(studio, held, *step_s, (from, to));
            let places = places(studio, held, *step_m, turn_deg);
            let gained = best_step(studio, held, climb, (&places, &times), watch)?;
            stalled = if gained { 0 } else { stalled + 1 };
            turn_deg += TURN_DEG;
            if stalled == climb.stalled {
                break;
            }
        }
    }
    Ok(())
}

fn times(
    studio: &Studio,
    held: &Held,
    step_s: i64,
    (from, to): (DateTime<Utc>, DateTime<Utc>),
) -> Vec<Time> {
    let same = Time {
        at: held.at,
        moment: held.minute.moment(),
        minute: held.minute.clone().into(),
    };
    let others = [-step_s, -step_s / 4, step_s / 4, step_s].map(|s| held.at + Duration::seconds(s));
    let others = others.into_iter().filter(|at| (from..=to).contains(at));
    let others = others.map(|at| Time {
        at,
        moment: studio.moment(at),
        minute: OnceLock::new(),
    });
    std::iter::once(same).chain(others).collect()
}

fn places(studio: &Studio, held: &Held, step_m: f64, turn_deg: f64) -> Vec<Place> {
    let capture = studio.default_capture();
    let same = Place {
        stand: *held.stand(),
        geometry: studio.geometry_tally(held.stand(), &capture),
        composed: with_tally(studio, held.composed.clone()).into(),
    };
    let others = (0..WAYS).filter_map(|k| {
        let turn_deg = turn_deg + k as f64 * 360.0 / WAYS as f64;
        let way = DVec2::from_angle(turn_deg.to_radians());
        let stand = stepped(studio, held.stand(), way * step_m)?;
        Some(Place {
            stand,
            geometry: studio.geometry_tally(&stand, &capture),
            composed: OnceLock::new(),
        })
    });
    std::iter::once(same).chain(others).collect()
}

fn with_tally(studio: &Studio, composed: Arc<Composed>) -> (Arc<Composed>, Tally) {
    let mut tally = Tally::new(studio.rulebook.faults.len());
    tally.add_measured(studio.rulebook, &composed.measured);
    (composed, tally)
}

/// Moves to the best of all pairs of place and time, those first that geometry lets hope most. What geometry
/// rules out is not drawn, and what the drawn eye rules out is not lit. Tells whether anything was gained.
fn best_step(
    studio: &Studio,
    held: &mut Held,
    climb: &Climb,
    (places, times): (&[Place], &[Time]),
    watch: &Watch,
) -> Result<bool, Cancelled> {
    let mut pairs: Vec<(Worth, &Place, &Time)> = (places.iter())
        .flat_map(|place| times.iter().map(move |time| (place, time)))
        .skip(1)
        .map(|(place, time)| {
            let tally = studio.bound(&place.geometry, &place.stand, &time.moment);
            (Worth::bound(&tally), place, time)
        })
        .collect();
    // A stable sort: pairs of one bound keep their order, so that every run takes the same path.
    pairs.sort_by(|a, b| a.0.order(&b.0));
    let mut gained = false;
    let mut pairs = pairs.into_iter().peekable();
    while pairs.peek().is_some() {
        watch.alive()?;
        let hopeful = pairs
            .by_ref()
            .filter(|(bound, ..)| bound.betters(&held.worth, climb));
        let some: Vec<(&Place, &Time)> = (hopeful.take(AT_ONCE))
            .map(|(_, place, time)| (place, time))
            .collect();
        for (place, time, worth) in worths(studio, held, climb, &some) {
            if worth.betters(&held.worth, climb) {
                let (Some((composed, _)), Some(minute)) = (place.composed.get(), time.minute.get())
                else {
                    continue;
                };
                (held.at, held.worth) = (time.at, worth);
                (held.composed, held.minute) = (composed.clone(), minute.clone());
                gained = true;
            }
        }
    }
    Ok(gained)
}

/// Draws and grades some pairs side by side, each eye and each sun once; without those that the drawn eye rules out.
fn worths<'p>(
    studio: &Studio,
    held: &Held,
    climb: &Climb,
    pairs: &[(&'p Place, &'p Time)],
) -> Vec<(&'p Place, &'p Time, Worth)> {
    let each_once = |i: usize, is_same: &dyn Fn(usize) -> bool| !(0..i).any(is_same);
    let same_place = |i: usize, k: usize| std::ptr::eq(pairs[i].0, pairs[k].0);
    let same_time = |i: usize, k: usize| std::ptr::eq(pairs[i].1, pairs[k].1);
    (0..pairs.len()).into_par_iter().for_each(|i| {
        let place = pairs[i].0;
        if each_once(i, &|k| same_place(i, k)) {
            let draw = || with_tally(studio, Arc::new(compose(studio, held.size, &place.stand)));
            place.composed.get_or_init(draw);
        }
    });
    let hopeful = |i: &usize| {
        let (place, time) = pairs[*i];
        // What is too near to be drawn cannot be measured.
        let drawn = place
            .composed
            .get()
            .filter(|(composed, _)| composed.eye.is_some());
        drawn.is_some_and(|(_, tally)| {
            let bound = studio.bound(tally, &place.stand, &time.moment);
            Worth::bound(&bound).betters(&held.worth, climb)
        })
    };
    let hopeful: Vec<usize> = (0..pairs.len()).filter(hopeful).collect();
    (0..hopeful.len()).into_par_iter().for_each(|n| {
        let (i, time) = (hopeful[n], pairs[hopeful[n]].1);
        if each_once(n, &|m| same_time(i, hopeful[m])) {
            let draw = || Arc::new(studio.minute_at_size(time.at, held.size));
            time.minute.get_or_init(draw);
        }
    });
    let graded = hopeful.par_iter().filter_map(|i| {
        let (place, time) = pairs[*i];
        let ((composed, _), minute) = (place.composed.get()?, time.minute.get()?);
        let worth = Worth::of(&studio.grade_unmended(composed, minute));
        Some((place, time, worth))
    });
    graded.collect()
}
