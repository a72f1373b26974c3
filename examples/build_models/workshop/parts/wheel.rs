//! Wheels and axles, and a truck's meshes about them. May not enter: how a truck holds them.

use super::super::shape::{Mesh, cylinder, turned};
use glam::DVec3;

/// Half the standard gauge: the gauge face of a flange where it meets the tread.
pub const HALF_GAUGE_M: f64 = 0.7175;

/// Half the distance between wheel backs.
pub const HALF_BACK_TO_BACK_M: f64 = 0.68;

/// A truck about x = 0 on its wheels: what the machine needs of any kind of truck.
#[derive(Clone, Debug)]
pub struct TruckMeshes {
    /// Where its axles lie.
    pub axles_x_m: Vec<f64>,
    /// Side frames and journal boxes.
    pub frame: Mesh,
    /// Springs, brakes, motors, bolster.
    pub gear: Mesh,
    /// Half the length of its axles.
    pub axle_half_m: f64,
}

/// The right-hand wheel (y < 0) on an axle at `x`, standing on the rail: tread radius `radius`.
pub fn wheel(x: f64, radius: f64) -> Mesh {
    // Distance from the centre line, radius; from the back outward.
    let stations = [
        (HALF_BACK_TO_BACK_M, 0.0),
        (HALF_BACK_TO_BACK_M, radius + 0.026),
        (HALF_GAUGE_M, radius),
        (HALF_BACK_TO_BACK_M + 0.135, radius - 0.006),
        (HALF_BACK_TO_BACK_M + 0.115, radius - 0.075),
        (HALF_BACK_TO_BACK_M + 0.125, 0.16),
        (HALF_BACK_TO_BACK_M + 0.165, 0.0),
    ];
    turned(DVec3::new(x, 0.0, radius), DVec3::NEG_Y, &stations, 16)
}

/// The axle at `x`, with its ends inside the journal boxes.
pub fn axle(x: f64, radius: f64, half_length: f64) -> Mesh {
    cylinder(
        DVec3::new(x, -half_length, radius),
        DVec3::new(x, half_length, radius),
        0.085,
        8,
    )
}
