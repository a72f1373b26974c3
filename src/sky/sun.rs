//! The sun's position over a place. May not enter: civil time, terrain, how bright it is.

use super::daylight::SEA_LEVEL_HPA;
use crate::units::{deg, rad, wrap_180, wrap_360};
use chrono::{DateTime, Datelike, Utc};
use glam::DVec3;
use rayon::prelude::*;
use solar_positioning::{Location, SolarPositions, delta_t, time::JulianDate};

/// Below this true elevation SPA leaves refraction out: the sun's radius 0.26667° and the 0.5667° of
/// refraction at the horizon (Reda & Andreas, NREL/TP-560-34302, 2008). The refraction falls there
/// from 0.61° to nothing at once; above it is smooth.
pub const REFRACTION_STOPS_DEG: f64 = -(0.26667 + 0.5667);

/// Who looks at the sky, and through which air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observer {
    /// Degrees, north positive.
    pub lat_deg: f64,
    /// Degrees, east positive.
    pub lon_deg: f64,
    /// Metres above sea level.
    pub elevation_m: f64,
    /// Station pressure, hPa.
    pub pressure_hpa: f64,
    /// Air temperature, °C.
    pub temperature_c: f64,
}

impl Observer {
    /// An observer in the standard atmosphere of ISO 2533:1975 (1013.25 hPa and 15 °C at sea level,
    /// 6.5 °C less per kilometre; the same as ICAO Doc 7488).
    pub fn at(lat_deg: f64, lon_deg: f64, elevation_m: f64) -> Observer {
        let cooler_c = 0.0065 * elevation_m;
        Observer {
            lat_deg,
            lon_deg,
            elevation_m,
            pressure_hpa: SEA_LEVEL_HPA * (1.0 - cooler_c / 288.15).max(0.0).powf(5.25588),
            temperature_c: 15.0 - cooler_c,
        }
    }
}

/// The sun at an instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sun {
    /// Clockwise from true north.
    pub azimuth_deg: f64,
    /// Apparent elevation (refracted).
    pub elevation_deg: f64,
    /// Elevation without refraction.
    pub true_elevation_deg: f64,
    /// Declination as seen from the place (its parallax, at most 0.0025°, taken off), so that
    /// [`horizontal_from_equatorial`] leads back to this very azimuth and true elevation.
    pub declination_deg: f64,
    /// Hour angle as seen from the place, west of the meridian positive, −180 ≤ H < 180.
    pub hour_angle_deg: f64,
}

impl Sun {
    /// Unit vector (east, north, up) toward the apparent sun.
    pub fn toward(&self) -> DVec3 {
        toward(self.azimuth_deg, self.elevation_deg)
    }
}

/// Unit vector (east, north, up) toward an azimuth and an elevation.
pub fn toward(azimuth_deg: f64, elevation_deg: f64) -> DVec3 {
    let (sin_a, cos_a) = rad(azimuth_deg).sin_cos();
    let (sin_e, cos_e) = rad(elevation_deg).sin_cos();
    DVec3::new(sin_a * cos_e, cos_a * cos_e, sin_e)
}

/// The sun by SPA (Reda & Andreas 2004), with UT1 taken as UTC and delta-T estimated.
///
/// Never panics: where SPA has no answer (a latitude beyond a pole, a number that is not one, a year
/// after 3000) every field is NaN.
pub fn sun_at(observer: &Observer, instant: DateTime<Utc>) -> Sun {
    sun_with_delta_t(observer, instant, delta_t_s(instant))
}

/// As [`sun_at`], with TT − UT1 in seconds given.
pub fn sun_with_delta_t(observer: &Observer, instant: DateTime<Utc>, delta_t_s: f64) -> Sun {
    let location = Location {
        latitude: observer.lat_deg,
        longitude: observer.lon_deg,
    };
    let found = JulianDate::new(julian_day(instant), delta_t_s).and_then(|time| {
        SolarPositions::new().at_from_julian(time, location, observer.elevation_m, None)
    });
    let (azimuth_deg, true_elevation_deg) = match found {
        Ok(position) => (position.azimuth(), position.elevation_angle()),
        Err(_) => (f64::NAN, f64::NAN),
    };
    let (declination_deg, hour_angle_deg) =
        equatorial_from_horizontal(observer.lat_deg, azimuth_deg, true_elevation_deg);
    let lift_deg = refraction_deg(
        true_elevation_deg,
        observer.pressure_hpa,
        observer.temperature_c,
    );
    Sun {
        azimuth_deg,
        elevation_deg: true_elevation_deg + lift_deg,
        true_elevation_deg,
        declination_deg,
        hour_angle_deg,
    }
}

/// [`sun_at`] for many instants, in their order, on all cores.
pub fn suns_at(observer: &Observer, instants: &[DateTime<Utc>]) -> Vec<Sun> {
    instants
        .par_iter()
        .with_min_len(64)
        .map(|&instant| sun_at(observer, instant))
        .collect()
}

/// Atmospheric refraction in degrees at a true elevation, by SPA's equation 42 (after Meeus, Astronomical
/// Algorithms, ch. 16); none below [`REFRACTION_STOPS_DEG`].
pub fn refraction_deg(true_elevation_deg: f64, pressure_hpa: f64, temperature_c: f64) -> f64 {
    if true_elevation_deg < REFRACTION_STOPS_DEG {
        return 0.0;
    }
    let e = true_elevation_deg;
    pressure_hpa / 1010.0 * (283.0 / (273.0 + temperature_c)) * 1.02
        / (60.0 * rad(e + 10.3 / (e + 5.11)).tan())
}

/// Azimuth (clockwise from north) and true elevation of a declination and an hour angle, degrees
/// (Meeus, Astronomical Algorithms, eq. 13.5 and 13.6, its azimuth turned to north).
pub fn horizontal_from_equatorial(
    lat_deg: f64,
    declination_deg: f64,
    hour_angle_deg: f64,
) -> (f64, f64) {
    let (azimuth_deg, elevation_deg) = turn(lat_deg, declination_deg, hour_angle_deg);
    (wrap_360(azimuth_deg), elevation_deg)
}

/// Declination and hour angle (−180 ≤ H < 180) of an azimuth and a true elevation, degrees: the inverse
/// of [`horizontal_from_equatorial`].
pub fn equatorial_from_horizontal(
    lat_deg: f64,
    azimuth_deg: f64,
    elevation_deg: f64,
) -> (f64, f64) {
    let (hour_angle_deg, declination_deg) = turn(lat_deg, elevation_deg, azimuth_deg);
    (declination_deg, wrap_180(hour_angle_deg))
}

/// The turn between the two frames, which is its own inverse: (longitude, latitude) in the other frame of
/// a point at `latitude_deg`, `longitude_deg` in this one. By atan2 throughout, so that it keeps its
/// precision at zenith and horizon alike.
fn turn(lat_deg: f64, latitude_deg: f64, longitude_deg: f64) -> (f64, f64) {
    let (sin_p, cos_p) = rad(lat_deg).sin_cos();
    let (sin_b, cos_b) = rad(latitude_deg).sin_cos();
    let (sin_l, cos_l) = rad(longitude_deg).sin_cos();
    let across = -cos_b * sin_l;
    let north = cos_p * sin_b - sin_p * cos_b * cos_l;
    let up = sin_p * sin_b + cos_p * cos_b * cos_l;
    (deg(across.atan2(north)), deg(up.atan2(across.hypot(north))))
}

/// Estimate of TT − UT1 in seconds (Espenak & Meeus, with the library's later fits); NaN after 3000.
pub(super) fn delta_t_s(instant: DateTime<Utc>) -> f64 {
    let year = f64::from(instant.year()) + f64::from(instant.ordinal0()) / 365.25;
    delta_t::estimate(year).unwrap_or(f64::NAN)
}

/// Julian day of an instant; 2440587.5 is the Unix epoch.
pub(super) fn julian_day(instant: DateTime<Utc>) -> f64 {
    let seconds = instant.timestamp() as f64 + f64::from(instant.timestamp_subsec_nanos()) * 1e-9;
    2_440_587.5 + seconds / 86_400.0
}

/// The instant of a Julian day, to its last bit (some 40 µs).
pub(super) fn instant_of(julian_day: f64) -> Option<DateTime<Utc>> {
    DateTime::from_timestamp_micros(((julian_day - 2_440_587.5) * 86_400e6).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// ICAO Doc 7488 (from memory): 898.76 hPa and 8.50 °C at 1000 m, 701.21 hPa and −4.50 °C at 3000 m
    /// (geopotential).
    #[test]
    fn the_usual_air_is_that_of_the_standard_atmosphere() {
        for (elevation_m, pressure_hpa, temperature_c) in [
            (0.0, 1013.25, 15.0),
            (1000.0, 898.76, 8.5),
            (3000.0, 701.21, -4.5),
        ] {
            let air = Observer::at(40.0, -98.0, elevation_m);
            assert_abs_diff_eq!(air.pressure_hpa, pressure_hpa, epsilon = 0.2);
            assert_abs_diff_eq!(air.temperature_c, temperature_c, epsilon = 0.01);
        }
    }

    #[test]
    fn numbers_that_are_none_give_none() {
        let noon = DateTime::from_timestamp(1_800_000_000, 0).unwrap();
        for observer in [
            Observer::at(f64::NAN, 0.0, 0.0),
            Observer::at(91.0, 0.0, 0.0),
            Observer::at(40.0, 0.0, f64::INFINITY),
        ] {
            let sun = sun_at(&observer, noon);
            assert!(sun.elevation_deg.is_nan() && sun.azimuth_deg.is_nan());
        }
        assert!(
            sun_at(&Observer::at(0.0, 0.0, 0.0), DateTime::<Utc>::MAX_UTC)
                .elevation_deg
                .is_nan()
        );
    }

    #[test]
    fn refraction_is_the_librarys_own_and_stops_where_it_stops() {
        let (p, t) = (820.0, 11.0);
        let place = Location {
            latitude: 41.0,
            longitude: 0.0,
        };
        let air = solar_positioning::RefractionCorrection::new(p, t).unwrap();
        let mut beyond = (0, 0);
        for minute in 0..1440 {
            let time = JulianDate::new(2_461_000.5 + f64::from(minute) / 1440.0, 69.0).unwrap();
            let at = |air| {
                SolarPositions::new()
                    .at_from_julian(time, place, 0.0, air)
                    .unwrap()
                    .elevation_angle()
            };
            let bare = at(None);
            assert_abs_diff_eq!(
                bare + refraction_deg(bare, p, t),
                at(Some(air)),
                epsilon = 1e-9
            );
            if bare < REFRACTION_STOPS_DEG {
                beyond.0 += 1;
            } else {
                beyond.1 += 1;
            }
        }
        assert!(beyond.0 > 100 && beyond.1 > 100);
    }

    proptest! {
        #[test]
        fn equatorial_and_horizontal_lead_back(
            lat in -89.9..89.9f64, dec in -23.5..23.5f64, hour in -180.0..180.0f64,
        ) {
            let (azimuth, elevation) = horizontal_from_equatorial(lat, dec, hour);
            let (dec2, hour2) = equatorial_from_horizontal(lat, azimuth, elevation);
            prop_assert!((dec2 - dec).abs() < 1e-9);
            prop_assert!(wrap_180(hour2 - hour).abs() < 1e-9);
        }
    }
}
