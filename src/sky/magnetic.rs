//! Magnetic declination, to turn a true bearing into what a compass shows. May not enter: bearings of
//! particular things.

use chrono::{Datelike, NaiveDate};
use thiserror::Error;
use world_magnetic_model::GeomagneticField;
use world_magnetic_model::time::Date;
use world_magnetic_model::uom::si::angle::degree;
use world_magnetic_model::uom::si::f32::{Angle, Length};
use world_magnetic_model::uom::si::length::meter;

/// How far a compass points off true north.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Declination {
    /// Degrees, east of north positive: true bearing − declination = compass bearing.
    pub deg: f64,
    /// Its uncertainty, one sigma, degrees (the model's own; local iron comes on top).
    pub sigma_deg: f64,
    /// The field model: "WMM2020" or "WMM2025".
    pub model: &'static str,
    /// The decimal year for which it was computed.
    pub year: f64,
}

/// A place or a date for which there is no field model.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("no magnetic declination for {date} at {lat_deg}, {lon_deg}: {why}")]
pub struct OutOfModel {
    /// The date asked for.
    pub date: NaiveDate,
    /// Latitude asked for.
    pub lat_deg: f64,
    /// Longitude asked for.
    pub lon_deg: f64,
    /// What the model says.
    pub why: String,
}

/// Declination at a longitude of −180 to 180° by the World Magnetic Model of the date (NOAA/NCEI and BGS,
/// WMM2020 and WMM2025; valid from 2020-01-01 to 2029-12-31). Height above sea level stands for that above
/// the ellipsoid: the tens of metres between them do not matter here.
pub fn declination(
    lat_deg: f64,
    lon_deg: f64,
    elevation_m: f64,
    date: NaiveDate,
) -> Result<Declination, OutOfModel> {
    let fail = |why: String| OutOfModel {
        date,
        lat_deg,
        lon_deg,
        why,
    };
    let day = Date::from_ordinal_date(date.year(), date.ordinal() as u16)
        .map_err(|error| fail(error.to_string()))?;
    let field = GeomagneticField::new(
        Length::new::<meter>(elevation_m as f32),
        Angle::new::<degree>(lat_deg as f32),
        Angle::new::<degree>(lon_deg as f32),
        day,
    )
    .map_err(|error| fail(error.to_string()))?;
    let days = if date.leap_year() { 366.0 } else { 365.0 };
    Ok(Declination {
        deg: field.declination().get::<degree>().into(),
        sigma_deg: field.declination_uncertainty().get::<degree>().into(),
        model: if date.year() < 2025 {
            "WMM2020"
        } else {
            "WMM2025"
        },
        year: f64::from(date.year()) + f64::from(date.ordinal0()) / days,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outside_the_models_is_an_error_and_no_panic() {
        let on = |y, m, d| NaiveDate::from_ymd_opt(y, m, d).unwrap();
        assert!(declination(41.0, -87.0, 200.0, on(2019, 12, 31)).is_err());
        assert!(declination(41.0, -87.0, 200.0, on(2030, 1, 1)).is_err());
        assert!(declination(41.0, -87.0, 200.0, NaiveDate::MAX).is_err());
        for bad in [f64::NAN, 91.0, f64::INFINITY] {
            assert!(declination(bad, -87.0, 200.0, on(2027, 5, 14)).is_err());
            assert!(declination(41.0, bad * 4.0, 200.0, on(2027, 5, 14)).is_err());
        }
        assert!(declination(41.0, -87.0, f64::NAN, on(2027, 5, 14)).is_err());
        let last = declination(41.0, -87.0, 200.0, on(2024, 12, 31)).unwrap();
        assert_eq!(last.model, "WMM2020");
        let first = declination(41.0, -87.0, 200.0, on(2025, 1, 1)).unwrap();
        assert_eq!((first.model, first.year), ("WMM2025", 2025.0));
        // One model hands over to the next within their uncertainty.
        assert!((last.deg - first.deg).abs() < last.sigma_deg);
    }
}
