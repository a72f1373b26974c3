//! The lens: focal length, shift, angle of view. May not enter: where the camera stands.

use super::film::Film;
use crate::units::deg;

/// A lens without distortion, focused far away (image distance = focal length).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lens {
    /// Focal length, millimetres.
    pub focal_mm: f64,
    /// Shift across, millimetres on film: positive shows more of what lies to the right.
    pub shift_x_mm: f64,
    /// Shift upward, millimetres on film: positive shows more of what lies above.
    pub shift_y_mm: f64,
}

impl Lens {
    /// A lens that is not shifted.
    pub fn new(focal_mm: f64) -> Lens {
        Lens {
            focal_mm,
            shift_x_mm: 0.0,
            shift_y_mm: 0.0,
        }
    }

    /// The focal length that shows the same diagonal angle on 24 x 36 mm.
    pub fn equivalent_mm(&self, film: &Film) -> f64 {
        self.focal_mm * film.crop_factor()
    }

    /// Angle of view across, down and corner to corner, degrees: 2·atan(d / 2f), the lens not
    /// shifted. A shifted lens sees a little less than that and off to one side.
    pub fn angle_of_view_deg(&self, film: &Film) -> (f64, f64, f64) {
        let angle = |extent_mm: f64| angle_of_view_deg(self.focal_mm, extent_mm);
        (
            angle(film.width_mm),
            angle(film.height_mm),
            angle(film.diagonal_mm()),
        )
    }
}

/// The angle in which an extent on film sees, degrees: 2·atan(d / 2f).
pub fn angle_of_view_deg(focal_mm: f64, extent_mm: f64) -> f64 {
    deg(2.0 * (extent_mm / (2.0 * focal_mm)).atan())
}
