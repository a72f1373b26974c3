//! From what was typed of a frame to the frame: its instant, its stand. May not enter: grading, which way the machine
//! faces (see `facings`).

use super::frame_args::StandArgs;
use crate::grade::{Stand, Studio};
use crate::scene::Scene;
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

/// Where a camera stands and how it looks, as a line.
pub fn line(studio: &Studio, stand: &Stand) -> String {
    format!(
        "Spot {:.2} m east, {:.2} m north · {:.0} mm · {:.2} m over the ground, {:.2} m over the rail · \
         heading {:.1}°, pitch {:.1}°, roll {:.1}°\n",
        stand.spot_m.x,
        stand.spot_m.y,
        stand.lens_mm,
        stand.height_m,
        studio.eye(stand).z,
        stand.heading_deg,
        stand.pitch_deg,
        stand.roll_deg,
    )
}

/// Why nobody may stand there, as a line; empty where one may.
pub fn refusal_line(studio: &Studio, stand: &Stand) -> String {
    match studio.scene.may_stand(&studio.obstacles, stand.spot_m) {
        Ok(_) => String::new(),
        Err(refusal) => format!("Do not stand there: {refusal}\n"),
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
