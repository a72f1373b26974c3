//! The light of one minute, as a picture needs it. May not enter: surfaces, pixels.

use crate::scene::Scene;
use crate::sky::color::{beam_color, sky_color};
use crate::sky::daylight::{SkyCondition, daylight};
use crate::sky::horizon::Horizon;
use crate::sky::sun::sun_at;
use chrono::{DateTime, Utc};
use glam::DVec3;

/// Sun, sky and skyline, in the machine frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Light {
    /// Unit vector toward the middle of the sun, machine frame.
    pub toward: DVec3,
    /// Direct sun on a plane that faces it, lx, the sky's condition included.
    pub beam_lx: f64,
    /// The whole sky without the sun on a level plane, lx.
    pub sky_lx: f64,
    /// Colour of the beam, linear sRGB with luminance 1.
    pub beam_color: DVec3,
    /// Colour of the sky's light, linear sRGB with luminance 1.
    pub sky_color: DVec3,
    /// Terrain, or the earth itself, stands before the sun.
    pub sun_hidden: bool,
    /// Cloud.
    pub condition: SkyCondition,
    /// Terrain skyline, by true bearing.
    pub horizon: Horizon,
    /// True bearing of the machine's forward axis, degrees.
    pub forward_bearing_deg: f64,
}

impl Light {
    /// The light at a scene's machine at an instant.
    pub fn at(scene: &Scene, instant: DateTime<Utc>) -> Light {
        let place = &scene.place;
        let sun = sun_at(&place.observer, instant);
        let pressure_hpa = place.observer.pressure_hpa;
        let light = daylight(sun.elevation_deg, pressure_hpa, scene.sky);
        Light {
            toward: scene.machine.frame().direction_to_machine(sun.toward()),
            beam_lx: light.beam_normal_lx,
            sky_lx: light.sky_horizontal_lx,
            beam_color: beam_color(sun.elevation_deg, pressure_hpa),
            sky_color: sky_color(sun.elevation_deg, pressure_hpa, scene.sky),
            sun_hidden: place.horizon.hides(sun.azimuth_deg, sun.elevation_deg),
            condition: scene.sky,
            horizon: place.horizon.clone(),
            forward_bearing_deg: scene.machine.forward_bearing_deg(),
        }
    }

    /// Direct sun that really arrives on a plane facing it, linear sRGB, lx.
    pub fn beam(&self) -> DVec3 {
        if self.sun_hidden || self.toward.z <= 0.0 {
            return DVec3::ZERO;
        }
        self.beam_color * self.beam_lx
    }

    /// Sky light on a level plane in the open, linear sRGB, lx.
    pub fn sky(&self) -> DVec3 {
        self.sky_color * self.sky_lx
    }
}
