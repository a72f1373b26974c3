//! Windows: from the best minute outward to the instant at which the verdict falls, proved. May not enter:
//! the grid.

use crate::grade::measure::eye::Eye;
use crate::grade::{Graded, MeasureId, Sheet, Stand, Studio, Verdict};
use crate::plan::answer::{Window, WindowEnd};
use crate::plan::request::{Cancelled, Watch};
use chrono::{DateTime, Duration, Utc};

/// Step outward.
const STEP_S: i64 = 240;
/// Ends are bisected to this.
const END_S: i64 = 15;
/// No window is followed farther than this from its best minute.
const FARTHEST_S: i64 = 10 * 3600;

/// Grades one stand at many minutes, its eye drawn once at proof size.
pub struct Prover<'a, 'b> {
    studio: &'a Studio<'b>,
    stand: Stand,
    eye: Option<Eye>,
}

impl<'a, 'b> Prover<'a, 'b> {
    /// For a stand.
    pub fn new(studio: &'a Studio<'b>, stand: Stand) -> Prover<'a, 'b> {
        let eye = studio.look(studio.eye(&stand));
        Prover { studio, stand, eye }
    }

    /// The exact grade at a minute.
    pub fn at(&self, at: DateTime<Utc>) -> Graded {
        let minute = self.studio.minute(at);
        let capture = self.studio.default_capture();
        self.studio
            .grade_from(self.eye.as_ref(), &self.stand, &capture, &minute)
    }

    /// The window of `verdict` round `best`.
    pub fn window(
        &self,
        best: DateTime<Utc>,
        verdict: Verdict,
        watch: &Watch,
    ) -> Result<Window, Cancelled> {
        let start = self.end(best, verdict, -1, watch)?;
        let end = self.end(best, verdict, 1, watch)?;
        Ok(Window { start, best, end })
    }

    fn end(
        &self,
        best: DateTime<Utc>,
        verdict: Verdict,
        way: i64,
        watch: &Watch,
    ) -> Result<WindowEnd, Cancelled> {
        let at = |seconds: i64| best + Duration::seconds(way * seconds);
        let mut inside = 0;
        let mut inside_sheet = None;
        loop {
            watch.alive()?;
            let next = inside + STEP_S;
            if next > FARTHEST_S {
                let sentence = "nothing ends it within ten hours".to_string();
                return Ok(WindowEnd {
                    at: at(inside),
                    ended_by: None,
                    sentence,
                });
            }
            let sheet = self.at(at(next)).sheet;
            if sheet.verdict == verdict {
                inside = next;
                inside_sheet = Some(sheet);
                continue;
            }
            let (mut outside, mut outside_sheet) = (next, sheet);
            while outside - inside > END_S {
                let middle = inside + (outside - inside) / 2;
                let sheet = self.at(at(middle)).sheet;
                if sheet.verdict == verdict {
                    (inside, inside_sheet) = (middle, Some(sheet));
                } else {
                    (outside, outside_sheet) = (middle, sheet);
                }
            }
            let within = inside_sheet.unwrap_or_else(|| self.at(at(inside)).sheet);
            let (ended_by, sentence) = cause(&within, &outside_sheet);
            return Ok(WindowEnd {
                at: at(inside),
                ended_by,
                sentence,
            });
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
        .filter(|finding| grade(inside, finding.measure).is_none_or(|g| g < finding.grade))
        .max_by(|a, b| a.grade.cmp(&b.grade));
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
