//! An instant as a frame's light: its sun, and what that sees. May not enter: eyes, rules.

use super::Studio;
use super::rulebook::ViewSize;
use crate::sighting::elevation::BodyShadow;
use crate::sighting::lit::SunBuffer;
use crate::sighting::rasterizer::Around;
use crate::sky::daylight::{Daylight, daylight};
use crate::sky::sun::{Sun, sun_at, toward};
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

impl Studio<'_> {
    /// The sun of an instant, without drawing what it sees.
    pub fn moment(&self, at: DateTime<Utc>) -> Moment {
        self.moment_turned(at, 0.0)
    }

    /// The same where the track, and all that was laid out by it, in truth lies turned clockwise by so much.
    fn moment_turned(&self, at: DateTime<Utc>, turned_deg: f64) -> Moment {
        let sun = sun_at(&self.scene.place.observer, at);
        let horizon = &self.scene.place.horizon;
        let toward = toward(sun.azimuth_deg - turned_deg, sun.elevation_deg);
        Moment {
            sun,
            toward: self.frame.direction_to_machine(toward),
            behind_terrain: horizon.hides(sun.azimuth_deg, sun.elevation_deg),
        }
    }

    /// Draws an instant at proof size.
    pub fn minute(&self, at: DateTime<Utc>) -> Minute {
        self.minute_at_size(at, &self.rulebook.proof)
    }

    /// Draws an instant at one of the rulebook's sizes.
    pub fn minute_at_size(&self, at: DateTime<Utc>, size: &ViewSize) -> Minute {
        self.minute_turned(at, 0.0, size)
    }

    /// The same where the track, and all that was laid out by it, in truth lies turned clockwise by so much.
    pub fn minute_turned(&self, at: DateTime<Utc>, turned_deg: f64, size: &ViewSize) -> Minute {
        let Moment {
            sun,
            toward,
            behind_terrain,
        } = self.moment_turned(at, turned_deg);
        let pressure_hpa = self.scene.place.observer.pressure_hpa;
        let width = size.sun_px;
        let up = sun.elevation_deg > 0.0;
        let draw = || SunBuffer::draw(self.rasterizer, &self.stage, toward, Around::Casters, width);
        let mut daylight = daylight(sun.elevation_deg, pressure_hpa, self.scene.sky);
        if behind_terrain {
            daylight.beam_normal_lx = 0.0;
        }
        Minute {
            at,
            sun,
            toward,
            daylight,
            behind_terrain,
            buffer: up.then(draw),
            shadows: Default::default(),
        }
    }
}
