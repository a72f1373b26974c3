//! The file that marks named points in a photograph, and tells what the photograph does not. May not enter: fitting.
//!
//! ```toml
//! [marks]                     # all of it may be left out
//! placed_to_px = 0.5          # how exactly the marks are placed; default 1
//! focal_mm = 50.0             # in place of what the photograph says
//! film_mm = [36.0, 24.0]      # width and height of the upright picture on the sensor
//! at = "2027-06-11 10:20"     # local time at the scene
//! f_number = 5.6
//! exposure_s = 0.008
//! film_speed_iso = 100.0
//! radial = false              # the lens bends no lines: look for no bend in the marks
//!
//! [[mark]]
//! point = "cab_roof_front_left"
//! at_px = [1204.5, 688.0]     # right of and below the upper left corner, picture upright
//! ```

use super::pose::Mark;
use crate::camera::film::Film;
use crate::document::{Document, Problems, nearest};
use crate::mesh::model::Model;
use crate::scene::limits::{EXPOSURES_S, F_NUMBERS, FILM_SPEEDS_ISO, LENSES_MM};
use crate::sky::clock::Zone;
use chrono::{DateTime, Utc};
use glam::DVec2;
use std::ops::RangeInclusive;
use std::path::Path;

/// Widths and heights that a sensor or a sheet of film may have.
pub const SENSORS_MM: RangeInclusive<f64> = 2.0..=400.0;

/// What a person says of a photograph.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    /// Points found in it.
    pub marks: Vec<Mark>,
    /// How exactly, pixels.
    pub placed_to_px: Option<f64>,
    /// Focal length.
    pub focal_mm: Option<f64>,
    /// The upright picture's size on the sensor.
    pub film: Option<Film>,
    /// When it was taken.
    pub at: Option<DateTime<Utc>>,
    /// f-number.
    pub f_number: Option<f64>,
    /// Exposure time, seconds.
    pub exposure_s: Option<f64>,
    /// Film's or sensor's speed.
    pub film_speed_iso: Option<f64>,
    /// Whether a bend of the lens is looked for, where there are marks enough.
    pub radial: bool,
}

impl Default for Given {
    /// Nothing said: a bend is looked for.
    fn default() -> Given {
        Given {
            marks: Vec::new(),
            placed_to_px: None,
            focal_mm: None,
            film: None,
            at: None,
            f_number: None,
            exposure_s: None,
            film_speed_iso: None,
            radial: true,
        }
    }
}

impl Given {
    /// The same, with what was said later in place of what was said before. Marks and how they are placed stay.
    pub fn with(self, later: Given) -> Given {
        Given {
            focal_mm: later.focal_mm.or(self.focal_mm),
            film: later.film.or(self.film),
            at: later.at.or(self.at),
            f_number: later.f_number.or(self.f_number),
            exposure_s: later.exposure_s.or(self.exposure_s),
            film_speed_iso: later.film_speed_iso.or(self.film_speed_iso),
            radial: self.radial && later.radial,
            ..self
        }
    }
}

/// Loads a marks file for a model at a place.
pub fn load(path: &Path, model: &Model, zone: &Zone) -> Result<Given, Problems> {
    read(Document::open(path)?, model, zone)
}

/// Reads one from its parsed document.
pub fn read(document: Document, model: &Model, zone: &Zone) -> Result<Given, Problems> {
    let root = document.root();
    let mut given = Given::default();
    if let Some(about) = root.table("marks").optional() {
        given.placed_to_px = about.number("placed_to_px").range(0.001..=100.0).optional();
        given.focal_mm = about.number("focal_mm").range(LENSES_MM).optional();
        given.film = (about.tuple::<2>("film_mm").range(SENSORS_MM).optional()).map(
            |[width_mm, height_mm]| Film {
                width_mm,
                height_mm,
            },
        );
        let at = |text: String| zone.parse_instant(&text).map_err(|e| e.to_string());
        let what = "a local time such as \"2027-05-14 10:20\"";
        given.at = about.text("at").map(what, at).optional();
        given.f_number = about.number("f_number").range(F_NUMBERS).optional();
        given.exposure_s = about.number("exposure_s").range(EXPOSURES_S).optional();
        given.film_speed_iso = (about.number("film_speed_iso").range(FILM_SPEEDS_ISO)).optional();
        given.radial = about.flag("radial").default(true);
    }
    if model.points.is_empty() {
        root.fault(
            "mark",
            "the scene's model names no points",
            "a model whose file has [[point]] tables",
        );
    }
    for table in root.tables("mark") {
        let name = table.text("point").required();
        let place = table.tuple::<2>("at_px").range(-1e5..=1e5).required();
        let Some(name) = name else { continue };
        let Some(point) = model.points.iter().find(|point| point.name == name) else {
            let names = model.points.iter().map(|point| point.name.as_str());
            let mut allowed = names.clone().collect::<Vec<_>>().join(", ");
            if let Some(near) = nearest(&name, names) {
                allowed = format!("{allowed}; did you mean \"{near}\"?");
            }
            table.fault("point", "the model names no such point", allowed);
            continue;
        };
        if given.marks.iter().any(|mark| mark.name == name) {
            table.fault("point", "a point marked twice", "each point once");
        }
        if let Some(place) = place {
            given.marks.push(Mark {
                name,
                at_m: point.position_m,
                at_px: DVec2::from_array(place),
            });
        }
    }
    document.finish()?;
    Ok(given)
}
