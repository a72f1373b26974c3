//! One graded frame as text, as data and as a picture: the same for window and command line. May not enter: formulas,
//! where its stand comes from.

use super::ways::Way;
use super::{sheet, stand};
use crate::camera::film::Film;
use crate::grade::measure::capture::Capture;
use crate::grade::wording::sentence_case;
use crate::grade::{Graded, Minute, Sheet, Stand, Studio, Verdict};
use crate::picture::painter::{Painted, Painter};
use crate::picture::png;
use crate::picture::predicted::predicted;
use crate::scene::Scene;
use chrono::{DateTime, Utc};
use serde_json::json;
use std::ops::RangeInclusive;

/// Widths of a picture, pixels.
pub const PICTURE_WIDTHS_PX: RangeInclusive<i64> = 64..=6000;

/// Highest picture, pixels: the widest one, of an upright frame of 24 x 36.
const HIGHEST_PX: f64 = 9000.0;

/// Holds a picture's width to one that the film's shape does not make too high to hold in memory; else says what is
/// allowed.
pub fn hold_width(width_px: u32, film: &Film) -> Result<(), String> {
    let per_width = film.height_mm / film.width_mm;
    let height_px = f64::from(width_px) * per_width;
    if height_px <= HIGHEST_PX {
        return Ok(());
    }
    let (least_px, most_px) = (PICTURE_WIDTHS_PX.start(), (HIGHEST_PX / per_width).floor());
    Err(format!(
        "{width_px} px make a picture {height_px:.0} px high on this film, {least_px} to {most_px} px allowed"
    ))
}

/// One graded frame with all that it was graded from.
pub struct Frame<'a> {
    /// The site, ready to be graded.
    pub studio: &'a Studio<'a>,
    /// Where the camera stands and how it looks.
    pub stand: Stand,
    /// How it is set.
    pub capture: Capture,
    /// The instant and its light.
    pub minute: Minute,
    /// What the rules say of it.
    pub graded: Graded,
}

impl<'a> Frame<'a> {
    /// Grades a stand at an instant, at proof size.
    pub fn of(
        studio: &'a Studio<'a>,
        stand: Stand,
        capture: Capture,
        at: DateTime<Utc>,
    ) -> Frame<'a> {
        let minute = studio.minute(at);
        let graded = studio.grade(&stand, &capture, &minute);
        Frame {
            studio,
            stand,
            capture,
            minute,
            graded,
        }
    }

    /// Whether one may stand there and it is fair or better: a frame from where nobody may stand serves nobody, however
    /// good it would be.
    pub fn serves(&self) -> bool {
        let may_stand = stand::refusal_line(self.studio, &self.stand).is_empty();
        may_stand && self.graded.sheet.verdict >= Verdict::Fair
    }

    /// f-number and seconds that it is exposed with: those set, else those advised; none without light.
    pub fn exposure(&self) -> Option<(f64, f64)> {
        let advised = self.graded.advice.as_ref();
        match self.capture.exposure_s {
            Some(seconds) => Some((self.capture.f_number, seconds)),
            None => advised.map(|advice| (advice.aperture.value, advice.shutter.value)),
        }
    }

    /// Its picture, `width_px` across, exposed as it would be shot.
    pub fn picture(&self, painter: &Painter, width_px: u32) -> Painted {
        let (studio, at) = (self.studio, self.minute.at);
        let width = width_px as usize;
        predicted(painter, studio, &self.stand, at, self.exposure(), width)
    }

    /// A picture of it as a PNG file, which says of what site and instant it is.
    pub fn png(&self, painted: &Painted) -> Vec<u8> {
        let (name, at) = (&self.studio.scene.name, self.minute.at.to_rfc3339());
        png::encode(&painted.picture, name, &at)
    }

    /// Its sheet with stand, sun and exposure as lines of text.
    pub fn text(&self) -> String {
        text(self)
    }

    /// All of it as data: documented in README.
    pub fn data(&self) -> serde_json::Value {
        data(self)
    }
}

impl Way for Frame<'_> {
    fn studio(&self) -> &Studio<'_> {
        self.studio
    }

    fn best(&self) -> Option<&Sheet> {
        Some(&self.graded.sheet)
    }

    fn text(&self) -> String {
        text(self)
    }

    fn data(&self) -> serde_json::Value {
        data(self)
    }
}

fn text(frame: &Frame) -> String {
    let Frame {
        studio,
        stand,
        capture,
        minute,
        graded,
    } = frame;
    let scene: &Scene = &studio.scene;
    let mut text = format!(
        "{} · {}\n{}Sun {:.1}° high, bearing {:.1}°\n",
        scene.name,
        scene.place.zone.local(minute.at),
        stand::line(studio, stand),
        minute.sun.elevation_deg,
        minute.sun.azimuth_deg,
    );
    let iso = scene.kit.film_speed_iso;
    if let Some(seconds) = capture.exposure_s {
        let time = match seconds {
            s if s < 0.4 => format!("1/{:.0}", 1.0 / s),
            s => format!("{s}"),
        };
        text += &format!(
            "Exposed at f/{}, {time} s at ISO {iso:.0}\n",
            capture.f_number
        );
    }
    if let Some(advice) = &graded.advice {
        text += &format!(
            "Advised exposure f/{}, {} s at ISO {iso:.0}\n",
            advice.aperture.text, advice.shutter.text
        );
    }
    text += &stand::refusal_line(studio, stand);
    if let Some(risk) = scene.sky.risk() {
        text += &format!("{}\n", sentence_case(risk));
    }
    text + &sheet::text(&graded.sheet)
}

/// The frame as data: documented in README.
fn data(frame: &Frame) -> serde_json::Value {
    let Frame {
        studio,
        stand,
        capture,
        minute,
        graded,
    } = frame;
    let scene = &studio.scene;
    json!({
        "scene": scene.name,
        "head_end": scene.machine.head_end.word(),
        "at": minute.at.to_rfc3339(),
        "local": scene.place.zone.local(minute.at).to_string(),
        "stand": stand::data(scene, &studio.obstacles, stand),
        "sun": {
            "azimuth_deg": minute.sun.azimuth_deg,
            "elevation_deg": minute.sun.elevation_deg,
            "beam_normal_lx": minute.daylight.beam_normal_lx,
            "sky_horizontal_lx": minute.daylight.sky_horizontal_lx,
        },
        "exposure": {
            "f_number": capture.f_number,
            "exposure_s": capture.exposure_s,
            "advised_ev": graded.advice.as_ref().map(|a| a.ev),
            "advised_aperture": graded.advice.as_ref().map(|a| a.aperture.text),
            "advised_shutter_s": graded.advice.as_ref().map(|a| a.shutter.text),
            "film_speed_iso": scene.kit.film_speed_iso,
        },
        "sheet": graded.sheet,
    })
}
