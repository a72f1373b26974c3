//! Magnetic declination against the official test values and another implementation. May not enter:
//! suns.

use crate::table::{Named, rows};
use approx::assert_abs_diff_eq;
use chrono::NaiveDate;
use sunside::sky::magnetic::declination;
use sunside::units::wrap_180;

/// The day into which a decimal year falls.
fn date_of(decimal_year: f64) -> NaiveDate {
    let year = decimal_year.floor();
    let first = NaiveDate::from_ymd_opt(year as i32, 1, 1).unwrap();
    let days = if first.leap_year() { 366.0 } else { 365.0 };
    NaiveDate::from_yo_opt(year as i32, 1 + ((decimal_year - year) * days) as u32).unwrap()
}

fn check(row: &Named, height_km: &str, column: &str, tolerance_deg: f64) {
    let found = declination(
        row.number("latitude_deg"),
        wrap_180(row.number("longitude_deg")),
        row.number(height_km) * 1000.0,
        date_of(row.number("decimal_year")),
    )
    .unwrap();
    let off_deg = wrap_180(found.deg - row.number(column));
    assert_abs_diff_eq!(off_deg, 0.0, epsilon = tolerance_deg);
    assert_eq!(found.model, "WMM2025");
    assert!(
        found.sigma_deg > 0.2,
        "the model's own sigma is 0.26 deg at the least"
    );
    assert!((found.year - row.number("decimal_year")).abs() < 1.0 / 365.0);
}

#[test]
fn declination_is_the_official_one() {
    for row in rows::<Named>("wmm2025_official_test_values") {
        check(&row, "height_km", "declination_deg", 0.006);
    }
}

#[test]
fn declination_agrees_with_another_implementation() {
    for row in rows::<Named>("magnetic_declination") {
        check(
            &row,
            "height_above_ellipsoid_km",
            "declination_deg_east_positive",
            0.01,
        );
    }
}
