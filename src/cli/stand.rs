//! From what was typed of a frame to the frame: its instant, its stand, which end leads. May not enter: grading.

use super::args::LeadingEnd;
use super::frame_args::{LedBy, StandArgs};
use crate::grade::{Stand, Studio};
use crate::scene::Scene;
use crate::scene::machine::HeadEnd;
use chrono::{DateTime, Utc};
use glam::DVec2;
use miette::miette;

/// The instant asked for, else the scene's own.
pub fn instant(scene: &Scene, at: Option<&str>) -> Result<DateTime<Utc>, miette::Report> {
    let zone = &scene.place.zone;
    match (at, scene.frame.at) {
        (Some(text), _) => zone.parse_instant(text).map_err(|e| miette!("--at: {e}")),
        (None, Some(at)) => Ok(at),
        (None, None) => Err(miette!(
            "the scene names no time for its frame: give one with --at \"2027-05-14 10:20\""
        )),
    }
}

impl StandArgs {
    /// The scene's stand with what the arguments change.
    pub fn of(&self, studio: &Studio) -> Stand {
        let mut stand = studio.default_stand();
        if let Some([east, north]) = self.spot {
            stand.spot_m = DVec2::new(east, north);
        }
        stand.lens_mm = self.lens.unwrap_or(stand.lens_mm);
        stand.height_m = self.height.unwrap_or(stand.height_m);
        stand.pitch_deg = self.pitch.unwrap_or(stand.pitch_deg);
        stand.roll_deg = self.roll.unwrap_or(stand.roll_deg);
        let changed = self.spot.is_some() || self.lens.is_some() || self.height.is_some();
        stand.heading_deg = match (self.heading, studio.scene.frame.heading_deg) {
            (Some(heading), _) => heading,
            (None, Some(heading)) if !changed => heading,
            _ => studio.balanced_heading_deg(&stand),
        };
        stand
    }
}

impl LedBy {
    /// Which end leads, as far as anybody knows.
    pub fn of(&self, scene: &Scene) -> HeadEnd {
        match self.head_end {
            Some(LeadingEnd::First) => HeadEnd::First,
            Some(LeadingEnd::Second) => HeadEnd::Second,
            None => scene.machine.head_end,
        }
    }
}
