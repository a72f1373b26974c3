//! One site as the program thinks of it: place, tracks, the machine, what surrounds it, the ground on
//! which one may stand, and what the photographer carries. May not enter: pixels, grades, screens.
//!
//! Site frame: east, north, up in metres; origin at the scene's place; z = 0 at the top of rail under
//! the machine.

mod change;
pub mod clearing;
pub mod coat;
pub mod edit;
pub mod equipment;
pub mod ground;
pub mod limits;
pub mod machine;
pub mod obstacles;
pub mod place;
pub mod polygon;
mod read;
pub mod shapes;
pub mod standing;
pub mod surroundings;
pub mod track;
mod unsaved;

use crate::document::{Document, Problems};
use crate::sky::daylight::SkyCondition;
use chrono::{DateTime, Utc};
use glam::DVec2;
use ground::{Area, Refusal};
use obstacles::Obstacles;
use std::path::Path;

/// A whole site.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Its name, as the card prints it.
    pub name: String,
    /// A sentence on what is there.
    pub note: String,
    /// Where on the earth it lies.
    pub place: place::Place,
    /// Every track, the machine's own among them.
    pub tracks: Vec<track::Track>,
    /// The machine and where it stands.
    pub machine: machine::Machine,
    /// Everything else that stands there, coupled equipment included.
    pub surroundings: Vec<surroundings::Object>,
    /// What of it is cut or sent away.
    pub cleared: clearing::Cleared,
    /// Where that is kept, should it stand there again.
    pub aside: Vec<surroundings::Object>,
    /// Wires: geometry only, never pixels.
    pub wires: Vec<surroundings::Wire>,
    /// Where one may stand, and how far from the rails.
    pub ground: ground::Ground,
    /// Film, lenses and heights.
    pub kit: Kit,
    /// The frame that is graded when nothing else is asked for.
    pub frame: DefaultFrame,
    /// The sky that is hoped for.
    pub sky: SkyCondition,
}

/// What the photographer carries.
#[derive(Clone, Debug, PartialEq)]
pub struct Kit {
    /// The frame's size on film.
    pub film: crate::camera::film::Film,
    /// Focal lengths in millimetres, ascending.
    pub lenses_mm: Vec<f64>,
    /// Camera heights over the ground stood on, ascending.
    pub heights_m: Vec<f64>,
    /// ISO film speed.
    pub film_speed_iso: f64,
    /// Working f-number.
    pub f_number: f64,
}

/// The scene's own frame. Aim defaults to equal side margins, level and plumb.
#[derive(Clone, Debug, PartialEq)]
pub struct DefaultFrame {
    /// East, north of the camera.
    pub spot_m: DVec2,
    /// Focal length.
    pub lens_mm: f64,
    /// Height over the ground there.
    pub height_m: f64,
    /// Heading of the axis, if not the balanced one.
    pub heading_deg: Option<f64>,
    /// Axis above (+) or below the horizon.
    pub pitch_deg: f64,
    /// Clockwise as the photographer sees it.
    pub roll_deg: f64,
    /// The instant, if the scene names one.
    pub at: Option<DateTime<Utc>>,
}

impl Scene {
    /// Loads a scene file and the model that it names. Every problem of both comes at once.
    pub fn load(path: &Path) -> Result<Scene, Problems> {
        Scene::read(Document::open(path)?, path)
    }

    /// Reads a scene from its parsed file; `path` says where the model is looked for.
    pub fn read(document: Document, path: &Path) -> Result<Scene, Problems> {
        read::scene(document, path)
    }

    /// How far the local ground lies below the rail at a spot (that of the machine's track where no allowed
    /// ground is named).
    pub fn ground_below_rail_m(&self, spot_m: DVec2) -> f64 {
        let area = self.ground.area_at(spot_m);
        let track = &self.tracks[self.machine.track];
        area.map_or(track.ground_below_rail_m, |area| area.below_rail_m)
    }

    /// The piece of ground at a spot, if one may and can stand there.
    pub fn may_stand(&self, obstacles: &Obstacles, spot_m: DVec2) -> Result<&Area, Refusal> {
        let area = self.ground.may_stand(&self.tracks, spot_m)?;
        match obstacles.person_in(spot_m, -self.ground_below_rail_m(spot_m)) {
            Some(name) => Err(Refusal::Filled(name.to_string())),
            None => Ok(area),
        }
    }
}
