//! Daylight and its colour against published formulas and clear-sky models. May not enter: places.

use crate::table::{Named, rows};
use approx::{assert_abs_diff_eq, assert_relative_eq};
use glam::DVec3;
use sunside::sky::color::{beam_color, sky_color};
use sunside::sky::daylight::{SEA_LEVEL_HPA, SkyCondition, air_mass, air_mass_above, daylight};
use sunside::sky::sun::Observer;

fn pressure_hpa(altitude_m: f64) -> f64 {
    Observer::at(0.0, 0.0, altitude_m).pressure_hpa
}

#[test]
fn air_mass_is_kasten_and_youngs() {
    for row in rows::<Named>("airmass") {
        let h = row.number("apparent_elevation_deg");
        let formula = row.number("kasten_young_1989_formula");
        assert_relative_eq!(air_mass(h), formula, max_relative = 1e-9);
        // On the mountain, with the table's own pressure.
        let high = row.number("absolute_airmass_1500m_84556Pa");
        assert_relative_eq!(air_mass_above(h, 845.56), high, max_relative = 1e-5);
    }
}

#[test]
fn the_standard_atmosphere_is_the_tables() {
    for row in rows::<Named>("clear_sky") {
        let theirs_hpa = row.number("pressure_pa") / 100.0;
        assert_abs_diff_eq!(
            pressure_hpa(row.number("altitude_m")),
            theirs_hpa,
            epsilon = 0.05
        );
    }
}

/// IES 1984, at sea level.
#[test]
fn daylight_is_the_ies_practice() {
    for row in rows::<Named>("ies_daylight_availability") {
        let h = row.number("sun_elevation_deg");
        let sky_lx = row.number("sky_horizontal_klx") * 1000.0;
        let conditions: &[SkyCondition] = match row.text("sky_condition") {
            "clear" => &[SkyCondition::Clear],
            "partly_cloudy" => &[SkyCondition::ThinCirrus, SkyCondition::Broken],
            "cloudy" => &[SkyCondition::Overcast],
            other => panic!("sky {other}"),
        };
        for &sky in conditions {
            let ours = daylight(h, SEA_LEVEL_HPA, sky);
            assert_relative_eq!(ours.sky_horizontal_lx, sky_lx, max_relative = 1e-9);
            if sky == SkyCondition::Clear {
                let direct = row.number("direct_normal_klx_with_kasten_young_air_mass") * 1000.0;
                assert_relative_eq!(ours.beam_normal_lx, direct, max_relative = 1e-9);
            }
        }
    }
}

#[test]
fn the_beam_is_the_clear_one_times_its_strength() {
    for h in [3.0, 20.0, 55.0] {
        let clear = daylight(h, 950.0, SkyCondition::Clear).beam_normal_lx;
        for (sky, strength) in [
            (SkyCondition::ThinCirrus, 0.6),
            (SkyCondition::Broken, 1.0),
            (SkyCondition::Overcast, 0.0),
        ] {
            let beam = daylight(h, 950.0, sky).beam_normal_lx;
            assert_abs_diff_eq!(beam, clear * strength, epsilon = 1e-9);
        }
    }
}

/// What a plane of four irradiance models allows: least and greatest, turned to lux by the luminous
/// efficacy that spectral_daylight.csv gives for the same altitude and elevation, 5 % wider.
fn band_lx(altitude_m: f64, h: f64, irradiance: &str, efficacy: &str) -> (f64, f64) {
    let same =
        |r: &Named| r.number("altitude_m") == altitude_m && r.number("apparent_elevation_deg") == h;
    let spectral = rows::<Named>("spectral_daylight");
    let lm_per_w = spectral.iter().find(|r| same(r)).unwrap().number(efficacy);
    let models: Vec<f64> = rows::<Named>("clear_sky")
        .iter()
        .filter(|r| same(r) && r.text("model") != "haurwitz") // it knows the sum only
        .map(|r| r.number(irradiance) * lm_per_w)
        .collect();
    assert_eq!(models.len(), 4);
    (
        models.iter().copied().fold(f64::INFINITY, f64::min) * 0.95,
        models.iter().copied().fold(0.0, f64::max) * 1.05,
    )
}

/// The beam from 5° up, the sky from 10° up. Lower down the 1984 practice itself has a sky brighter than all
/// four models (by 1.6 at 2°): held as it is, since a sun below 8° loses the frame anyway.
#[test]
fn clear_sky_light_lies_within_the_band_of_the_models() {
    let elevations = [5, 7, 10, 12, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90];
    for altitude_m in [0.0, 1500.0] {
        for h in elevations.map(f64::from) {
            let ours = daylight(h, pressure_hpa(altitude_m), SkyCondition::Clear);
            let beam = ours.beam_normal_lx;
            let (low, high) = band_lx(
                altitude_m,
                h,
                "direct_normal_w_m2",
                "direct_luminous_efficacy_lm_w",
            );
            assert!(
                low <= beam && beam <= high,
                "{altitude_m} m, {h}°: beam {beam} lx"
            );
            let sky = ours.sky_horizontal_lx;
            let (low, high) = band_lx(
                altitude_m,
                h,
                "diffuse_horizontal_w_m2",
                "diffuse_luminous_efficacy_lm_w",
            );
            let high = if h < 10.0 { 1.2 * high } else { high };
            assert!(
                low <= sky && sky <= high,
                "{altitude_m} m, {h}°: sky {sky} lx"
            );
        }
    }
}

/// Light at low sun over light at 60°, against the illuminance rows (a spectral model, and IES itself).
#[test]
fn the_beam_falls_off_with_the_sun_as_the_models_say() {
    let table = rows::<Named>("beam_falloff");
    let mut checked = 0;
    for row in table.iter().filter(|r| r.text("unit") != "W/m2") {
        let hpa = pressure_hpa(row.number("altitude_m"));
        let beam = |h| daylight(h, hpa, SkyCondition::Clear).beam_normal_lx;
        let h = row.number("apparent_elevation_deg");
        let ratio = beam(h) / beam(60.0);
        if h >= 20.0 {
            assert_abs_diff_eq!(ratio, row.number("ratio_to_60deg"), epsilon = 0.1);
            checked += 1;
        } else if h >= 10.0 {
            let stops = row.number("stops_relative_to_60deg");
            assert_abs_diff_eq!(ratio.log2(), stops, epsilon = 0.3);
            checked += 1;
        }
    }
    assert_eq!(checked, 18);
}

fn chromaticity(rgb: DVec3) -> (f64, f64) {
    // sRGB to XYZ, IEC 61966-2-1.
    let x = rgb.dot(DVec3::new(0.4124, 0.3576, 0.1805));
    let y = rgb.dot(DVec3::new(0.2126, 0.7152, 0.0722));
    let z = rgb.dot(DVec3::new(0.0193, 0.1192, 0.9505));
    (x / (x + y + z), y / (x + y + z))
}

/// SPECTRL2 with the CIE 1931 functions. Stated tolerance in x and y: 0.003 for the sun and 0.011 for the sky
/// from 5° up, 0.018 for both below.
#[test]
fn colours_agree_with_the_spectral_model() {
    for row in rows::<Named>("spectral_daylight") {
        let h = row.number("apparent_elevation_deg");
        let hpa = pressure_hpa(row.number("altitude_m"));
        let (sun_tolerance, sky_tolerance) = if h < 5.0 {
            (0.018, 0.018)
        } else {
            (0.003, 0.011)
        };
        let sun = chromaticity(beam_color(h, hpa));
        assert_abs_diff_eq!(sun.0, row.number("direct_x"), epsilon = sun_tolerance);
        assert_abs_diff_eq!(sun.1, row.number("direct_y"), epsilon = sun_tolerance);
        let sky = chromaticity(sky_color(h, hpa, SkyCondition::Clear));
        assert_abs_diff_eq!(sky.0, row.number("diffuse_x"), epsilon = sky_tolerance);
        assert_abs_diff_eq!(sky.1, row.number("diffuse_y"), epsilon = sky_tolerance);
    }
}

#[test]
fn colours_carry_no_brightness_of_their_own() {
    let luminance = DVec3::new(0.2126, 0.7152, 0.0722);
    for h in [-2.0, 0.0, 1.0, 15.0, 90.0] {
        assert_abs_diff_eq!(beam_color(h, 980.0).dot(luminance), 1.0, epsilon = 1e-12);
        for sky in SkyCondition::ALL {
            let color = sky_color(h, 980.0, sky);
            assert_abs_diff_eq!(color.dot(luminance), 1.0, epsilon = 1e-12);
            assert!(color.min_element() >= 0.0);
        }
    }
    // Low sun is warm, the clear sky blue, an overcast one white.
    assert!(beam_color(10.0, 1013.25).x > 1.5 * beam_color(10.0, 1013.25).z);
    let clear = sky_color(40.0, 1013.25, SkyCondition::Clear);
    assert!(clear.z > 1.5 * clear.x);
    let overcast = sky_color(40.0, 1013.25, SkyCondition::Overcast);
    assert_eq!(overcast, DVec3::ONE);
}
