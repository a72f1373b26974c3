//! Focus and depth of field of a thin lens. May not enter: what is to be sharp.
//!
//! Formulas: common optics handbooks (for instance S. F. Ray, Applied Photographic Optics), from
//! memory; distances are measured from the lens.

/// A lens stopped down and focused.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Focus {
    /// Focal length, millimetres.
    pub focal_mm: f64,
    /// Working f-number.
    pub f_number: f64,
    /// Largest blur disc on film that passes for a point, millimetres.
    pub circle_mm: f64,
    /// Distance focused on, metres; beyond the focal length.
    pub distance_m: f64,
}

impl Focus {
    fn focal_m(&self) -> f64 {
        self.focal_mm / 1000.0
    }

    /// The nearest distance to focus on that leaves infinity sharp, metres: H = f²/(N·c) + f.
    pub fn hyperfocal_m(&self) -> f64 {
        self.focal_m() * self.focal_mm / (self.f_number * self.circle_mm) + self.focal_m()
    }

    /// Where sharpness begins, metres: s(H − f) / (H + s − 2f).
    pub fn near_limit_m(&self) -> f64 {
        let (hyperfocal_m, focal_m) = (self.hyperfocal_m(), self.focal_m());
        self.distance_m * (hyperfocal_m - focal_m)
            / (hyperfocal_m + self.distance_m - 2.0 * focal_m)
    }

    /// Where sharpness ends, metres: s(H − f) / (H − s), infinite from the hyperfocal distance on.
    pub fn far_limit_m(&self) -> f64 {
        let hyperfocal_m = self.hyperfocal_m();
        if self.distance_m >= hyperfocal_m {
            return f64::INFINITY;
        }
        self.distance_m * (hyperfocal_m - self.focal_m()) / (hyperfocal_m - self.distance_m)
    }

    /// Diameter on film of the disc that a point at `depth_m` is drawn as, millimetres:
    /// f² / (N(s − f)) · |d − s| / d.
    pub fn blur_disc_mm(&self, depth_m: f64) -> f64 {
        let magnified_mm = self.focal_m() / (self.distance_m - self.focal_m()) * self.focal_mm;
        magnified_mm / self.f_number * (1.0 - self.distance_m / depth_m).abs()
    }

    /// Metres by which `depth_m` lies nearer than the near limit or farther than the far limit; 0
    /// inside; not a number for a depth that is none.
    pub fn outside_depth_of_field_m(&self, depth_m: f64) -> f64 {
        let (near_m, far_m) = (self.near_limit_m(), self.far_limit_m());
        if depth_m < near_m {
            near_m - depth_m
        } else if depth_m <= far_m {
            0.0
        } else {
            depth_m - far_m
        }
    }
}

/// The distance to focus on so that two depths are equally sharp: their harmonic mean, 2nf/(n + f),
/// which follows from the limits above (1/near + 1/far = 2/s).
pub fn focus_for(near_m: f64, far_m: f64) -> f64 {
    2.0 / (1.0 / near_m + 1.0 / far_m)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn focus(distance_m: f64) -> Focus {
        Focus {
            focal_mm: 50.0,
            f_number: 8.0,
            circle_mm: 0.030,
            distance_m,
        }
    }

    #[test]
    fn focusing_between_two_depths_blurs_both_alike() {
        let sharp = focus(focus_for(20.0, 38.0));
        assert!((sharp.blur_disc_mm(20.0) - sharp.blur_disc_mm(38.0)).abs() < 1e-12);
        assert_eq!(focus_for(5.0, f64::INFINITY), 10.0);
    }

    #[test]
    fn outside_is_measured_from_the_nearer_limit() {
        let sharp = focus(5.0);
        let (near_m, far_m) = (sharp.near_limit_m(), sharp.far_limit_m());
        assert_eq!(sharp.outside_depth_of_field_m(5.0), 0.0);
        assert!((sharp.outside_depth_of_field_m(near_m - 1.5) - 1.5).abs() < 1e-12);
        assert!((sharp.outside_depth_of_field_m(far_m + 2.0) - 2.0).abs() < 1e-12);
        assert_eq!(focus(12.0).outside_depth_of_field_m(1e9), 0.0);
        assert!(sharp.outside_depth_of_field_m(f64::NAN).is_nan());
    }
}
