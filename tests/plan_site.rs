//! Made-up sites for the plan's tests: the box machine on a straight track with as little round it as a test
//! needs. May not enter: assertions.

use chrono::NaiveDate;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use sunside::document::Document;
use sunside::grade::Rulebook;
use sunside::plan::request::{Rank, Request, Watch};
use sunside::plan::{Plan, plan};
use sunside::scene::Scene;
use sunside::sighting::rasterizer::Rasterizer;

/// What differs from site to site, as pieces of a scene file.
#[derive(Clone, Debug)]
pub struct Site {
    /// The track from its first to its last point; the machine stands in its middle.
    pub track_m: [[f64; 2]; 2],
    /// "first" (toward the track's first point), "second" or "unknown".
    pub head_end: &'static str,
    /// Allowed ground.
    pub ground_m: Vec<[f64; 2]>,
    /// The kit's lenses.
    pub lenses_mm: Vec<f64>,
    /// More keys of the machine.
    pub machine: &'static str,
    /// "clear", "overcast" …
    pub sky: &'static str,
    /// More tables.
    pub more: &'static str,
    /// Degrees north.
    pub lat_deg: f64,
    /// The machine, from the scene's folder.
    pub model: &'static str,
}

impl Default for Site {
    /// The head end points south, all ground lies to the east.
    fn default() -> Site {
        Site {
            track_m: [[0.0, 100.0], [0.0, -100.0]],
            head_end: "second",
            ground_m: vec![[20.0, -26.0], [26.0, -26.0], [26.0, -20.0], [20.0, -20.0]],
            lenses_mm: vec![50.0],
            machine: "",
            sky: "clear",
            more: "",
            lat_deg: 40.0,
            model: "../models/box_machine.toml",
        }
    }
}

impl Site {
    /// The site as a scene.
    pub fn scene(&self) -> Scene {
        let [first, last] = self.track_m;
        let middle = (first[0] - last[0]).hypot(first[1] - last[1]) / 2.0;
        let count = self.ground_m.len() as f64;
        let mean = |axis: usize| self.ground_m.iter().map(|p| p[axis]).sum::<f64>() / count;
        let text = format!(
            "[scene]\nname = \"Made-up Site\"\n\
             [place]\nlat_deg = {}\nlon_deg = -98\nelevation_m = 500\nzone = \"America/Chicago\"\n\
             [sky]\ncondition = \"{}\"\n\
             [[track]]\nname = \"siding\"\npoints_m = [{first:?}, {last:?}]\nground_below_rail_m = 0.5\n\
             [machine]\nmodel = \"{}\"\ntrack = \"siding\"\nchainage_m = {middle}\n\
             head_end = \"{}\"\n{}\n{}\n\
             [ground]\nstand_off_m = 7.6\n\
             [[ground.area]]\nname = \"lot\"\naccess = \"public\"\npolygon_m = {:?}\nbelow_rail_m = 0.5\n\
             [kit]\nlenses_mm = {:?}\nheights_m = [1.6]\n\
             [frame]\nspot_m = {:?}\nlens_mm = 50\nheight_m = 1.6\n",
            self.lat_deg,
            self.sky,
            self.model,
            self.head_end,
            self.machine,
            self.more,
            self.ground_m,
            self.lenses_mm,
            [mean(0), mean(1)],
        );
        let path = "tests/scenes/made_up.toml";
        let document = Document::parse(path, text.as_bytes());
        Scene::read(document, Path::new(path)).unwrap_or_else(|problems| panic!("{problems}"))
    }
}

/// A rectangle of ground.
pub fn rectangle(west: f64, south: f64, east: f64, north: f64) -> Vec<[f64; 2]> {
    vec![[west, south], [east, south], [east, north], [west, north]]
}

/// The same on both sides of a track from south to north: corners along its east edge keep their mean, where the
/// scene's own frame stands, off the rails.
pub fn both_sides(west: f64, south: f64, east: f64, north: f64) -> Vec<[f64; 2]> {
    let edge = (0..=8).map(|k| [east, south + (north - south) * f64::from(k) / 8.0]);
    [[west, south]]
        .into_iter()
        .chain(edge)
        .chain([[west, north]])
        .collect()
}

/// A request for one answer from the kit.
pub fn request(from: &str, to: &str, every_min: u32) -> Request {
    let date = |text: &str| text.parse::<NaiveDate>().unwrap();
    Request {
        from: date(from),
        to: date(to),
        every_min,
        lenses_mm: vec![],
        spacing_m: None,
        top: 1,
        slack: None,
        rank: Rank::Score,
    }
}

/// Plans with nobody watching.
pub fn planned(
    scene: &Scene,
    rulebook: &Rulebook,
    rasterizer: &dyn Rasterizer,
    request: &Request,
) -> Plan {
    let watch = Watch {
        cancel: &AtomicBool::new(false),
        told: &|_, _| {},
    };
    plan(scene, rulebook, rasterizer, request, &watch).expect("nobody cancels")
}
