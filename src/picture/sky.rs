//! The sky's own picture: its gradient, its glow about the sun, hills, haze. May not enter: what stands
//! before it.

use super::light::Light;
use super::noise::smooth;
use crate::sky::daylight::SkyCondition;
use crate::units::deg;
use glam::{DVec2, DVec3};

/// Distance over which haze takes all but 1/e of a thing's own light, metres: a clear day.
const HAZE_M: f64 = 9000.0;

/// The sky over one picture.
pub struct Dome<'a> {
    light: &'a Light,
    /// Haze at the horizon, per channel; luminance as the sky's is.
    pale: DVec3,
    deep: DVec3,
}

impl<'a> Dome<'a> {
    pub fn new(light: &'a Light) -> Dome<'a> {
        let clear = match light.condition {
            SkyCondition::Clear => 1.0,
            SkyCondition::Broken => 0.7,
            SkyCondition::ThinCirrus => 0.45,
            SkyCondition::Overcast => 0.0,
        };
        let sky = light.sky();
        // The sky's mean colour is that of its light; toward the horizon it pales, overhead it deepens.
        let white = DVec3::new(0.98, 1.0, 1.03) * light.sky_lx;
        Dome {
            light,
            pale: sky.lerp(white, 0.6),
            deep: light.sky_color.powf(1.0 + 1.7 * clear) * light.sky_lx,
        }
    }

    /// Light from a direction of the sky, times π: what a white card fully lit by such a sky would send.
    pub fn at(&self, direction: DVec3) -> DVec3 {
        let rise = direction.z.max(0.0);
        let overcast = self.light.condition == SkyCondition::Overcast;
        if overcast {
            // CIE overcast sky: the zenith three times as bright as the horizon (CIE 110-1994, from memory).
            let noise = 0.06 * self.cloud(direction);
            return self.pale * ((1.0 + 2.0 * rise) * 9.0 / 21.0 * 3.0 * (1.0 + noise)).max(0.0);
        }
        let height = rise.powf(0.45);
        let base = (self.pale * 3.0).lerp(self.deep * 0.95, (height * 1.2).min(1.0));
        let to_sun = direction.dot(self.light.toward).clamp(-1.0, 1.0);
        let glow = 0.35 * (6.0 * (to_sun - 1.0)).exp() + 1.5 * (60.0 * (to_sun - 1.0)).exp();
        // Sky square to the sun is the deepest.
        let square = 1.0 - 0.22 * (1.0 - to_sun * to_sun);
        let veil = match self.light.condition {
            SkyCondition::ThinCirrus => 0.35 + 0.35 * self.cloud(direction).max(-0.6),
            SkyCondition::Broken => (1.6 * self.cloud(direction) - 0.1).clamp(0.0, 0.9),
            _ => 0.0,
        };
        (base * square + self.pale * glow).lerp(self.pale * 3.0, veil.clamp(0.0, 1.0))
    }

    /// Streaks on a level sheet far up, −1 to 1.
    fn cloud(&self, direction: DVec3) -> f64 {
        let flat = DVec2::new(direction.x, direction.y) / (direction.z.max(0.0) + 0.12);
        smooth(flat * DVec2::new(1.1, 2.6), 91) * 0.6
            + smooth(flat * DVec2::new(2.7, 6.0), 92) * 0.4
    }

    /// What is seen where nothing of the stage is: sky, or the far hills under the skyline.
    pub fn backdrop(&self, direction: DVec3) -> DVec3 {
        let aside = deg((-direction.y).atan2(direction.x));
        let bearing_deg = self.light.forward_bearing_deg + aside;
        let rise_deg = deg(direction.z.clamp(-1.0, 1.0).asin());
        let crest_deg = self.light.horizon.elevation_deg(bearing_deg).max(0.0);
        // Crowns along the crest: a few hundredths of a degree.
        let rough = smooth(DVec2::new(bearing_deg * 9.0, 0.5), 51) * 0.5
            + smooth(DVec2::new(bearing_deg * 37.0, 0.5), 52) * 0.3;
        let top_deg = crest_deg + if crest_deg > 0.05 { 0.05 * rough } else { 0.0 };
        let sky = self.at(DVec3::new(direction.x, direction.y, direction.z.max(0.0)));
        if rise_deg >= top_deg {
            return sky;
        }
        let wood = DVec3::new(0.06, 0.08, 0.045) * (1.0 + 0.25 * rough);
        let lit = self.light.beam() * self.light.toward.z.max(0.2) + self.light.sky();
        let far_m = if crest_deg > 1.5 { 3000.0 } else { 7000.0 };
        self.through_air(wood * lit, direction, far_m)
    }

    /// A thing's light after `distance_m` of air.
    pub fn through_air(&self, light: DVec3, direction: DVec3, distance_m: f64) -> DVec3 {
        // Blue is scattered in first.
        let pass = DVec3::new(0.85, 1.0, 1.25).map(|c| (-distance_m * c / HAZE_M).exp());
        let level = DVec3::new(direction.x, direction.y, 0.02).normalize_or(DVec3::X);
        light * pass + self.at(level) * 0.62 * (DVec3::ONE - pass)
    }
}
