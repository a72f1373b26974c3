//! Measures of the capture: focus and exposure. May not enter: the picture's tones.

use super::composition::coupler_depths_m;
use crate::camera::exposure::{Advice, error_stops};
use crate::camera::focus::{Focus, focus_for};
use crate::camera::projection::Camera;
use crate::grade::{MeasureId, Measured};
use crate::mesh::model::Model;

/// Where the lens is focused and how it is stopped down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capture {
    /// f-number set on the lens.
    pub f_number: f64,
    /// Exposure time, if set; else as advised.
    pub exposure_s: Option<f64>,
}

/// The focus that makes both couplers equally sharp, metres; `None` when one lies behind the camera.
pub fn both_couplers_m(model: &Model, camera: &Camera) -> Option<f64> {
    let [a, b] = coupler_depths_m(model, camera);
    (a > 0.1 && b > 0.1).then(|| focus_for(a.min(b), a.max(b)))
}

/// The lens as it is stopped down, focused for both couplers; `None` when one lies behind the camera.
pub fn focused(model: &Model, camera: &Camera, capture: &Capture) -> Option<Focus> {
    Some(Focus {
        focal_mm: camera.lens.focal_mm,
        f_number: capture.f_number,
        circle_mm: camera.film.circle_of_confusion_mm(),
        distance_m: both_couplers_m(model, camera)?,
    })
}

/// How far the worse coupler lies outside the depth of field.
pub fn focus(model: &Model, camera: &Camera, capture: &Capture, out: &mut Vec<Measured>) {
    let Some(focus) = focused(model, camera, capture) else {
        let why = "a coupler lies behind the camera";
        return out.push(Measured::not_applicable(MeasureId::FocusOutside, why));
    };
    let outside = coupler_depths_m(model, camera).map(|depth| {
        let outside = focus.outside_depth_of_field_m(depth).abs();
        if depth < focus.distance_m {
            -outside
        } else {
            outside
        }
    });
    let worse = if outside[0].abs() >= outside[1].abs() {
        outside[0]
    } else {
        outside[1]
    };
    out.push(Measured::absolute(MeasureId::FocusOutside, worse));
}

/// Error of the exposure from the advised one.
pub fn exposure(capture: &Capture, advice: Option<&Advice>, out: &mut Vec<Measured>) {
    out.push(match (advice, capture.exposure_s) {
        (None, _) => Measured::unknown(MeasureId::ExposureError, "there is no light to expose for"),
        (Some(advice), None) => Measured::absolute(MeasureId::ExposureError, advice.error_stops),
        (Some(advice), Some(seconds)) => Measured::absolute(
            MeasureId::ExposureError,
            error_stops(capture.f_number, seconds, advice.ev),
        ),
    });
}
