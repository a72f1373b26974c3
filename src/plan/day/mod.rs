//! The day of one stand: each fault of light from minute to minute, what binds, and the verdict; every change
//! bisected to the whole minute. May not enter: other stands, pixels of a picture, screens, files.

mod runs; // from looks to stretches

pub use runs::{Run, binding, grade_of, is_judged, rest_of};

use super::request::{Cancelled, Watch};
use crate::grade::measure::capture::Capture;
use crate::grade::rulebook::{Fault, ViewSize};
use crate::grade::{Composed, Grade, Sheet, Stand, Studio, Verdict, WIDEST_GRADED_DEG};
use crate::sky::clock::Zone;
use crate::sky::events::{DayOfSun, DayState, day_of_sun};
use crate::sky::sun::Sun;
use chrono::{DateTime, NaiveDate, Timelike, Utc};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The light is looked at this often, minutes, however wide apart the table's rows are: a pole's shadow takes
/// longer to cross a machine.
const LOOK_MIN: u32 = 5;

/// So often for a first look, and for proofs where the search finds nothing changing.
const ROUGH_MIN: u32 = 15;

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
    /// Whether every look is a proof; else they are the search's.
    pub is_proved: bool,
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

/// Follows a stand through a local date, every look a proof. Rows of a table are wanted every `every_min` minutes of
/// the clock.
pub fn day(
    studio: &Studio,
    stand: &Stand,
    date: NaiveDate,
    every_min: u32,
    watch: &Watch,
) -> Result<Day, NoDay> {
    let light = Light::of(studio, date)?;
    let frame = (stand, &studio.default_capture());
    let mut proofs = Looks::at_size(studio, frame, &studio.rulebook.proof);
    let is_looked_at = |minute: &i64| {
        light.is_step(*minute, LOOK_MIN) || is_row(studio, at_minute(*minute), every_min)
    };
    let wanted = light.minutes().filter(is_looked_at).collect();
    let proved = Share(0.0, 1.0);
    proofs.look_at(wanted, proved, watch)?;
    proofs.close_in(proved, watch)?;
    Ok(proofs.told(&light))
}

/// The same for somebody who looks on: `on_part` is handed the day at search size, roughly and then with its changes to
/// the minute; what is returned is proved, but only where the search says that something changes, and every quarter of
/// an hour in between.
pub fn day_in_parts(
    studio: &Studio,
    stand: &Stand,
    capture: &Capture,
    date: NaiveDate,
    watch: &Watch,
    on_part: &mut dyn FnMut(&Day),
) -> Result<Day, NoDay> {
    let light = Light::of(studio, date)?;
    let mut rough = Looks::at_size(studio, (stand, capture), &studio.rulebook.search);
    let steps = |every_min| {
        light
            .minutes()
            .filter(move |m| light.is_step(*m, every_min))
            .collect()
    };
    rough.look_at(steps(ROUGH_MIN), Share(0.0, 0.05), watch)?;
    on_part(&rough.told(&light));
    rough.look_at(steps(LOOK_MIN), Share(0.05, 0.15), watch)?;
    rough.close_in(Share(0.15, 0.25), watch)?;
    on_part(&rough.told(&light));
    let mut proofs = Looks::at_size(studio, (stand, capture), &studio.rulebook.proof);
    let mut wanted: Vec<i64> = steps(ROUGH_MIN);
    wanted.extend(rough.changes().flat_map(|(before, after)| [before, after]));
    wanted.sort_unstable();
    wanted.dedup();
    let proved = Share(0.25, 1.0);
    proofs.look_at(wanted, proved, watch)?;
    proofs.close_in(proved, watch)?;
    Ok(proofs.told(&light))
}

/// The stretch of a local date that is looked at.
#[derive(Clone, Copy)]
struct Light {
    date: NaiveDate,
    sun: DayOfSun,
    /// First and last minute, counted from 1970.
    ends: (i64, i64),
}

impl Light {
    fn of(studio: &Studio, date: NaiveDate) -> Result<Light, NoDay> {
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
        let (low, high) = (start.timestamp(), end.timestamp() + 59);
        let ends = (low.div_euclid(60), high.div_euclid(60));
        Ok(Light { date, sun, ends })
    }

    fn minutes(&self) -> impl Iterator<Item = i64> + use<> {
        self.ends.0..=self.ends.1
    }

    /// Whether a minute is one of every so many from the first, or the last.
    fn is_step(&self, minute: i64, every_min: u32) -> bool {
        minute == self.ends.1 || (minute - self.ends.0) % i64::from(every_min) == 0
    }
}

fn at_minute(minute: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(60 * minute, 0).unwrap_or_default()
}

/// From which share of all work to which.
#[derive(Clone, Copy)]
struct Share(f64, f64);

/// Minutes of one stand, looked at one size.
struct Looks<'a, 'b> {
    studio: &'a Studio<'b>,
    size: &'a ViewSize,
    composed: Composed,
    looks: BTreeMap<i64, Look>,
}

impl<'a, 'b> Looks<'a, 'b> {
    fn at_size(
        studio: &'a Studio<'b>,
        (stand, capture): (&Stand, &Capture),
        size: &'a ViewSize,
    ) -> Looks<'a, 'b> {
        Looks {
            studio,
            size,
            composed: studio.compose(stand, capture, size, WIDEST_GRADED_DEG),
            looks: BTreeMap::new(),
        }
    }

    fn look_at(&mut self, minutes: Vec<i64>, share: Share, watch: &Watch) -> Result<(), Cancelled> {
        let done = AtomicUsize::new(0);
        // What closes in on the changes is about half as much again.
        let all = (minutes.len() + minutes.len() / 2) as f64;
        let look = |minute: i64| -> Result<(i64, Look), Cancelled> {
            watch.alive()?;
            let at = at_minute(minute);
            let drawn = self.studio.minute_at_size(at, self.size);
            let sheet = self.studio.grade_unmended(&self.composed, &drawn).sheet;
            let behind = (done.fetch_add(1, Ordering::Relaxed) + 1) as f64 / all;
            watch.step(
                "the day is looked at",
                share.0 + behind * (share.1 - share.0),
            )?;
            let sun = drawn.sun;
            Ok((minute, Look { at, sun, sheet }))
        };
        let new = minutes
            .into_iter()
            .filter(|minute| !self.looks.contains_key(minute));
        let new: Vec<i64> = new.collect();
        let found: Result<Vec<_>, _> = new.into_par_iter().map(look).collect();
        self.looks.extend(found?);
        Ok(())
    }

    /// Neighbouring looks between which something changes.
    fn changes(&self) -> impl Iterator<Item = (i64, i64)> {
        let pairs = self.looks.iter().zip(self.looks.iter().skip(1));
        let differ = |one: &Look, other: &Look| {
            runs::face(self.studio, &one.sheet) != runs::face(self.studio, &other.sheet)
        };
        let changes = pairs.filter(move |((_, one), (_, other))| differ(one, other));
        changes.map(|((a, _), (b, _))| (*a, *b))
    }

    /// From the looks to the changes between them: each round halves the gaps over which something changes.
    fn close_in(&mut self, share: Share, watch: &Watch) -> Result<(), Cancelled> {
        loop {
            let gaps = self.changes().filter(|(a, b)| b - a > 1);
            let middles: Vec<i64> = gaps.map(|(a, b)| (a + b) / 2).collect();
            if middles.is_empty() {
                return Ok(());
            }
            self.look_at(middles, Share(share.1, share.1), watch)?;
        }
    }

    fn told(&self, light: &Light) -> Day {
        let looks = self.looks.values().cloned().collect();
        let is_proved = std::ptr::eq(self.size, &self.studio.rulebook.proof);
        runs::told(self.studio, light.date, &light.sun, looks, is_proved)
    }
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
        studio.scene.place.zone.jumps(first, last)
    }
}
