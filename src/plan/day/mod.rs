//! The day of one stand: each fault of light from minute to minute, what binds, and the verdict; every change
//! bisected to the whole minute. May not enter: other stands, pixels of a picture, screens, files.

mod runs; // from looks to stretches

pub use runs::{Run, binding, grade_of, is_judged, rest_of};

use super::request::{Cancelled, Watch};
use crate::grade::rulebook::Fault;
use crate::grade::{Grade, Sheet, Stand, Studio, Verdict, WIDEST_GRADED_DEG};
use crate::sky::clock::Zone;
use crate::sky::events::{DayState, day_of_sun};
use crate::sky::sun::Sun;
use chrono::{DateTime, Duration, NaiveDate, Timelike, Utc};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The light is looked at this often, minutes, however wide apart the table's rows are: a pole's shadow takes
/// longer to cross a machine.
const LOOK_MIN: u32 = 5;

/// The frame at one minute.
#[derive(Clone, Debug)]
pub struct Look {
    /// The instant, a whole minute.
    pub at: DateTime<Utc>,
    /// The sun.
    pub sun: Sun,
    /// The frame's sheet, as `grade` gives it.
    pub sheet: Sheet,
}

/// One fault of light over the day.
#[derive(Clone, Debug, PartialEq)]
pub struct Lane {
    /// The fault.
    pub fault: Fault,
    /// Its grade from run to run.
    pub runs: Vec<Run<Grade>>,
}

/// The day.
#[derive(Clone, Debug)]
pub struct Day {
    /// The local date.
    pub date: NaiveDate,
    /// Whether the sun rises and sets.
    pub state: DayState,
    /// The upper limb comes over a sea horizon.
    pub rise: Option<DateTime<Utc>>,
    /// The upper limb goes under it.
    pub set: Option<DateTime<Utc>>,
    /// Every minute that was looked at, in order: at least one in five from rise to set (over the whole day
    /// where the sun does not do both), and both sides of every change.
    pub looks: Vec<Look>,
    /// Faults of light, in the rulebook's order.
    pub lanes: Vec<Lane>,
    /// The worst of all other faults.
    pub rest: Vec<Run<Grade>>,
    /// Title of the fault that binds: the worst of all.
    pub binds: Vec<Run<Option<String>>>,
    /// All of it together.
    pub verdict: Vec<Run<Verdict>>,
}

/// Why there is no such day.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoDay {
    /// Stopped from outside.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
    /// The calendar of the zone leaves it out.
    #[error("{date} was left out in {zone}: its calendar went on with the next day")]
    LeftOut {
        /// The date asked for.
        date: NaiveDate,
        /// The zone.
        zone: String,
    },
}

impl NoDay {
    /// A date that the zone's calendar leaves out.
    pub fn left_out(zone: &Zone, date: NaiveDate) -> NoDay {
        let zone = zone.name().to_string();
        NoDay::LeftOut { date, zone }
    }
}

/// Follows a stand through a local date. Rows of a table are wanted every `every_min` minutes of the clock.
pub fn day(
    studio: &Studio,
    stand: &Stand,
    date: NaiveDate,
    every_min: u32,
    watch: &Watch,
) -> Result<Day, NoDay> {
    let place = &studio.scene.place;
    let (first, next) = place.zone.day(date);
    if first >= next {
        return Err(NoDay::left_out(&place.zone, date));
    }
    let sun = day_of_sun(&place.observer, &place.zone, date);
    let (start, end) = match (sun.state, sun.rise, sun.set) {
        (DayState::Normal, Some(rise), Some(set)) if rise < set => (rise, set),
        _ => (first, next),
    };
    let capture = studio.default_capture();
    let composed = studio.compose(stand, &capture, &studio.rulebook.proof, WIDEST_GRADED_DEG);
    let at_minute = |minute: i64| DateTime::from_timestamp(60 * minute, 0).unwrap_or(start);
    let done = AtomicUsize::new(0);
    let look = |minute: i64, of: usize| -> Result<(i64, Look), Cancelled> {
        watch.alive()?;
        let at = at_minute(minute);
        let drawn = studio.minute(at);
        let sheet = studio.grade_at(&composed, &drawn).sheet;
        let behind = done.fetch_add(1, Ordering::Relaxed) + 1;
        watch.step("the day is looked at", behind as f64 / of as f64)?;
        let sun = drawn.sun;
        Ok((minute, Look { at, sun, sheet }))
    };
    let (low, high) = (
        start.timestamp().div_euclid(60),
        (end.timestamp() + 59).div_euclid(60),
    );
    let is_looked_at = |minute: &i64| {
        let row = is_row(studio, at_minute(*minute), every_min);
        [low, high].contains(minute) || (minute - low) % i64::from(LOOK_MIN) == 0 || row
    };
    let mut wanted: Vec<i64> = (low..=high).filter(is_looked_at).collect();
    let mut looks: BTreeMap<i64, Look> = BTreeMap::new();
    // From the looks to the changes between them: each round halves the gaps over which something changes.
    let all = wanted.len() + wanted.len() / 2;
    while !wanted.is_empty() {
        let round = wanted.par_iter().map(|minute| look(*minute, all));
        looks.extend(round.collect::<Result<Vec<_>, _>>()?);
        let pairs = looks.iter().zip(looks.iter().skip(1));
        let changes = pairs.filter(|((a, one), (b, other))| {
            **b - **a > 1 && runs::face(studio, &one.sheet) != runs::face(studio, &other.sheet)
        });
        wanted = changes.map(|((a, _), (b, _))| (a + b) / 2).collect();
    }
    Ok(runs::told(
        studio,
        date,
        &sun,
        looks.into_values().collect(),
    ))
}

/// Whether the clock stands at a row of a table with a row every so many minutes.
pub fn is_row(studio: &Studio, at: DateTime<Utc>, every_min: u32) -> bool {
    let clock = studio.scene.place.zone.local(at).naive.time();
    (clock.hour() * 60 + clock.minute()).is_multiple_of(every_min)
}

/// Scores nearer than this are the same.
const SAME_SCORE: f64 = 0.05;

impl Day {
    /// The best minute; of a stretch of equals the one nearest to the middle of the longest, as far as can be from
    /// what ends it.
    pub fn best(&self) -> Option<&Look> {
        let better = |best: &Look, look: &Look| look.sheet.rank(&best.sheet).is_gt();
        let best = (self.looks.iter())
            .reduce(|best, look| if better(best, look) { look } else { best })?;
        let equals = |look: &Look| {
            look.sheet.verdict == best.sheet.verdict
                && look.sheet.score > best.sheet.score - SAME_SCORE
        };
        let stretches = self.looks.chunk_by(|a, b| equals(a) == equals(b));
        let lasts = |stretch: &[Look]| stretch[stretch.len() - 1].at - stretch[0].at;
        // The first of equally long ones.
        let longest =
            (stretches.filter(|stretch| equals(&stretch[0]))).reduce(|longest, next| {
                if lasts(next) > lasts(longest) {
                    next
                } else {
                    longest
                }
            })?;
        let middle = longest[0].at + lasts(longest) / 2;
        longest.iter().min_by_key(|look| (look.at - middle).abs())
    }

    /// From the first minute that was looked at to the last.
    pub fn span(&self) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
        Some((self.looks.first()?.at, self.looks.last()?.at))
    }

    /// Minutes at which the clock is set to another offset, with the minutes by which it is set forward (+) or
    /// back (−).
    pub fn clock_jumps(&self, studio: &Studio) -> Vec<(DateTime<Utc>, i32)> {
        let Some((first, last)) = self.span() else {
            return vec![];
        };
        let zone = &studio.scene.place.zone;
        let minutes = (0..(last - first).num_minutes()).map(|m| first + Duration::minutes(m));
        let jump = |at: DateTime<Utc>| {
            let next = at + Duration::minutes(1);
            let by_s = zone.local(next).offset_s - zone.local(at).offset_s;
            (by_s != 0).then_some((next, by_s / 60))
        };
        minutes.filter_map(jump).collect()
    }
}
