//! Tracks: polylines with a gauge. May not enter: what stands on them.

use glam::DVec2;

/// One track.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    /// Its name ("siding").
    pub name: String,
    /// Centre line, east and north, at the level of the rails (z = 0).
    pub points_m: Vec<DVec2>,
    /// Distance between the rails' inner faces.
    pub gauge_m: f64,
    /// How far the ground lies below the top of rail.
    pub ground_below_rail_m: f64,
}
