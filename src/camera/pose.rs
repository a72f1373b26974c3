//! Where the camera is and how it is turned. May not enter: lenses, film.

use crate::units::rad;
use glam::DVec3;

/// A camera's pose, in any east-north-up frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// The lens, metres.
    pub eye: DVec3,
    /// Heading of the axis, clockwise from north (+y).
    pub heading_deg: f64,
    /// Axis above (+) the horizon.
    pub pitch_deg: f64,
    /// Clockwise as the photographer sees it.
    pub roll_deg: f64,
}

/// The camera's own directions as unit vectors of the world, square to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basis {
    /// Toward the right edge of the picture.
    pub right: DVec3,
    /// Toward the top of the picture.
    pub up: DVec3,
    /// Along the optical axis, away from the photographer.
    pub forward: DVec3,
}

impl Pose {
    /// A level camera: no pitch, no roll.
    pub fn level(eye: DVec3, heading_deg: f64) -> Pose {
        Pose {
            eye,
            heading_deg,
            pitch_deg: 0.0,
            roll_deg: 0.0,
        }
    }

    /// The camera's directions. Roll turns the camera clockwise as seen from behind: its right-hand
    /// side goes down, and the picture of the world turns counter-clockwise.
    pub fn basis(&self) -> Basis {
        let (sin_h, cos_h) = rad(self.heading_deg).sin_cos();
        let (sin_p, cos_p) = rad(self.pitch_deg).sin_cos();
        let (sin_r, cos_r) = rad(self.roll_deg).sin_cos();
        let forward = DVec3::new(sin_h * cos_p, cos_h * cos_p, sin_p);
        let level_right = DVec3::new(cos_h, -sin_h, 0.0);
        let level_up = level_right.cross(forward);
        Basis {
            right: level_right * cos_r - level_up * sin_r,
            up: level_up * cos_r + level_right * sin_r,
            forward,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_camera_turned_clockwise_has_its_right_side_low() {
        let rolled = Pose {
            roll_deg: 10.0,
            ..Pose::level(DVec3::ZERO, 0.0)
        };
        assert!(rolled.basis().right.z < -0.17);
        assert!(rolled.basis().up.x > 0.17);
    }

    #[test]
    fn a_raised_axis_points_up_and_a_heading_runs_clockwise() {
        let pose = Pose {
            pitch_deg: 30.0,
            ..Pose::level(DVec3::ZERO, 90.0)
        };
        let expected = DVec3::new(0.75_f64.sqrt(), 0.0, 0.5);
        assert!((pose.basis().forward - expected).length() < 1e-12);
    }
}
