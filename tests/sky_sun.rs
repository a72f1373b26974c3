//! The sun's position and its day against published examples and independent ephemerides. May not enter:
//! machines.

use crate::table::{Named, rows};
use approx::assert_abs_diff_eq;
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use sunside::sky::clock::Zone;
use sunside::sky::events::{DayState, day_between, day_of_sun};
use sunside::sky::sun::{
    Observer, REFRACTION_STOPS_DEG, Sun, horizontal_from_equatorial, sun_at, sun_with_delta_t,
    suns_at,
};
use sunside::units::wrap_180;

fn utc(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// Reda & Andreas, NREL/TP-560-34302 (2008), example A5: 2003-10-17 12:30:30 at UTC-7.
#[test]
fn the_spa_worked_example_comes_out() {
    let table = rows::<Named>("worked_examples");
    let row = |quantity: &str| {
        table
            .iter()
            .find(|r| r.text("example") == "NREL_SPA" && r.text("quantity") == quantity)
            .unwrap_or_else(|| panic!("no row {quantity}"))
    };
    let published = |quantity: &str| row(quantity).number("published_value");
    let check = |quantity: &str, ours: f64| {
        assert_abs_diff_eq!(
            ours,
            published(quantity),
            epsilon = row(quantity).number("tolerance")
        );
    };
    let observer = Observer {
        lat_deg: published("input_latitude"),
        lon_deg: published("input_longitude"),
        elevation_m: published("input_elevation"),
        pressure_hpa: published("input_pressure"),
        temperature_c: published("input_temperature"),
    };
    let sun = sun_with_delta_t(
        &observer,
        utc("2003-10-17T19:30:30Z"),
        published("input_delta_t"),
    );
    check("true_elevation_e0", sun.true_elevation_deg);
    check("refraction", sun.elevation_deg - sun.true_elevation_deg);
    check("apparent_elevation_e", sun.elevation_deg);
    check("zenith", 90.0 - sun.elevation_deg);
    check("azimuth_from_north", sun.azimuth_deg);
    // Published from the earth's centre; ours from the place: up to the sun's parallax, 8.8".
    assert_abs_diff_eq!(
        sun.declination_deg,
        published("declination"),
        epsilon = 0.0025
    );
    assert_abs_diff_eq!(
        sun.hour_angle_deg,
        published("hour_angle"),
        epsilon = 0.0025
    );

    let zone = Zone::named("Etc/GMT+7").unwrap();
    let date = NaiveDate::from_ymd_opt(2003, 10, 17).unwrap();
    let sea_level = Observer {
        elevation_m: 0.0,
        ..observer
    };
    let day = day_of_sun(&sea_level, &zone, date);
    let hours = |at: Option<DateTime<Utc>>, date| {
        (at.unwrap() - zone.day(date).0).as_seconds_f64() / 3600.0
    };
    check("sunrise_local_06:12:43", hours(day.rise, date));
    check("sun_transit_local", hours(day.transit, date));
    // SPA's own procedure takes the set of the UT day, which is the evening before by this clock.
    let eve = date.pred_opt().unwrap();
    let set = day_of_sun(&sea_level, &zone, eve).set;
    check("sunset_local_17:20:19", hours(set, eve));
}

/// NREL report, table A2.1: rise and set in UT at longitude 0.
#[test]
fn the_spa_reports_other_days_come_out() {
    let zone = Zone::named("UTC").unwrap();
    let table = rows::<Named>("worked_examples");
    let mut checked = 0;
    for row in table
        .iter()
        .filter(|r| r.text("example").contains("table_A2.1"))
    {
        let parts: Vec<&str> = row.text("example").split('_').collect();
        let [.., date, lat, _lon] = parts.as_slice() else {
            panic!()
        };
        let observer = Observer::at(lat.trim_start_matches("lat").parse().unwrap(), 0.0, 0.0);
        let date: NaiveDate = date.parse().unwrap();
        let day = day_of_sun(&observer, &zone, date);
        let event = if row.text("quantity") == "sunrise_ut" {
            day.rise
        } else {
            day.set
        };
        let hours = (event.unwrap() - zone.day(date).0).as_seconds_f64() / 3600.0;
        assert_abs_diff_eq!(
            hours,
            row.number("published_value"),
            epsilon = row.number("tolerance")
        );
        checked += 1;
    }
    assert_eq!(checked, 6);
}

/// 400 places and instants by another implementation of SPA (pvlib), itself checked with JPL DE421.
#[test]
fn positions_agree_with_the_table() {
    for row in rows::<Named>("sun_position") {
        let observer = Observer {
            lat_deg: row.number("latitude_deg"),
            lon_deg: row.number("longitude_deg"),
            elevation_m: row.number("elevation_m"),
            pressure_hpa: row.number("pressure_mbar"),
            temperature_c: row.number("temperature_c"),
        };
        let instant = row.instant("utc").unwrap();
        let given = sun_with_delta_t(&observer, instant, row.number("delta_t_s"));
        let estimated = sun_at(&observer, instant);
        let azimuth = row.number("azimuth_deg");
        let elevation = row.number("true_elevation_deg");
        let sideways = |s: &Sun| wrap_180(s.azimuth_deg - azimuth) * elevation.to_radians().cos();
        // The same algorithm with the same delta-T and UT: 1e-4 deg (tests/reference/README.md).
        assert_abs_diff_eq!(given.true_elevation_deg, elevation, epsilon = 1e-4);
        assert_abs_diff_eq!(sideways(&given), 0.0, epsilon = 1e-4);
        // Our own estimate of delta-T, as used: the tolerance for any good algorithm.
        assert_abs_diff_eq!(estimated.true_elevation_deg, elevation, epsilon = 0.01);
        assert_abs_diff_eq!(sideways(&estimated), 0.0, epsilon = 0.01);
        assert_abs_diff_eq!(
            estimated.declination_deg,
            row.number("declination_deg"),
            epsilon = 0.005
        );
        if elevation > REFRACTION_STOPS_DEG + 0.001 {
            let apparent = row.number("apparent_elevation_deg");
            assert_abs_diff_eq!(given.elevation_deg, apparent, epsilon = 1e-4);
        }
        // Declination and hour angle lead back to the same place in the sky.
        let (a, e) = horizontal_from_equatorial(
            observer.lat_deg,
            given.declination_deg,
            given.hour_angle_deg,
        );
        assert_abs_diff_eq!(e, given.true_elevation_deg, epsilon = 1e-7);
        assert_abs_diff_eq!(
            wrap_180(a - azimuth) * e.to_radians().cos(),
            0.0,
            epsilon = 1e-4
        );
    }
}

#[test]
fn many_suns_are_the_same_as_one_at_a_time() {
    let observer = Observer::at(41.2, -87.5, 210.0);
    let start = utc("2027-05-14T00:00:00Z");
    let instants: Vec<_> = (0..500)
        .map(|i| start + TimeDelta::minutes(3 * i))
        .collect();
    let suns = suns_at(&observer, &instants);
    assert_eq!(suns.len(), instants.len());
    for (sun, &instant) in suns.iter().zip(&instants) {
        assert_eq!(*sun, sun_at(&observer, instant));
        assert_abs_diff_eq!(sun.toward().length(), 1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(
            sun.toward().z,
            sun.elevation_deg.to_radians().sin(),
            epsilon = 1e-12
        );
    }
}

/// 60 days by skyfield with JPL DE421, polar days and nights among them.
#[test]
fn rise_noon_and_set_agree_with_an_ephemeris() {
    let mut states = [0; 3];
    for row in rows::<Named>("sun_events") {
        let (lat, lon) = (row.number("latitude_deg"), row.number("longitude_deg"));
        let date: NaiveDate = row.text("local_solar_date").parse().unwrap();
        let midnight = NaiveDate::and_hms_opt(&date, 0, 0, 0).unwrap().and_utc()
            - TimeDelta::milliseconds((lon / 15.0 * 3_600_000.0) as i64);
        let observer = Observer::at(lat, lon, 0.0);
        let day = day_between(&observer, midnight, midnight + TimeDelta::days(1));
        let state = match day.state {
            DayState::Normal => "normal",
            DayState::PolarDay => "polar_day",
            DayState::PolarNight => "polar_night",
        };
        assert_eq!(state, row.text("state"), "{} {date}", row.text("place"));
        states[day.state as usize] += 1;
        let tolerance_s = if lat.abs() < 55.0 { 5.0 } else { 20.0 };
        for (ours, column, tolerance_s) in [
            (day.rise, "sunrise_utc", tolerance_s),
            (day.transit, "solar_noon_utc", 5.0),
            (day.set, "sunset_utc", tolerance_s),
        ] {
            let theirs = row.instant(column);
            assert_eq!(
                ours.is_some(),
                theirs.is_some(),
                "{column} {} {date}",
                row.text("place")
            );
            if let (Some(ours), Some(theirs)) = (ours, theirs) {
                let off_s = (ours - theirs).as_seconds_f64();
                assert!(
                    off_s.abs() <= tolerance_s,
                    "{column} {off_s} s {}",
                    row.text("place")
                );
            }
        }
        let noon = sun_at(&observer, day.transit.unwrap());
        assert_eq!(noon.elevation_deg, day.noon_elevation_deg);
        assert_abs_diff_eq!(
            noon.true_elevation_deg,
            row.number("noon_true_elevation_deg"),
            epsilon = 0.01
        );
    }
    assert_eq!(states, [52, 4, 4]);
}

#[test]
fn a_northern_summer_sun_sets_after_midnight_by_the_clock_and_still_belongs_to_the_day() {
    let zone = Zone::named("America/Anchorage").unwrap();
    let date = NaiveDate::from_ymd_opt(2027, 6, 21).unwrap();
    let day = day_of_sun(&Observer::at(64.84, -147.72, 140.0), &zone, date);
    let local = |t: Option<DateTime<Utc>>| zone.local(t.unwrap()).naive.date();
    assert_eq!(day.state, DayState::Normal);
    assert_eq!((local(day.rise), local(day.transit)), (date, date));
    assert_eq!(local(day.set), date.succ_opt().unwrap());
}

#[test]
fn a_day_that_a_zone_skipped_has_no_noon() {
    // Samoa went over the date line at the end of 2011-12-29 (IANA tz database, file australasia).
    let zone = Zone::named("Pacific/Apia").unwrap();
    let skipped = NaiveDate::from_ymd_opt(2011, 12, 30).unwrap();
    let (start, end) = zone.day(skipped);
    assert_eq!(start, end);
    let day = day_of_sun(&Observer::at(-13.8, -171.8, 0.0), &zone, skipped);
    assert!(day.transit.is_none() && day.noon_elevation_deg.is_nan());
}
