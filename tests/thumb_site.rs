//! Made-up sites for the rules of thumb: one straight track through the origin, ground all around, and
//! whatever a test adds; graded through the command line. May not enter: the rules of thumb.

use assert_cmd::Command;
use glam::DVec2;
use serde_json::Value;
use std::path::PathBuf;
use sunside::sky::clock::Zone;
use sunside::sky::sun::{Observer, Sun, sun_at};
use tempfile::TempDir;

/// A site with the machine's centre at its origin.
#[derive(Clone, Debug)]
pub struct Site {
    pub lat_deg: f64,
    /// Where the head end points.
    pub nose_bearing_deg: f64,
    /// Tables that a test adds (poles, wires).
    pub extra: String,
    /// The default frame's instant, local.
    pub at: String,
}

/// The zone of every such site.
pub const ZONE: &str = "America/Chicago";
const LON_DEG: f64 = -98.0;
const ELEVATION_M: f64 = 500.0;

/// Height over the local ground of an eye 1.0 m over the rail.
pub const EYE_HEIGHT_M: f64 = 1.5;

/// A graded frame as `grade --json` wrote it.
pub struct Frame {
    pub status: i32,
    pub json: Value,
}

impl Site {
    /// 40° N with the nose toward a bearing.
    pub fn facing(nose_bearing_deg: f64, at: &str) -> Site {
        Site {
            lat_deg: 40.0,
            nose_bearing_deg,
            extra: String::new(),
            at: at.to_string(),
        }
    }

    /// The same with another table.
    pub fn with(&self, extra: &str) -> Site {
        Site {
            extra: format!("{}\n{extra}", self.extra),
            ..self.clone()
        }
    }

    /// Where an eye stands so many degrees off the nose and metres from the machine's centre; negative
    /// degrees are on the machine's left.
    pub fn spot(&self, off_nose_deg: f64, distance_m: f64) -> DVec2 {
        self.toward(self.nose_bearing_deg + off_nose_deg) * distance_m
    }

    /// A unit vector of a bearing, east and north.
    pub fn toward(&self, bearing_deg: f64) -> DVec2 {
        let (sin, cos) = bearing_deg.to_radians().sin_cos();
        DVec2::new(sin, cos)
    }

    /// A point of the machine in the site: so far ahead of its centre and to its right.
    pub fn beside(&self, ahead_m: f64, right_m: f64) -> DVec2 {
        let ahead = self.toward(self.nose_bearing_deg);
        let right = self.toward(self.nose_bearing_deg + 90.0);
        ahead * ahead_m + right * right_m
    }

    /// The sun at a local time.
    pub fn sun(&self, at: &str) -> Sun {
        let instant = Zone::named(ZONE).unwrap().parse_instant(at).unwrap();
        sun_at(&Observer::at(self.lat_deg, LON_DEG, ELEVATION_M), instant)
    }

    /// The scene file.
    pub fn text(&self) -> String {
        let model = std::fs::canonicalize("models/hood_six_axle.toml").unwrap();
        let start = self.toward(self.nose_bearing_deg) * -100.0;
        format!(
            r#"
[scene]
name = "Thumb Siding"
[place]
lat_deg = {lat}
lon_deg = {LON_DEG}
elevation_m = {ELEVATION_M}
zone = "{ZONE}"
[sky]
condition = "clear"
[[track]]
name = "siding"
start_m = [{start_e}, {start_n}]
bearing_deg = {bearing}
length_m = 200
ground_below_rail_m = 0.5
[machine]
model = '{model}'
track = "siding"
chainage_m = 100
head_end = "second"
{extra}
[ground]
stand_off_m = 7.6
[[ground.area]]
name = "open ground"
access = "public"
polygon_m = [[-120, -120], [120, -120], [120, 120], [-120, 120]]
below_rail_m = 0.5
[kit]
film_mm = [36, 24]
lenses_mm = [50]
heights_m = [{EYE_HEIGHT_M}]
film_speed_iso = 64
f_number = 8
[frame]
spot_m = [{spot_e}, {spot_n}]
lens_mm = 50
height_m = {EYE_HEIGHT_M}
at = "{at}"
"#,
            lat = self.lat_deg,
            start_e = start.x,
            start_n = start.y,
            bearing = self.nose_bearing_deg.rem_euclid(360.0),
            model = model.display(),
            extra = self.extra,
            spot_e = self.spot(40.0, 29.0).x,
            spot_n = self.spot(40.0, 29.0).y,
            at = self.at,
        )
    }

    /// Writes the scene file into a folder.
    pub fn write(&self, dir: &TempDir) -> PathBuf {
        let path = dir.path().join("site.toml");
        std::fs::write(&path, self.text()).unwrap();
        path
    }

    /// `sunside grade` with these arguments.
    pub fn grade(&self, args: &[&str]) -> Frame {
        let dir = TempDir::new().unwrap();
        let scene = self.write(&dir);
        let json = dir.path().join("frame.json");
        let output = Command::cargo_bin("sunside")
            .unwrap()
            .arg("grade")
            .arg(&scene)
            .args(args)
            .arg("--json")
            .arg(&json)
            .output()
            .unwrap();
        let told = String::from_utf8_lossy(&output.stderr);
        let text = std::fs::read_to_string(&json).unwrap_or_else(|e| panic!("{e}: {told}"));
        Frame {
            status: output.status.code().expect("an exit status"),
            json: serde_json::from_str(&text).unwrap(),
        }
    }

    /// `grade` from so many degrees off the nose and metres from the machine's centre.
    pub fn grade_from(&self, off_nose_deg: f64, distance_m: f64, args: &[&str]) -> Frame {
        let spot = self.spot(off_nose_deg, distance_m);
        let spot = format!("{},{}", spot.x, spot.y);
        self.grade(&[&["--spot", &spot], args].concat())
    }
}

impl Frame {
    pub fn verdict(&self) -> &str {
        self.json["sheet"]["verdict"].as_str().unwrap()
    }

    fn row(&self, measure: &str) -> &Value {
        let rows = self.json["sheet"]["measures"].as_array().unwrap();
        rows.iter()
            .find(|row| row["measure"] == measure)
            .unwrap_or_else(|| panic!("no {measure}"))
    }

    pub fn grade_of(&self, measure: &str) -> &str {
        let row = self.row(measure);
        row["grade"].as_str().unwrap_or_else(|| panic!("{row}"))
    }

    pub fn value_of(&self, measure: &str) -> f64 {
        let row = self.row(measure);
        row["value"].as_f64().unwrap_or_else(|| panic!("{row}"))
    }

    /// Sentences of the findings of one family ("light"), or of all for "".
    pub fn findings(&self, group: &str) -> Vec<String> {
        let all = self.json["sheet"]["findings"].as_array().unwrap();
        all.iter()
            .filter(|one| group.is_empty() || one["group"] == group)
            .map(|one| format!("{}: {}", one["measure"], one["sentence"]))
            .collect()
    }
}
