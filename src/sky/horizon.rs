//! The terrain's skyline. May not enter: objects near the tracks.

use crate::units::wrap_360;

/// A skyline.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Horizon {
    /// (bearing, elevation) pairs in degrees, ascending in bearing; between them linear, closed over north.
    pub profile_deg: Vec<(f64, f64)>,
}

impl Horizon {
    /// Elevation of the skyline at a bearing; 0 where no profile was given.
    pub fn elevation_deg(&self, bearing_deg: f64) -> f64 {
        let (Some(&first), Some(&last)) = (self.profile_deg.first(), self.profile_deg.last())
        else {
            return 0.0;
        };
        let bearing = wrap_360(bearing_deg);
        let next = self.profile_deg.partition_point(|&(b, _)| b <= bearing);
        let before = match next.checked_sub(1) {
            Some(i) => self.profile_deg[i],
            None => (last.0 - 360.0, last.1),
        };
        let after = match self.profile_deg.get(next) {
            Some(&point) => point,
            None => (first.0 + 360.0, first.1),
        };
        let width = after.0 - before.0;
        if width > 0.0 {
            before.1 + (after.1 - before.1) * (bearing - before.0) / width
        } else {
            before.1 // two points on one bearing: a step
        }
    }

    /// Whether terrain stands before a point of the sky (of the sun: its centre). What has no elevation is
    /// hidden.
    pub fn hides(&self, azimuth_deg: f64, elevation_deg: f64) -> bool {
        let clear = elevation_deg >= self.elevation_deg(azimuth_deg);
        !clear
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn without_a_profile_the_horizon_is_flat() {
        let flat = Horizon::default();
        assert_eq!(flat.elevation_deg(123.0), 0.0);
        assert!(flat.hides(10.0, -0.1) && !flat.hides(10.0, 0.1));
        assert!(flat.hides(10.0, f64::NAN));
    }

    #[test]
    fn it_is_linear_and_closed_over_north() {
        let ridge = Horizon {
            profile_deg: vec![(10.0, 4.0), (100.0, 1.0), (350.0, 2.0)],
        };
        for (bearing, elevation) in [
            (10.0, 4.0),
            (55.0, 2.5),
            (100.0, 1.0),
            (225.0, 1.5),
            (350.0, 2.0),
            (0.0, 3.0),
            (360.0, 3.0),
            (-5.0, 2.5),
            (365.0, 3.5),
        ] {
            assert_abs_diff_eq!(ridge.elevation_deg(bearing), elevation, epsilon = 1e-12);
        }
        assert!(ridge.hides(0.0, 2.9) && !ridge.hides(0.0, 3.1));
    }

    #[test]
    fn one_point_is_a_level_skyline_and_two_on_a_bearing_a_step() {
        let level = Horizon {
            profile_deg: vec![(90.0, 3.0)],
        };
        assert_eq!(level.elevation_deg(20.0), 3.0);
        let cliff = Horizon {
            profile_deg: vec![(0.0, 1.0), (180.0, 1.0), (180.0, 5.0), (359.0, 5.0)],
        };
        assert_eq!(cliff.elevation_deg(179.0), 1.0);
        assert_eq!(cliff.elevation_deg(180.0), 5.0);
    }
}
