//! Windows: from the best minute outward to the instant at which the verdict falls, proved. May not enter:
//! the grid.

use crate::grade::wording::lower_first;
use crate::grade::{
    Composed, Graded, MeasureId, Measured, Reading, Sheet, Stand, Studio, Verdict,
    WIDEST_GRADED_DEG,
};
use crate::plan::ahead::look_ahead;
use crate::plan::answer::{Window, WindowEnd};
use crate::plan::request::{Cancelled, Watch};
use chrono::{DateTime, Duration, Utc};

/// Step outward.
const STEP_S: i64 = 240;
/// Ends are bisected to this.
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

/// Grades one stand at many minutes, its eye drawn once at proof size.
pub struct Prover<'a, 'b> {
    studio: &'a Studio<'b>,
    composed: Composed,
    /// The same at search size.
    rough: Composed,
}

impl<'a, 'b> Prover<'a, 'b> {
    /// For a stand.
    pub fn new(studio: &'a Studio<'b>, stand: Stand) -> Prover<'a, 'b> {
        let capture = studio.default_capture();
        let compose = |size| studio.compose(&stand, &capture, size, WIDEST_GRADED_DEG);
        Prover {
            studio,
            composed: compose(&studio.rulebook.proof),
            rough: compose(&studio.rulebook.search),
        }
    }

    /// The exact grade at a minute, its findings without what would mend them.
    pub fn at(&self, at: DateTime<Utc>) -> Graded {
        self.studio
            .grade_unmended(&self.composed, &self.studio.minute(at))
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
        let proof = |seconds: i64| self.at(at(seconds)).sheet;
        let seems = |seconds: i64| self.seems(at(seconds), verdict);
        let (mut inside, mut outside) = (0, None);
        for step in 1.. {
            watch.alive()?;
            let next = step * STEP_S;
            let is_proved = told && step % PROVED_EVERY == 0;
            let stops = !seems(next) || (is_proved && proof(next).verdict != verdict);
            if stops {
                outside = Some(next);
            }
            if stops || next > FARTHEST_S {
                break;
            }
            inside = next;
        }
        let Some(mut outside) = outside else {
            return Ok(WindowEnd {
                at: at(inside),
                ended_by: None,
                sentence: "nothing ends it within ten hours".to_string(),
            });
        };
        while outside - inside > END_S {
            let middle = inside + (outside - inside) / 2;
            *(if seems(middle) {
                &mut inside
            } else {
                &mut outside
            }) = middle;
        }
        let (mut within, mut beyond) = (proof(inside), proof(outside));
        while within.verdict != verdict && inside > 0 {
            watch.alive()?;
            (outside, beyond) = (inside, within);
            inside = (inside - STEP_S).max(0);
            within = proof(inside);
        }
        while beyond.verdict == verdict && outside < FARTHEST_S {
            watch.alive()?;
            (inside, within) = (outside, beyond);
            outside += STEP_S;
            beyond = proof(outside);
        }
        let narrow =
            |inside: &mut i64, within: &mut Sheet, outside: &mut i64, beyond: &mut Sheet| {
                while *outside - *inside > END_S {
                    let middle = *inside + (*outside - *inside) / 2;
                    let sheet = proof(middle);
                    if sheet.verdict == verdict {
                        (*inside, *within) = (middle, sheet);
                    } else {
                        (*outside, *beyond) = (middle, sheet);
                    }
                }
            };
        narrow(&mut inside, &mut within, &mut outside, &mut beyond);
        if let Some(flicker) = self.flicker(best, inside, verdict, way, watch)? {
            (inside, outside) = flicker;
            (within, beyond) = (proof(inside), proof(outside));
            narrow(&mut inside, &mut within, &mut outside, &mut beyond);
        }
        let (ended_by, sentence) = cause(&within, &beyond);
        let farther = (told && beyond.verdict < verdict).then(|| proof(outside + TOLD_S));
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
        let mut holds = 0;
        let mut found = None;
        look_ahead(
            (60 - past..end).step_by(60),
            |seconds| (seconds, self.is_doubtful(at(seconds), verdict)),
            |(seconds, is_doubtful)| {
                watch.alive()?;
                if is_doubtful && self.at(at(seconds)).sheet.verdict != verdict {
                    found = Some((holds, seconds));
                }
                holds = seconds;
                Ok(found.is_none())
            },
        )?;
        Ok(found)
    }

    /// Whether a proof may say something else than that the verdict holds.
    fn is_doubtful(&self, at: DateTime<Utc>, verdict: Verdict) -> bool {
        let minute = self.studio.minute_at_size(at, &self.studio.rulebook.search);
        let graded = self.studio.grade_at(&self.rough, &minute);
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
        let minute = self.studio.minute_at_size(at, &self.studio.rulebook.search);
        self.studio.grade_at(&self.rough, &minute).sheet.verdict == verdict
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
