//! Where a camera stands and how it looks. May not enter: what it sees.

use glam::DVec2;

/// Where the camera stands and how it looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// East, north in the site.
    pub spot_m: DVec2,
    /// Height of the lens over the ground there.
    pub height_m: f64,
    /// Focal length.
    pub lens_mm: f64,
    /// True bearing of the axis.
    pub heading_deg: f64,
    /// Axis above the horizon.
    pub pitch_deg: f64,
    /// Clockwise roll.
    pub roll_deg: f64,
}

/// What of a scene's own stand is to be another; none where it stays. Where nothing is said of the heading, a stand that
/// is changed is aimed for equal side margins.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StandChange {
    /// East, north in the site.
    pub spot_m: Option<DVec2>,
    /// Height of the lens over the ground there.
    pub height_m: Option<f64>,
    /// Focal length.
    pub lens_mm: Option<f64>,
    /// True bearing of the axis.
    pub heading_deg: Option<f64>,
    /// Axis above the horizon.
    pub pitch_deg: Option<f64>,
    /// Clockwise roll.
    pub roll_deg: Option<f64>,
}
