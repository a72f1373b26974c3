//! Windows: from the best minute outward to the instant at which the verdict falls, proved. May not enter:
//! the grid.

use crate::grade::wording::lower_first;
use crate::grade::{
    Composed, Graded, MeasureId, Measured, Reading, Sheet, Stand, Studio, Tally, Verdict,
    WIDEST_GRADED_DEG,
};
use crate::plan::ahead::{AHEAD, look_ahead};
use crate::plan::answer::{Beyond, Window, WindowEnd};
use crate::plan::request::{Cancelled, Watch};
use chrono::{DateTime, Duration, Utc};
use rayon::prelude::*;
use std::cmp::Ordering;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Step outward.
const STEP_S: i64 = 240;
/// So many steps are looked at beyond the one that ends it, at most.
const STEPS_AHEAD: usize = 4;
/// Ends are closed in on to this.
const END_S: i64 = 15;
/// So many steps are seen at search size before one is proved.
const PROVED_EVERY: i64 = 6;
/// What ends a window is told as it stands so long after its end: at the very end it differs from its limit
/// by less than anybody would read.
const TOLD_S: i64 = 600;
/// What may cross a limit and come back within minutes: the shadows of leaves and wires.
const FLICKERS: [MeasureId; 2] = [MeasureId::ForeignBody, MeasureId::ForeignGear];
/// At search size such a measure is proved from this share of a limit to that.
const NEAR: [f64; 2] = [0.5, 1.5];
/// No window is followed farther than this from its best minute.
const FARTHEST_S: i64 = 10 * 3600;

/// Grades one stand at many minutes, its eye drawn once at either size.
pub struct Prover<'a, 'b> {
    studio: &'a Studio<'b>,
    exact: Seen,
    /// The same at search size.
    rough: Seen,
    /// What was proved before: ends are asked about more than once.
    proved: Mutex<HashMap<DateTime<Utc>, Arc<Sheet>>>,
}

/// A stand as its eye sees it, with what that says whatever the sun.
struct Seen {
    composed: Composed,
    tally: Tally,
}

impl<'a, 'b> Prover<'a, 'b> {
    /// For a stand.
    pub fn new(studio: &'a Studio<'b>, stand: Stand) -> Prover<'a, 'b> {
        let capture = studio.default_capture();
        let see = |size| {
            let composed = studio.compose(&stand, &capture, size, WIDEST_GRADED_DEG);
            let mut tally = Tally::new(studio.rulebook.faults.len());
            tally.add_measured(studio.rulebook, &composed.measured);
            Seen { composed, tally }
        };
        let (search, proof) = (&studio.rulebook.search, &studio.rulebook.proof);
        let (exact, rough) = rayon::join(|| see(proof), || see(search));
        Prover {
            studio,
            exact,
            rough,
            proved: Mutex::default(),
        }
    }

    /// The same, where the sheet at a minute is known: it is not drawn again, nor by whom first comes.
    pub fn knowing(self, at: DateTime<Utc>, sheet: Sheet) -> Prover<'a, 'b> {
        let mut proved = self.proved.lock().unwrap_or_else(PoisonError::into_inner);
        proved.insert(at, Arc::new(sheet));
        drop(proved);
        self
    }

    /// The exact grade at a minute, its findings without what would mend them.
    pub fn at(&self, at: DateTime<Utc>) -> Graded {
        let minute = self.studio.minute(at);
        self.studio.grade_unmended(&self.exact.composed, &minute)
    }

    /// The same with what would mend them: for whom it is told.
    pub fn mended_at(&self, at: DateTime<Utc>) -> Sheet {
        let minute = self.studio.minute(at);
        self.studio.grade_at(&self.exact.composed, &minute).sheet
    }

    /// The exact sheet at a minute, drawn once.
    fn proof(&self, at: DateTime<Utc>) -> Arc<Sheet> {
        let proved = || self.proved.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(sheet) = proved().get(&at) {
            return sheet.clone();
        }
        let sheet = Arc::new(self.at(at).sheet);
        proved().insert(at, sheet.clone());
        sheet
    }

    /// Whether the exact verdict is this one. Nothing is drawn where closed form says that it cannot be.
    fn holds(&self, at: DateTime<Utc>, verdict: Verdict) -> bool {
        self.may_hold(&self.exact, at, verdict) && self.proof(at).verdict == verdict
    }

    /// The exact verdict at a minute, if it is at least this one.
    pub(super) fn at_least(&self, at: DateTime<Utc>, least: Verdict) -> Option<Verdict> {
        let proof = || self.proof(at).verdict;
        let found = self.may_hold(&self.exact, at, least).then(proof)?;
        (found >= least).then_some(found)
    }

    /// Whether the verdict at search size is at least this one.
    pub(super) fn seems_at_least(&self, at: DateTime<Utc>, least: Verdict) -> bool {
        self.may_hold(&self.rough, at, least) && self.roughly(at).sheet.verdict >= least
    }

    /// Whether sun, sky and machine let a stand be so good: what no picture need be drawn for.
    fn may_hold(&self, seen: &Seen, at: DateTime<Utc>, verdict: Verdict) -> bool {
        let moment = self.studio.moment(at);
        let bound = self
            .studio
            .bound(&seen.tally, &seen.composed.stand, &moment);
        bound.verdict() >= verdict
    }

    fn roughly(&self, at: DateTime<Utc>) -> Graded {
        let minute = self.studio.minute_at_size(at, &self.studio.rulebook.search);
        self.studio.grade_unmended(&self.rough.composed, &minute)
    }

    /// The window of `verdict` round `best`; for a lost frame that minute alone. With `told` some of its
    /// inside is proved too, and its ends say how things stand some minutes on.
    pub fn window(
        &self,
        best: DateTime<Utc>,
        verdict: Verdict,
        told: bool,
        watch: &Watch,
    ) -> Result<Window, Cancelled> {
        if verdict == Verdict::Lost {
            let end = WindowEnd {
                at: best,
                beyond: Beyond::Same,
                ended_by: None,
                sentence: "a lost frame has no window".to_string(),
            };
            return Ok(Window {
                start: end.clone(),
                best,
                end,
            });
        }
        let end = |way| self.end(best, verdict, way, told, watch);
        let (start, end) = rayon::join(|| end(-1), || end(1));
        Ok(Window {
            start: start?,
            best,
            end: end?,
        })
    }

    /// Follows the window at search size, some steps of it proved, and bisects its end there; then the end
    /// is proved, and moved by proofs where those say otherwise.
    fn end(
        &self,
        best: DateTime<Utc>,
        verdict: Verdict,
        way: i64,
        told: bool,
        watch: &Watch,
    ) -> Result<WindowEnd, Cancelled> {
        let at = |seconds: i64| best + Duration::seconds(way * seconds);
        let seems = |seconds: i64| self.seems(at(seconds), verdict);
        let holds = |seconds: i64| self.holds(at(seconds), verdict);
        let (mut inside, mut outside) = (0, None);
        look_ahead(
            STEPS_AHEAD,
            (1..=FARTHEST_S / STEP_S + 1).map(|step| (step, step * STEP_S)),
            |(step, next)| {
                let is_proved = told && step % PROVED_EVERY == 0;
                (next, seems(next) && (!is_proved || holds(next)))
            },
            |(next, goes_on)| {
                watch.alive()?;
                match goes_on {
                    true => inside = next,
                    false => outside = Some(next),
                }
                Ok(goes_on)
            },
        )?;
        let Some(mut outside) = outside else {
            return Ok(WindowEnd {
                at: at(inside),
                beyond: Beyond::Same,
                ended_by: None,
                sentence: "nothing ends it within ten hours".to_string(),
            });
        };
        narrow(&mut inside, &mut outside, &seems);
        // Both will be told, so that they are proved side by side, whatever the first of them says.
        let (held, held_on) = rayon::join(|| holds(inside), || holds(outside));
        let mut holds_within = held || inside == 0;
        while !holds_within {
            watch.alive()?;
            outside = inside;
            inside = (inside - STEP_S).max(0);
            holds_within = inside == 0 || holds(inside);
        }
        let mut holds_beyond = held && held_on;
        while holds_beyond && outside < FARTHEST_S {
            watch.alive()?;
            inside = outside;
            outside += STEP_S;
            holds_beyond = holds(outside);
        }
        narrow(&mut inside, &mut outside, &holds);
        if let Some(flicker) = self.flicker(best, inside, verdict, way, watch)? {
            (inside, outside) = flicker;
            narrow(&mut inside, &mut outside, &holds);
        }
        let proof = |seconds: i64| self.proof(at(seconds));
        let (within, (beyond, farther)) = rayon::join(
            || proof(inside),
            || rayon::join(|| proof(outside), || told.then(|| proof(outside + TOLD_S))),
        );
        let (ended_by, sentence) = cause(&within, &beyond);
        let farther = farther.filter(|_| beyond.verdict < verdict);
        let finding = ended_by
            .zip(farther.as_ref())
            .and_then(|(id, farther)| farther.findings.iter().find(|one| one.measure == id));
        let sentence = match finding {
            Some(finding) => format!(
                "{} minutes {} {}",
                TOLD_S / 60,
                if way < 0 { "earlier" } else { "later" },
                lower_first(finding.what())
            ),
            _ => sentence,
        };
        Ok(WindowEnd {
            at: at(inside),
            beyond: match beyond.verdict.cmp(&verdict) {
                Ordering::Less => Beyond::Worse,
                Ordering::Greater => Beyond::Better,
                Ordering::Equal => Beyond::Same,
            },
            ended_by,
            sentence,
        })
    }

    /// The first whole minute on the way to a window's end at which the verdict does not hold, and the last before it
    /// at which it does. Every minute is seen at search size, and proved where that doubts it: shadows of crowns and
    /// wires come and go within minutes, about a limit.
    fn flicker(
        &self,
        best: DateTime<Utc>,
        end: i64,
        verdict: Verdict,
        way: i64,
        watch: &Watch,
    ) -> Result<Option<(i64, i64)>, Cancelled> {
        let past = (way * best.timestamp()).rem_euclid(60);
        let at = |seconds: i64| best + Duration::seconds(way * seconds);
        let mut held = 0;
        let mut found = None;
        look_ahead(
            AHEAD,
            (60 - past..end).step_by(60),
            |seconds| {
                let at = at(seconds);
                let falls = self.is_doubtful(at, verdict) && !self.holds(at, verdict);
                (seconds, falls)
            },
            |(seconds, falls)| {
                watch.alive()?;
                if falls {
                    found = Some((held, seconds));
                }
                held = seconds;
                Ok(!falls)
            },
        )?;
        Ok(found)
    }

    /// Whether a proof may say something else than that the verdict holds.
    fn is_doubtful(&self, at: DateTime<Utc>, verdict: Verdict) -> bool {
        if !self.may_hold(&self.rough, at, verdict) {
            return true;
        }
        let graded = self.roughly(at);
        let is_near = |one: &Measured| match one.reading {
            Reading::Value(value) if FLICKERS.contains(&one.id) => {
                let rule = self.studio.rulebook.rule(one.id);
                let limits = rule
                    .and_then(|rule| rule.high.as_ref())
                    .map(|side| &side.limits);
                let near = |limit: &f64| (limit * NEAR[0]..limit * NEAR[1]).contains(&value);
                limits.is_some_and(|limits| limits.iter().any(near))
            }
            _ => false,
        };
        graded.sheet.verdict != verdict || graded.measured.iter().any(is_near)
    }

    /// Whether the verdict holds at search size.
    fn seems(&self, at: DateTime<Utc>, verdict: Verdict) -> bool {
        self.may_hold(&self.rough, at, verdict) && self.roughly(at).sheet.verdict == verdict
    }
}

/// Closes in on where something that holds inside ends, by quarters that are looked at side by side.
fn narrow(inside: &mut i64, outside: &mut i64, holds: &(dyn Fn(i64) -> bool + Sync)) {
    while *outside - *inside > END_S {
        let wide = *outside - *inside;
        let between = match wide > 2 * END_S {
            true => vec![1, 2, 3],
            false => vec![2],
        };
        let between: Vec<i64> = between
            .into_iter()
            .map(|part| *inside + wide * part / 4)
            .collect();
        let held: Vec<bool> = between.par_iter().map(|at| holds(*at)).collect();
        let first_out = held.iter().position(|held| !held);
        if let Some(first) = first_out {
            *outside = between[first];
        }
        if let Some(last_in) = first_out.unwrap_or(between.len()).checked_sub(1) {
            *inside = between[last_in];
        }
    }
}

/// What changed between a sheet inside the window and one just outside: the measure whose grade worsened
/// most; where the verdict rose instead, the one that mended.
fn cause(inside: &Sheet, outside: &Sheet) -> (Option<MeasureId>, String) {
    let grade = |sheet: &Sheet, id: MeasureId| sheet.row(id).and_then(|row| row.grade);
    let worsened = outside
        .findings
        .iter()
        // Worst first; of equals the first.
        .find(|finding| grade(inside, finding.measure).is_none_or(|g| g < finding.grade));
    if outside.verdict < inside.verdict
        && let Some(finding) = worsened
    {
        return (Some(finding.measure), finding.what().to_string());
    }
    let mended = inside
        .findings
        .iter()
        .find(|finding| grade(outside, finding.measure).is_none_or(|g| g < finding.grade));
    match mended {
        Some(finding) => (
            Some(finding.measure),
            format!(
                "it gets better: {} no longer holds it back",
                finding.measure.title()
            ),
        ),
        None => (None, "the verdict changes".to_string()),
    }
}
