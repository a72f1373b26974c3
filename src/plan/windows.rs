//! Windows: from the best minute outward to the instant at which the verdict falls, proved. May not enter:
//! the grid.

use crate::grade::wording::lower_first;
use crate::grade::{Composed, Graded, MeasureId, Sheet, Stand, Studio, Verdict, WIDEST_GRADED_DEG};
use crate::plan::answer::{Window, WindowEnd};
use crate::plan::request::{Cancelled, Watch};
use chrono::{DateTime, Duration, Utc};

/// Step outward.
const STEP_S: i64 = 240;
/// Ends are bisected to this.
const END_S: i64 = 15;
/// So many steps are seen at search size before one is proved.
const PROVED_EVERY: usize = 5;
/// What ends a window is told as it stands so long after its end: at the very end it differs from its limit
/// by less than anybody would read.
const TOLD_S: i64 = 600;
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

    /// The exact grade at a minute.
    pub fn at(&self, at: DateTime<Utc>) -> Graded {
        self.studio
            .grade_at(&self.composed, &self.studio.minute(at))
    }

    /// The window of `verdict` round `best`; for a lost frame that minute alone.
    pub fn window(
        &self,
        best: DateTime<Utc>,
        verdict: Verdict,
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
        let start = self.end(best, verdict, -1, watch)?;
        let end = self.end(best, verdict, 1, watch)?;
        Ok(Window { start, best, end })
    }

    /// Follows the window in steps, most of them at search size; what is told is proved.
    fn end(
        &self,
        best: DateTime<Utc>,
        verdict: Verdict,
        way: i64,
        watch: &Watch,
    ) -> Result<WindowEnd, Cancelled> {
        let at = |seconds: i64| best + Duration::seconds(way * seconds);
        let holds = |seconds: i64| self.at(at(seconds)).sheet.verdict == verdict;
        let mut inside = 0;
        let mut outside = None;
        let mut step = 0;
        while outside.is_none() && inside < FARTHEST_S {
            watch.alive()?;
            step += 1;
            let next = inside + STEP_S;
            let proved = step % PROVED_EVERY == 0 || !self.seems(at(next), verdict);
            if proved && !holds(next) {
                outside = Some(next);
            } else {
                inside = next;
            }
        }
        let Some(mut outside) = outside else {
            return Ok(WindowEnd {
                at: at(inside),
                ended_by: None,
                sentence: "nothing ends it within ten hours".to_string(),
            });
        };
        // What only seemed to hold is walked back.
        while inside > 0 && !holds(inside) {
            watch.alive()?;
            outside = inside;
            inside -= STEP_S;
        }
        while outside - inside > END_S {
            let middle = inside + (outside - inside) / 2;
            if holds(middle) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        let (within, beyond) = (self.at(at(inside)).sheet, self.at(at(outside)).sheet);
        let (ended_by, sentence) = cause(&within, &beyond);
        let farther = self.at(at(outside + TOLD_S)).sheet;
        let told = ended_by.and_then(|id| farther.findings.iter().find(|one| one.measure == id));
        let sentence = match told {
            Some(finding) if beyond.verdict < verdict => format!(
                "{} minutes {} {}",
                TOLD_S / 60,
                if way < 0 { "earlier" } else { "later" },
                lower_first(&finding.sentence)
            ),
            _ => sentence,
        };
        Ok(WindowEnd {
            at: at(inside),
            ended_by,
            sentence,
        })
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
        return (Some(finding.measure), finding.sentence.clone());
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
