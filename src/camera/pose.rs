//! Where the camera is and how it is turned (contract; being built).

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
