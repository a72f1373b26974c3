//! From what was typed of a frame to the frame: its instant, its stand, which end leads. May not enter: grading.

use super::args::LeadingEnd;
use super::frame_args::{LedBy, StandArgs};
use crate::grade::{Stand, StandChange, Studio};
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
    /// What of the scene's own stand is to be another.
    pub fn change(&self) -> StandChange {
        StandChange {
            spot_m: self.spot.map(DVec2::from_array),
            height_m: self.height,
            lens_mm: self.lens,
            heading_deg: self.heading,
            pitch_deg: self.pitch,
            roll_deg: self.roll,
        }
    }

    /// The scene's stand with what the arguments change.
    pub fn of(&self, studio: &Studio) -> Stand {
        studio.changed_stand(&self.change())
    }
}

impl LedBy {
    /// Which end leads, as far as anybody knows.
    pub fn of(&self, scene: &Scene) -> HeadEnd {
        self.asked().unwrap_or(scene.machine.head_end)
    }

    /// Which end was asked for, if one was.
    pub fn asked(&self) -> Option<HeadEnd> {
        self.head_end.map(|end| match end {
            LeadingEnd::First => HeadEnd::First,
            LeadingEnd::Second => HeadEnd::Second,
        })
    }
}
