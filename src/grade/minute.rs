//! An instant as a frame's light: its sun, and what that sees. May not enter: eyes, rules.

use crate::sighting::elevation::BodyShadow;
use crate::sighting::lit::SunBuffer;
use crate::sky::daylight::Daylight;
use crate::sky::sun::Sun;
use chrono::{DateTime, Utc};
use glam::DVec3;
use std::sync::OnceLock;

/// An instant, with its sun drawn.
pub struct Minute {
    /// The instant.
    pub at: DateTime<Utc>,
    /// The sun.
    pub sun: Sun,
    /// Its direction in the machine frame.
    pub toward: DVec3,
    /// Its light.
    pub daylight: Daylight,
    /// Terrain hides it.
    pub behind_terrain: bool,
    /// What it sees of the machine; none when it is below the horizon.
    pub buffer: Option<SunBuffer>,
    /// Shadows of other things on the body, by what is shown of it and how finely: they do not depend on the eye.
    pub(super) shadows: [OnceLock<Vec<BodyShadow>>; 8],
}

/// An instant's sun as geometry, nothing drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// The sun.
    pub sun: Sun,
    /// Its direction in the machine frame.
    pub toward: DVec3,
    /// Terrain hides it.
    pub behind_terrain: bool,
}

impl Moment {
    /// Whether the sun is below the horizon, so that nothing but that need be said of the light.
    pub fn is_night(&self) -> bool {
        self.sun.elevation_deg <= 0.0
    }
}

impl Minute {
    /// Its sun without what that sees.
    pub fn moment(&self) -> Moment {
        Moment {
            sun: self.sun,
            toward: self.toward,
            behind_terrain: self.behind_terrain,
        }
    }
}
