//! The predicted frame of a stand and minute, exposed as it would be shot. May not enter: grading.

use super::painter::{Painted, Painter};
use super::{Light, plain};
use crate::camera::exposure::{ev_of_settings, illuminance_lx};
use crate::grade::{Stand, Studio};
use chrono::{DateTime, Utc};

/// Draws it `width_px` across. `settings` are f-number and seconds; without any the picture is exposed for its
/// own light.
pub fn predicted(
    painter: &Painter,
    studio: &Studio,
    stand: &Stand,
    at: DateTime<Utc>,
    settings: Option<(f64, f64)>,
    width_px: usize,
) -> Painted {
    let view = plain::view_of(&studio.camera(stand), width_px);
    let light = Light::at(&studio.scene, at);
    let exposed_for_lx = settings.map(|(f_number, seconds)| {
        let ev = ev_of_settings(f_number, seconds);
        illuminance_lx(ev, studio.scene.kit.film_speed_iso)
    });
    let (rasterizer, stage) = (studio.rasterizer, &studio.stage);
    painter.paint(rasterizer, stage, &view, &light, exposed_for_lx)
}
