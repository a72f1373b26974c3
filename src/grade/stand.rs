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
