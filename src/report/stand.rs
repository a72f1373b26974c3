//! A stand as a line and as data, and why nobody may stand there. May not enter: grading, where a stand comes from.

use crate::grade::{Stand, Studio};
use crate::scene::Scene;
use crate::scene::obstacles::Obstacles;

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

/// A stand as data, the same in every report.
pub fn data(scene: &Scene, obstacles: &Obstacles, stand: &Stand) -> serde_json::Value {
    serde_json::json!({
        "east_m": stand.spot_m.x,
        "north_m": stand.spot_m.y,
        "height_m": stand.height_m,
        "eye_over_rail_m": stand.height_m - scene.ground_below_rail_m(stand.spot_m),
        "lens_mm": stand.lens_mm,
        "heading_deg": stand.heading_deg,
        "pitch_deg": stand.pitch_deg,
        "roll_deg": stand.roll_deg,
        "allowed": scene.may_stand(obstacles, stand.spot_m).is_ok(),
    })
}
