//! One way of being wrong: the frame as it comes out when minute, spot, stop or track are other than planned, the
//! photographer aiming anew as the plan aims: as far beside equal side margins as there. May not enter: how likely that is.

use crate::grade::rulebook::ViewSize;
use crate::grade::{Composed, Minute, Sheet, Stand, Studio, WIDEST_GRADED_DEG};
use crate::scene::machine::HeadEnd;
use crate::units::wrap_180;
use chrono::{DateTime, Duration, Utc};
use glam::DVec2;

/// How things come out, against the plan.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Slip {
    /// The photographer stands off the spot by this, east and north.
    pub step_m: DVec2,
    /// The machine stands so much farther the way that its nose points.
    pub ahead_m: f64,
    /// The track, and all that was laid out by it, lies turned clockwise.
    pub turned_deg: f64,
    /// The shot is taken later.
    pub late_s: f64,
}

/// Why there is no frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NoFrame {
    /// One may not stand there.
    Ground,
    /// The machine cannot stand there.
    Track,
}

/// A planned frame drawn once, so that what a slip leaves alone is not drawn again.
pub(super) struct Rehearsed<'a, 'b> {
    studio: &'a Studio<'b>,
    stand: Stand,
    at: DateTime<Utc>,
    size: &'a ViewSize,
    composed: Composed,
    minute: Minute,
    /// The plan aims so far to the right of equal side margins.
    aside_deg: f64,
}

fn compose(studio: &Studio, stand: &Stand, size: &ViewSize) -> Composed {
    studio.compose(stand, &studio.default_capture(), size, WIDEST_GRADED_DEG)
}

impl<'a, 'b> Rehearsed<'a, 'b> {
    /// Draws the plan itself at one of the rulebook's sizes.
    pub fn new(
        studio: &'a Studio<'b>,
        stand: Stand,
        at: DateTime<Utc>,
        size: &'a ViewSize,
    ) -> Rehearsed<'a, 'b> {
        Rehearsed {
            composed: compose(studio, &stand, size),
            minute: studio.minute_at_size(at, size),
            aside_deg: wrap_180(stand.heading_deg - studio.balanced_heading_deg(&stand)),
            studio,
            stand,
            at,
            size,
        }
    }

    /// The sheet of a slip.
    pub fn sheet(&self, slip: &Slip) -> Result<Sheet, NoFrame> {
        let moved = match slip.ahead_m {
            0.0 => None,
            ahead_m => Some(moved(self.studio, ahead_m)?),
        };
        let studio = moved.as_ref().unwrap_or(self.studio);
        let composed = match (&moved, slip.step_m) {
            (None, DVec2::ZERO) => None,
            _ => Some(compose(
                studio,
                &self.stood(studio, slip.step_m)?,
                self.size,
            )),
        };
        let is_same_sun = moved.is_none() && slip.turned_deg == 0.0 && slip.late_s == 0.0;
        let at = self.at + Duration::milliseconds((slip.late_s * 1000.0).round() as i64);
        let minute = (!is_same_sun).then(|| studio.minute_turned(at, slip.turned_deg, self.size));
        let (composed, minute) = (
            composed.as_ref().unwrap_or(&self.composed),
            minute.as_ref().unwrap_or(&self.minute),
        );
        Ok(studio.grade_unmended(composed, minute).sheet)
    }

    /// The stand that far off, aimed anew.
    fn stood(&self, studio: &Studio, step_m: DVec2) -> Result<Stand, NoFrame> {
        let mut stand = self.stand;
        stand.spot_m += step_m;
        // A spot that is not left is the planned one, though the machine may stop nearer to it.
        if step_m != DVec2::ZERO {
            let may = studio.scene.may_stand(&studio.obstacles, stand.spot_m);
            may.map_err(|_| NoFrame::Ground)?;
        }
        stand.heading_deg = studio.balanced_heading_deg(&stand) + self.aside_deg;
        Ok(stand)
    }
}

/// The studio of a machine that stopped elsewhere.
fn moved<'b>(studio: &Studio<'b>, ahead_m: f64) -> Result<Studio<'b>, NoFrame> {
    let scene = &studio.scene;
    // Chainage grows toward the track's second end.
    let sign = match scene.machine.head_end {
        HeadEnd::First => -1.0,
        HeadEnd::Second | HeadEnd::Unknown => 1.0,
    };
    let moved = scene.with_chainage(scene.machine.chainage_m + sign * ahead_m);
    let moved = moved.filter(|scene| scene.run_into().is_empty());
    let moved = moved.ok_or(NoFrame::Track)?;
    Ok(Studio::new(
        moved,
        studio.rulebook,
        studio.rasterizer,
        Some(studio),
    ))
}
