//! Call the hour: from a frame, how long until the light is gone. May not enter: pictures.

use crate::grade::rulebook::ViewSize;
use crate::grade::wording::lower_first;
use crate::grade::{Composed, MeasureId, Sheet, Verdict, WIDEST_GRADED_DEG};
use crate::practise::deal::{Course, in_turn};
use crate::practise::dice::Dice;
use crate::practise::posed::{Posed, Seen};
use crate::practise::progress::{Drill, Round};
use chrono::{DateTime, Duration, Utc};
use std::sync::Arc;

/// What can be called, minutes, in the order of their keys.
pub const CALLS_MIN: [u32; 9] = [10, 20, 30, 45, 60, 90, 120, 180, 240];
/// The light is proved so often until it is gone; every minute before is looked at at search size, and proved where it
/// seems gone.
const STEP_MIN: i64 = 10;
/// Days round a frame's own on which it is called: whoever meets it again knows its hour no more.
const DAYS: f64 = 25.0;
/// Light that lasts longer cannot be called from its shadows.
const LONGEST_MIN: i64 = 300;
/// So long after its end the frame is shown.
pub const AFTER_MIN: i64 = 15;
/// Clean frames that are tried.
const TRIES: usize = 12;

/// A round.
pub struct Hour {
    /// The frame.
    pub posed: Posed,
    /// It as graded at full size.
    pub seen: Arc<Seen>,
    /// Whole minutes for which the frame stays good.
    pub lasts_min: i64,
    /// The first minute at which it is no more.
    pub gone_at: DateTime<Utc>,
    /// What ends it.
    pub ended_by: String,
    /// The measure that ends it: its value in the frame, and in the first minute without light.
    pub run_out: Option<(MeasureId, [f64; 2])>,
    /// What was called.
    pub called_min: Option<u32>,
}

/// A frame's sheets minute by minute, at one size.
struct Ahead<'a> {
    posed: &'a Posed,
    size: &'a ViewSize,
    composed: Composed,
}

impl Ahead<'_> {
    fn of<'a>(posed: &'a Posed, size: &'a ViewSize) -> Ahead<'a> {
        let capture = posed.capture();
        Ahead {
            posed,
            size,
            composed: posed
                .room
                .compose(&posed.stand, &capture, size, WIDEST_GRADED_DEG),
        }
    }

    /// Whether the light is gone after so many minutes, and the sheet that says so.
    fn gone(&self, minutes: i64) -> Option<Sheet> {
        let Posed { room, at, .. } = self.posed;
        let minute = room.minute_at_size(*at + Duration::minutes(minutes), self.size);
        let sheet = room.grade_unmended(&self.composed, &minute).sheet;
        (sheet.verdict < Verdict::Good).then_some(sheet)
    }
}

/// Until which whole minute a frame stays good, the first at which it is not, and that minute's sheet; none where it is
/// not good now, or for longer than is asked.
pub fn light_left(posed: &Posed) -> Option<(i64, DateTime<Utc>, Sheet)> {
    let rulebook = posed.room.rulebook;
    let proof = Ahead::of(posed, &rulebook.proof);
    if proof.gone(0).is_some() {
        return None;
    }
    let search = Ahead::of(posed, &rulebook.search);
    // A pole's shadow comes and goes within minutes: each is looked at, and what ends it is proved.
    let is_gone = |min: i64| {
        let is_proved = min % STEP_MIN == 0 || search.gone(min).is_some();
        is_proved.then(|| proof.gone(min)).flatten()
    };
    let mut gone = (1..=LONGEST_MIN).find_map(|min| is_gone(min).map(|sheet| (min, sheet)))?;
    // What search size does not see of the last minutes, proof does.
    let mut good = (gone.0 - 1) / STEP_MIN * STEP_MIN;
    while gone.0 - good > 1 {
        let middle = (good + gone.0) / 2;
        match proof.gone(middle) {
            Some(sheet) => gone = (middle, sheet),
            None => good = middle,
        }
    }
    Some((good, posed.at + Duration::minutes(gone.0), gone.1))
}

impl Hour {
    /// The round of a seed; none where no clean frame's light ends within what can be called.
    pub fn deal(courses: &[Course], seed: u64, round: u64) -> Option<Hour> {
        let mut dice = Dice::new(seed, round);
        let all = in_turn(courses, &mut dice);
        for (_, base) in all.into_iter().cycle().take(TRIES) {
            let clean = &base.posed;
            let days = Duration::days(dice.within(-DAYS, DAYS).round() as i64);
            let on = days + Duration::minutes(dice.within(-60.0, 60.0).round() as i64);
            let posed = Posed {
                at: clean.at + on,
                ..clean.clone()
            };
            if let Some((lasts_min, gone_at, sheet)) = light_left(&posed).filter(|left| left.0 >= 5)
            {
                let worst = sheet.findings.first();
                let seen = Arc::new(posed.proved());
                let run_out = worst.and_then(|worst| {
                    let before = seen.graded.sheet.row(worst.measure)?.value?;
                    Some((worst.measure, [before, worst.value]))
                });
                return Some(Hour {
                    run_out,
                    seen,
                    posed,
                    lasts_min,
                    gone_at,
                    ended_by: worst.map_or(String::new(), |one| lower_first(one.what())),
                    called_min: None,
                });
            }
        }
        None
    }

    /// The frame a while after its light is gone: what ended it is seen more plainly than in its first minute.
    pub fn afterwards(&self) -> Posed {
        Posed {
            at: self.gone_at + Duration::minutes(AFTER_MIN),
            ..self.posed.clone()
        }
    }

    /// Calls it. Only the first call counts.
    pub fn call(&mut self, minutes: u32) {
        self.called_min = self.called_min.or(Some(minutes));
    }

    /// Minutes by which it was called too late (+) or too early.
    pub fn late_min(&self) -> Option<f64> {
        Some(f64::from(self.called_min?) - self.lasts_min as f64)
    }

    /// Points, 0 to 3: all for the nearest that could be called, none where it is off by the light that is left, or by
    /// half an hour where that is less.
    pub fn points(&self) -> f64 {
        let lasts = self.lasts_min as f64;
        let off = |minutes: u32| (f64::from(minutes) - lasts).abs();
        let least = CALLS_MIN.into_iter().map(off).fold(f64::INFINITY, f64::min);
        let allowed = lasts.max(30.0);
        let share = |called| 1.0 - (off(called) - least) / allowed;
        3.0 * self.called_min.map_or(0.0, share).clamp(0.0, 1.0)
    }

    /// The round as it is kept.
    pub fn round(&self) -> Round {
        Round {
            late_min: self.late_min(),
            ..Round::of(Drill::Hour, None, self.points())
        }
    }
}
