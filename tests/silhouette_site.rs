//! A made-up site whose pictures have closed forms: the two boxes of tests/models/two_boxes.toml head north
//! across the origin, and a level eye looks at their right side square on from the east. May not enter: what
//! is counted.

use glam::DVec2;
use std::path::Path;
use sunside::document::Document;
use sunside::grade::{MeasureId, Measured, Reading, Rulebook, Stand, Studio, WIDEST_GRADED_DEG};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

/// Half the machine's length, and its height over the rail.
pub const HALF_LENGTH_M: f64 = 10.0;
pub const HEIGHT_M: f64 = 4.0;
/// The eye's easting, and its height over the rail.
pub const EYE_EAST_M: f64 = 40.0;
pub const EYE_UP_M: f64 = 1.0;
/// From the eye to the side that it sees, whose easting is 1.5 m.
pub const SIDE_M: f64 = EYE_EAST_M - 1.5;
/// How far the frame reaches on the side's plane from its middle: to the right and left, up and down. The
/// film is 36 x 24 mm, the lens 50 mm.
pub const FRAME_HALF_M: DVec2 = DVec2::new(SIDE_M * 18.0 / 50.0, SIDE_M * 12.0 / 50.0);
/// Height of the site's ground over the rail.
pub const GROUND_M: f64 = -0.5;

/// How much larger something at this easting looks than on the side's plane.
pub fn scale(east_m: f64) -> f64 {
    SIDE_M / (EYE_EAST_M - east_m)
}

/// The height over the rail at which something at this easting looks as high as `on_side_m` on the side.
pub fn level_with(on_side_m: f64, east_m: f64) -> f64 {
    EYE_UP_M + (on_side_m - EYE_UP_M) / scale(east_m)
}

/// A frame that was looked at.
pub struct Look(Vec<Measured>);

/// The site with these tables in its scene file.
pub fn studio_of<'a>(extra: &str, rulebook: &'a Rulebook, cpu: &'a Cpu) -> Studio<'a> {
    let text = format!(
        r#"
[scene]
name = "Rectangle Siding"
[place]
lat_deg = 40
lon_deg = -98
elevation_m = 500
zone = "America/Chicago"
[[track]]
name = "siding"
points_m = [[0, -200], [0, 200]]
ground_below_rail_m = 0.5
[machine]
model = "tests/models/two_boxes.toml"
track = "siding"
chainage_m = 200
head_end = "second"
{extra}
[ground]
[[ground.area]]
name = "open ground"
access = "public"
polygon_m = [[8, -60], [90, -60], [90, 60], [8, 60]]
below_rail_m = 0.5
[kit]
lenses_mm = [50]
heights_m = [1.5]
[frame]
spot_m = [{EYE_EAST_M}, 0]
lens_mm = 50
height_m = 1.5
heading_deg = 270
"#
    );
    let document = Document::parse("site.toml", text.as_bytes());
    let scene = Scene::read(document, Path::new("site.toml"));
    let scene = scene.unwrap_or_else(|problems| panic!("{problems}"));
    Studio::new(scene, rulebook, cpu, None)
}

/// What the eye sees with these tables in the scene file.
pub fn look(extra: &str) -> Look {
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = studio_of(extra, &rulebook, &cpu);
    let stand: Stand = studio.default_stand();
    let capture = studio.default_capture();
    let composed = studio.compose(&stand, &capture, &rulebook.proof, WIDEST_GRADED_DEG);
    Look(composed.measured)
}

impl Look {
    fn one(&self, id: MeasureId) -> &Measured {
        let found = self.0.iter().find(|one| one.id == id);
        found.unwrap_or_else(|| panic!("no {id:?}"))
    }

    /// The value of a measure.
    #[track_caller]
    pub fn value(&self, id: MeasureId) -> f64 {
        match &self.one(id).reading {
            Reading::Value(value) => *value,
            other => panic!("{id:?}: {other:?}"),
        }
    }

    /// Whether a measure has a meaning here.
    pub fn applies(&self, id: MeasureId) -> bool {
        matches!(self.one(id).reading, Reading::Value(_))
    }

    /// What a measure names as the culprit or the place; empty where it names nothing.
    pub fn named(&self, id: MeasureId) -> &str {
        self.one(id).detail.as_deref().unwrap_or_default()
    }
}

/// Tables of things, as scene files have them.
pub mod tables {
    /// A house on the site's ground; `along_m` are its ends, north.
    pub fn house(east_m: f64, along_m: [f64; 2], height_m: f64) -> String {
        let [from, to] = along_m;
        let west = east_m - 0.2;
        format!(
            "[[building]]\nfootprint_m = [[{west}, {from}], [{east_m}, {from}], [{east_m}, {to}], [{west}, {to}]]\n\
             height_m = {height_m}\n"
        )
    }

    /// A pole 0.3 m thick at its foot.
    pub fn pole(east_m: f64, north_m: f64, height_m: f64) -> String {
        format!("[[pole]]\nposition_m = [{east_m}, {north_m}]\nheight_m = {height_m}\n")
    }

    /// A tree in full leaf, its crown 4 m wide from 1 m over the ground to the top.
    pub fn tree(east_m: f64, north_m: f64, height_m: f64) -> String {
        format!(
            "[[tree]]\nposition_m = [{east_m}, {north_m}]\nheight_m = {height_m}\ncrown_width_m = 4\n\
             crown_base_m = 1\ncrown_opacity = 1\ntrunk_diameter_m = 0.3\n"
        )
    }

    /// A girder along the track 1.5 m deep.
    pub fn bridge(east_m: f64, along_m: [f64; 2], underside_m: f64) -> String {
        let [from, to] = along_m;
        format!(
            "[[bridge]]\nfrom_m = [{east_m}, {from}]\nto_m = [{east_m}, {to}]\nwidth_m = 0.4\n\
             underside_m = {underside_m}\ndepth_m = 1.5\n"
        )
    }

    /// A straight wire along the track.
    pub fn wire(east_m: f64, along_m: [f64; 2], up_m: f64) -> String {
        let [from, to] = along_m;
        format!(
            "[[wire]]\na_m = [{east_m}, {from}, {up_m}]\nb_m = [{east_m}, {to}, {up_m}]\ndiameter_mm = 10\n"
        )
    }

    /// Somebody 1.75 m tall.
    pub fn person(east_m: f64, north_m: f64) -> String {
        format!("[[person]]\nposition_m = [{east_m}, {north_m}]\n")
    }
}
