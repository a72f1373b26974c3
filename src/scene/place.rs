//! Where a scene lies on the earth. May not enter: tracks, suns at particular instants.

use crate::sky::{clock::Zone, horizon::Horizon, sun::Observer};

/// A place with its clock and its skyline.
#[derive(Clone, Debug)]
pub struct Place {
    /// Latitude, longitude, elevation, air.
    pub observer: Observer,
    /// Civil time.
    pub zone: Zone,
    /// Terrain that can hide the sun.
    pub horizon: Horizon,
}
