//! From points of the world to places in the picture and back. May not enter: pixels, machines.

use super::{film::Film, lens::Lens, pose::Basis, pose::Pose};
use glam::DVec3;

/// A camera ready to look: pose, lens, film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// Where it stands and how it is turned.
    pub pose: Pose,
    /// What is on it.
    pub lens: Lens,
    /// What is in it.
    pub film: Film,
}

/// A point's image on the film plane, upright as seen in the finder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ImagePoint {
    /// Millimetres to the right of the optical axis.
    pub x_mm: f64,
    /// Millimetres above the optical axis.
    pub y_mm: f64,
    /// Distance of the point along the axis, metres.
    pub depth_m: f64,
}

impl Camera {
    /// The image of a point; none when the point is not in front of the lens.
    pub fn project(&self, point: DVec3) -> Option<ImagePoint> {
        self.project_in(&self.pose.basis(), point)
    }

    /// `project` for many points of one pose: its directions are worked out once.
    pub(super) fn project_in(&self, basis: &Basis, point: DVec3) -> Option<ImagePoint> {
        let offset = point - self.pose.eye;
        let depth_m = offset.dot(basis.forward);
        let image = ImagePoint {
            x_mm: self.lens.focal_mm * offset.dot(basis.right) / depth_m,
            y_mm: self.lens.focal_mm * offset.dot(basis.up) / depth_m,
            depth_m,
        };
        // A point in the plane of the lens has no image, and neither has one that is not a number.
        (depth_m > 0.0 && image.x_mm.is_finite() && image.y_mm.is_finite()).then_some(image)
    }

    /// Place in the frame: u from the left (0) to the right (1), v from the top (0) to the bottom (1).
    /// A shifted lens moves the frame over the image, not the image.
    pub fn u_v(&self, image: &ImagePoint) -> (f64, f64) {
        (
            0.5 + (image.x_mm - self.lens.shift_x_mm) / self.film.width_mm,
            0.5 - (image.y_mm - self.lens.shift_y_mm) / self.film.height_mm,
        )
    }

    /// The unit direction in the world that is seen at a place in the frame.
    pub fn ray(&self, u: f64, v: f64) -> DVec3 {
        let basis = self.pose.basis();
        let x_mm = (u - 0.5) * self.film.width_mm + self.lens.shift_x_mm;
        let y_mm = (0.5 - v) * self.film.height_mm + self.lens.shift_y_mm;
        (basis.forward * self.lens.focal_mm + basis.right * x_mm + basis.up * y_mm).normalize()
    }

    /// Whether an image falls inside the frame, its edges included.
    pub fn in_frame(&self, image: &ImagePoint) -> bool {
        let (u, v) = self.u_v(image);
        (0.0..=1.0).contains(&u) && (0.0..=1.0).contains(&v)
    }
}
