//! Light that leaves a surface towards the eye: sun, sky, ground's return, polish. May not enter: views.

use super::light::Light;
use super::openness::Openness;
use super::pieces::Pieces;
use super::sky::Dome;
use super::surface::{Matter, Seen};
use crate::sighting::stage::Stage;
use glam::DVec3;

/// What the ground sends back of the light that falls on it; grass and ballast (common practice, as in
/// daylight calculations).
pub const GROUND_ALBEDO: DVec3 = DVec3::new(0.19, 0.18, 0.135);

/// Everything that is the same for all pixels of one picture.
pub struct Shading<'a> {
    pub light: &'a Light,
    pub dome: Dome<'a>,
    pub stage: &'a Stage,
    pub pieces: &'a Pieces,
    pub openness: &'a Openness,
    /// The eye, machine frame.
    pub eye: DVec3,
}

impl Shading<'_> {
    /// Light times π towards the eye, lx, linear sRGB. `lit` is the share of the sun's disc that shines.
    pub fn leaving(&self, seen: &Seen, matter: &Matter, lit: f64) -> DVec3 {
        let light = self.light;
        let normal = seen.normal;
        let (sky_share, ground_share) = match seen.id.as_patch() {
            Some(patch) => self.openness.on_patch(self.stage, patch, seen.point),
            None => {
                let tilt = (1.0 + normal.z) / 2.0;
                (tilt * self.openness.on_ground(seen.point), 1.0 - tilt)
            }
        };
        let mut facing = normal.dot(light.toward).max(0.0);
        if seen.is_soft {
            // Leaves turn every way and let light through.
            facing = 0.55 * facing + 0.18 + 0.12 * (-normal.dot(light.toward)).max(0.0);
        }
        let open_ground = light.beam() * light.toward.z.max(0.0) + light.sky();
        let incident = light.beam() * (facing * lit)
            + light.sky() * sky_share
            + GROUND_ALBEDO * open_ground * ground_share;
        let mut leaving = matter.albedo * incident;
        if matter.polish > 0.0 {
            leaving += self.polish(
                seen,
                matter,
                lit,
                sky_share / ((1.0 + normal.z) / 2.0).max(0.05),
            );
        }
        leaving
    }

    /// What a polish mirrors (Schlick 1994; the sun's spot after Blinn 1977, normalised).
    fn polish(&self, seen: &Seen, matter: &Matter, lit: f64, free: f64) -> DVec3 {
        let to_eye = (self.eye - seen.point).normalize_or(DVec3::Z);
        let normal = seen.normal;
        let cosine = normal.dot(to_eye).clamp(0.0, 1.0);
        // A rough surface hides its own grazing gleam behind its bumps: dull paint stays dull against the sun.
        let gleam = (1.0 - 1.6 * matter.rough).max(0.0);
        let fresnel = matter.polish + (1.0 - matter.polish) * (1.0 - cosine).powi(5) * gleam;
        let mirrored = normal * (2.0 * normal.dot(to_eye)) - to_eye;
        let open_ground = self.light.beam() * self.light.toward.z.max(0.0) + self.light.sky();
        let above = self
            .dome
            .at(DVec3::new(mirrored.x, mirrored.y, mirrored.z.max(0.03)).normalize_or(DVec3::Z));
        let below = GROUND_ALBEDO * open_ground * 0.8;
        let blur = 0.04 + 0.5 * matter.rough;
        let up = ((mirrored.z / blur + 1.0) / 2.0).clamp(0.0, 1.0);
        let around = below.lerp(above, up) * free.clamp(0.0, 1.0);
        let half = (to_eye + self.light.toward).normalize_or(DVec3::Z);
        let power = 2.0 / (matter.rough * matter.rough).max(1e-3).powi(2);
        let spot = normal.dot(half).max(0.0).powf(power) * (power + 2.0) / 8.0;
        let facing = normal.dot(self.light.toward).max(0.0);
        let glint = self.light.beam() * (lit * facing * spot.min(40.0));
        (around + glint) * fresnel
    }
}
