//! The colours of sunlight and skylight, from a short spectral model of a clear sky. May not enter:
//! how much light there is, and what a film makes of its colour.
//!
//! Direct and scattered light after Bird & Riordan, J. Climate Appl. Meteor. 25 (1986) 87–97, reduced to
//! what colours visible light: Rayleigh scattering, ozone, and aerosol of optical depth 0.1 at 500 nm.

use super::daylight::{SkyCondition, air_mass, air_mass_above};
use glam::{DMat3, DVec3};

/// Colour of direct sunlight, linear sRGB with luminance 1. Thin cloud does not change it.
pub fn beam_color(apparent_elevation_deg: f64, pressure_hpa: f64) -> DVec3 {
    let air = Air::above(apparent_elevation_deg, pressure_hpa);
    linear_srgb(xyz_of(|nm| sun(nm) * air.through(nm).product()))
}

/// Colour of the sky's light on a level plane, linear sRGB with luminance 1: blue when clear, white (that
/// of D65) when overcast, half of each where thin or broken cloud shares the sky (from memory).
pub fn sky_color(apparent_elevation_deg: f64, pressure_hpa: f64, sky: SkyCondition) -> DVec3 {
    let air = Air::above(apparent_elevation_deg, pressure_hpa);
    let blue = linear_srgb(xyz_of(|nm| sun(nm) * air.through(nm).scattered_down()));
    match sky {
        SkyCondition::Clear => blue,
        SkyCondition::ThinCirrus | SkyCondition::Broken => (blue + DVec3::ONE) / 2.0,
        SkyCondition::Overcast => DVec3::ONE,
    }
}

/// The air that light crosses on its way down.
struct Air {
    /// For gases that thin out with pressure.
    pressed_mass: f64,
    /// For the rest.
    mass: f64,
}

/// What of the light of one wavelength passes each hindrance.
struct Through {
    rayleigh: f64,
    ozone: f64,
    aerosol: f64,
}

impl Air {
    fn above(apparent_elevation_deg: f64, pressure_hpa: f64) -> Air {
        Air {
            pressed_mass: air_mass_above(apparent_elevation_deg, pressure_hpa),
            mass: air_mass(apparent_elevation_deg),
        }
    }

    fn through(&self, nm: f64) -> Through {
        let um = nm / 1000.0;
        // Rayleigh: Bird & Riordan eq. 2-4. Ozone: 0.31 atm-cm of a Chappuis band drawn as one bell, fitted
        // by eye to their table 1 (from memory). Aerosol: Ångström exponent 1.14 (their rural mean).
        let rayleigh = 1.0 / (um.powi(4) * (115.6406 - 1.335 / (um * um)));
        let ozone = 0.31 * 0.124 * bell(nm, 595.0, 55.0, 55.0);
        let aerosol = 0.1 * (um / 0.5).powf(-1.14);
        Through {
            rayleigh: (-rayleigh * self.pressed_mass).exp(),
            ozone: (-ozone * self.mass).exp(),
            aerosol: (-aerosol * self.mass).exp(),
        }
    }
}

impl Through {
    fn product(&self) -> f64 {
        self.rayleigh * self.ozone * self.aerosol
    }

    /// Share scattered down to the ground: half of what the gases scatter, most of what the haze does (Bird
    /// & Riordan eq. 3-5 and 3-6; albedo of haze 0.945 and 0.82 of it forward, from memory).
    fn scattered_down(&self) -> f64 {
        let (spared, dimmed) = (self.aerosol.powf(0.945), self.aerosol.powf(1.0 - 0.945));
        let gases = 0.5 * (1.0 - self.rayleigh.powf(0.95));
        let haze = 0.82 * self.rayleigh.powf(1.5) * (1.0 - spared);
        self.ozone * dimmed * (gases + haze)
    }
}

/// The sun outside the air, to a common factor: Planck's law at the temperature whose chromaticity, with the
/// air above, comes nearest to the reference spectra.
fn sun(nm: f64) -> f64 {
    const SECOND_RADIATION_NM_K: f64 = 1.438_777e7; // CODATA 2018
    const TEMPERATURE_K: f64 = 5900.0;
    (nm / 555.0).powi(-5) / ((SECOND_RADIATION_NM_K / (nm * TEMPERATURE_K)).exp() - 1.0)
}

/// CIE 1931 tristimulus values of a spectrum, by the fits of Wyman, Sloan & Shirley, JCGT 2:2 (2013) 1–11.
fn xyz_of(spectrum: impl Fn(f64) -> f64) -> DVec3 {
    (0..=40)
        .map(|i| {
            let nm = 380.0 + 10.0 * f64::from(i);
            let x = 1.056 * bell(nm, 599.8, 37.9, 31.0) + 0.362 * bell(nm, 442.0, 16.0, 26.7)
                - 0.065 * bell(nm, 501.1, 20.4, 26.2);
            let y = 0.821 * bell(nm, 568.8, 46.9, 40.5) + 0.286 * bell(nm, 530.9, 16.3, 31.1);
            let z = 1.217 * bell(nm, 437.0, 11.8, 36.0) + 0.681 * bell(nm, 459.0, 26.0, 13.8);
            DVec3::new(x, y, z) * spectrum(nm)
        })
        .sum()
}

/// A bell of height 1 whose two sides have their own widths.
fn bell(at: f64, centre: f64, left: f64, right: f64) -> f64 {
    let t = (at - centre) / if at < centre { left } else { right };
    (-0.5 * t * t).exp()
}

/// Linear sRGB (IEC 61966-2-1) of a colour, at luminance 1; what lies outside its gamut is cut to its edge.
fn linear_srgb(xyz: DVec3) -> DVec3 {
    let rgb = DMat3::from_cols_array(&[
        3.2406, -0.9689, 0.0557, -1.5372, 1.8758, -0.2040, -0.4986, 0.0415, 1.0570,
    ]) * (xyz / xyz.y);
    let inside = rgb.max(DVec3::ZERO);
    inside / inside.dot(DVec3::new(0.2126, 0.7152, 0.0722))
}
