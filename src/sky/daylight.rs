//! How much light the sun and the sky give, in lux, on any plane. May not enter: who stands in it, and
//! what a film makes of it.
//!
//! Model: IES Recommended Practice for the Calculation of Daylight Availability, J. IES 13:4 (1984)
//! 381–392, with the air mass of Kasten & Young (1989) in place of 1/sin h. The clear and cloudy constants
//! were seen in public sources that quote the practice, the partly cloudy ones are from memory. The sun's
//! distance (±3.4 % over the year) is left out. Below some 8° the practice's clear sky is brighter than
//! irradiance models have it, by up to 1.6 at 2°.

use crate::units::rad;
use glam::DVec3;

/// Pressure to which the air mass refers, hPa (ISO 2533:1975).
pub const SEA_LEVEL_HPA: f64 = 1013.25;

/// Illuminance of the sun outside the air, lx (IES 1984).
const SOLAR_LX: f64 = 127_500.0;

/// Optical depth of a clear sky for one air mass (IES 1984).
const CLEAR_DEPTH: f64 = 0.21;

/// The sky between the sun and the site.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SkyCondition {
    /// No cloud before the sun.
    Clear,
    /// A veil of cirrus.
    ThinCirrus,
    /// Clouds with gaps: full sun at times.
    Broken,
    /// No sun.
    Overcast,
}

impl SkyCondition {
    /// Every condition, brightest sun first.
    pub const ALL: [SkyCondition; 4] = [
        SkyCondition::Clear,
        SkyCondition::ThinCirrus,
        SkyCondition::Broken,
        SkyCondition::Overcast,
    ];

    /// The word by which files and commands call it.
    pub fn word(self) -> &'static str {
        match self {
            SkyCondition::Clear => "clear",
            SkyCondition::ThinCirrus => "thin-cirrus",
            SkyCondition::Broken => "broken",
            SkyCondition::Overcast => "overcast",
        }
    }

    /// The condition that a word names.
    pub fn from_word(word: &str) -> Option<SkyCondition> {
        SkyCondition::ALL.into_iter().find(|c| c.word() == word)
    }

    /// Share of a clear sky's direct sunlight that comes through (the rulebook's definition; common
    /// practice).
    pub fn beam_strength(self) -> f64 {
        match self {
            SkyCondition::Clear | SkyCondition::Broken => 1.0,
            SkyCondition::ThinCirrus => 0.6,
            SkyCondition::Overcast => 0.0,
        }
    }

    /// What may go wrong under it, for the card.
    pub fn risk(self) -> Option<&'static str> {
        match self {
            SkyCondition::Broken => Some(
                "broken cloud: the light is full only while the sun stands in a gap; wait for one",
            ),
            _ => None,
        }
    }

    /// A and B of IES's sky illuminance A + B·sin(h)^C, klx, and C. The veil and the gaps take the partly
    /// cloudy sky: at 30° and 60° it holds about two thirds of what a veil takes from the beam, which is
    /// what thin ice cloud scatters forward.
    fn sky_klx(self) -> (f64, f64, f64) {
        match self {
            SkyCondition::Clear => (0.8, 15.5, 0.5),
            SkyCondition::ThinCirrus | SkyCondition::Broken => (0.3, 45.0, 1.0),
            SkyCondition::Overcast => (0.3, 21.0, 1.0),
        }
    }
}

/// Light from sun and sky.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Daylight {
    /// Direct sun on a plane that faces it, lx.
    pub beam_normal_lx: f64,
    /// The whole sky without the sun on a level plane, lx.
    pub sky_horizontal_lx: f64,
}

/// Relative optical air mass at an apparent elevation (Kasten & Young, Applied Optics 28 (1989) 4735):
/// 1 at the zenith, 37.92 at the horizon, which also stands for what lies below it.
pub fn air_mass(apparent_elevation_deg: f64) -> f64 {
    let h = apparent_elevation_deg.max(0.0);
    1.0 / (rad(h).sin() + 0.505_72 * (h + 6.079_95).powf(-1.6364))
}

/// [`air_mass`] of the air above a place: less of it on a mountain.
pub fn air_mass_above(apparent_elevation_deg: f64, pressure_hpa: f64) -> f64 {
    air_mass(apparent_elevation_deg) * pressure_hpa / SEA_LEVEL_HPA
}

/// Daylight with the sun at an apparent elevation. Below the horizon there is no beam, and the sky fades
/// tenfold with every 2.53° (from the horizon's 800 lx to the 3.4 lx at which civil twilight ends, from
/// memory). An elevation that is no number gives darkness.
pub fn daylight(apparent_elevation_deg: f64, pressure_hpa: f64, sky: SkyCondition) -> Daylight {
    let h = apparent_elevation_deg;
    if h.is_nan() {
        return Daylight {
            beam_normal_lx: 0.0,
            sky_horizontal_lx: 0.0,
        };
    }
    let (a, b, c) = sky.sky_klx();
    let beam = if h > 0.0 {
        SOLAR_LX * (-CLEAR_DEPTH * air_mass_above(h, pressure_hpa)).exp()
    } else {
        0.0
    };
    let twilight = 10_f64.powf(h.min(0.0) / 2.53);
    Daylight {
        beam_normal_lx: sky.beam_strength() * beam,
        sky_horizontal_lx: 1000.0 * (a + b * rad(h).sin().max(0.0).powf(c)) * twilight,
    }
}

/// Light on a plane, by its three ways, lx.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaneLight {
    /// Straight from the sun.
    pub direct: f64,
    /// From the sky.
    pub sky: f64,
    /// From the ground.
    pub bounce: f64,
}

impl PlaneLight {
    /// All of it.
    pub fn total(&self) -> f64 {
        self.direct + self.sky + self.bounce
    }
}

/// Light on a plane with a unit `normal`, of which the share `lit` lies in direct sun.
///
/// The sky is taken as equally bright everywhere, so that `openness` says all: the sky's view factor, the
/// plane's own tilt included ((1 + n.z)/2 in the open). The ground reflects `ground_albedo` of what falls
/// on it in the open and fills the rest of the view (Liu & Jordan 1963).
pub fn plane_illuminance_lx(
    light: &Daylight,
    sun_toward: DVec3,
    normal: DVec3,
    lit: f64,
    openness: f64,
    ground_albedo: f64,
) -> PlaneLight {
    let global_lx = light.beam_normal_lx * sun_toward.z.max(0.0) + light.sky_horizontal_lx;
    PlaneLight {
        direct: light.beam_normal_lx * sun_toward.dot(normal).max(0.0) * lit,
        sky: light.sky_horizontal_lx * openness,
        bounce: ground_albedo * global_lx * (1.0 - normal.z) / 2.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sky::sun::toward;
    use approx::assert_abs_diff_eq;

    #[test]
    fn words_lead_back() {
        for sky in SkyCondition::ALL {
            assert_eq!(SkyCondition::from_word(sky.word()), Some(sky));
        }
        assert_eq!(SkyCondition::from_word("foggy"), None);
        assert!(SkyCondition::Broken.risk().is_some() && SkyCondition::Clear.risk().is_none());
    }

    #[test]
    fn night_falls_without_a_jump() {
        for sky in SkyCondition::ALL {
            let at = |h| daylight(h, SEA_LEVEL_HPA, sky).sky_horizontal_lx;
            assert!((at(1e-9) - at(-1e-9)).abs() < 1.0);
            assert!(at(-6.0) < 4.0 && at(-6.0) > 1.0);
            assert_eq!(daylight(-0.1, SEA_LEVEL_HPA, sky).beam_normal_lx, 0.0);
            assert_eq!(
                daylight(f64::NAN, SEA_LEVEL_HPA, sky).sky_horizontal_lx,
                0.0
            );
        }
    }

    #[test]
    fn a_plane_adds_up_its_three_lights() {
        let light = Daylight {
            beam_normal_lx: 80_000.0,
            sky_horizontal_lx: 12_000.0,
        };
        let sun = toward(180.0, 30.0);
        // A wall square to the sun's azimuth: cos 30° of the beam, half the sky, half the ground.
        let wall = plane_illuminance_lx(&light, sun, DVec3::NEG_Y, 1.0, 0.5, 0.2);
        assert_abs_diff_eq!(wall.direct, 80_000.0 * 0.75_f64.sqrt(), epsilon = 1e-6);
        assert_abs_diff_eq!(wall.sky, 6_000.0, epsilon = 1e-9);
        assert_abs_diff_eq!(wall.bounce, 0.2 * 52_000.0 / 2.0, epsilon = 1e-6);
        // Turned away it has the same sky and ground; level it has the global light and no ground.
        let back = plane_illuminance_lx(&light, sun, DVec3::Y, 1.0, 0.5, 0.2);
        assert_eq!(
            (back.direct, back.sky, back.bounce),
            (0.0, wall.sky, wall.bounce)
        );
        let roof = plane_illuminance_lx(&light, sun, DVec3::Z, 1.0, 1.0, 0.2);
        assert_abs_diff_eq!(roof.total(), 52_000.0, epsilon = 1e-6);
        let shaded = plane_illuminance_lx(&light, sun, DVec3::NEG_Y, 0.25, 0.5, 0.2);
        assert_abs_diff_eq!(shaded.direct, wall.direct / 4.0, epsilon = 1e-6);
    }
}
