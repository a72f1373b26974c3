//! Sections \[place], \[horizon] and \[sky] of a scene file. May not enter: the site itself.

use crate::document::Table;
use crate::scene::place::Place;
use crate::sky::clock::Zone;
use crate::sky::daylight::SkyCondition;
use crate::sky::horizon::Horizon;
use crate::sky::sun::Observer;

/// Air at sea level: ICAO standard atmosphere (Doc 7488), 15 °C and 1013.25 hPa.
const STANDARD_TEMPERATURE_C: f64 = 15.0;

pub fn place(root: &Table<'_>) -> Option<Place> {
    let horizon = horizon(root);
    let table = root.table("place").required()?;
    let lat = table.number("lat_deg").range(-90.0..=90.0).required();
    let lon = table.number("lon_deg").range(-180.0..=180.0).required();
    let elevation = table
        .number("elevation_m")
        .range(-450.0..=6000.0)
        .required();
    let zone = table
        .text("zone")
        .map(
            "a zone of the time-zone database, such as \"America/Chicago\"",
            |name| Zone::named(&name).map_err(|error| error.to_string()),
        )
        .required();
    let pressure = table
        .number("pressure_hpa")
        .range(300.0..=1100.0)
        .optional();
    let temperature = table
        .number("temperature_c")
        .range(-60.0..=60.0)
        .default(STANDARD_TEMPERATURE_C);
    let elevation_m = elevation?;
    Some(Place {
        observer: Observer {
            lat_deg: lat?,
            lon_deg: lon?,
            elevation_m,
            pressure_hpa: pressure.unwrap_or_else(|| standard_pressure_hpa(elevation_m)),
            temperature_c: temperature,
        },
        zone: zone?,
        horizon: horizon?,
    })
}

pub fn sky(root: &Table<'_>) -> Option<SkyCondition> {
    const WORDS: [&str; 4] = ["clear", "thin-cirrus", "broken", "overcast"];
    let words: Vec<(&str, SkyCondition)> = WORDS
        .into_iter()
        .filter_map(|word| SkyCondition::from_word(word).map(|sky| (word, sky)))
        .collect();
    let Some(table) = root.table("sky").optional() else {
        return Some(SkyCondition::Clear);
    };
    table.choice("condition", &words).required()
}

/// A flat skyline if the scene names none.
fn horizon(root: &Table<'_>) -> Option<Horizon> {
    let Some(table) = root.table("horizon").optional() else {
        return Some(Horizon::default());
    };
    let profile = table.tuples::<2>("profile_deg").items(1).required()?;
    let mut sound = true;
    for (i, [bearing, elevation]) in profile.iter().enumerate() {
        let after_last = i == 0 || *bearing > profile[i - 1][0];
        if !(0.0..360.0).contains(bearing) || !after_last {
            let allowed = "bearings from 0 to below 360, each greater than the one before";
            table.fault_item("profile_deg", i, "a bearing out of order or range", allowed);
            sound = false;
        }
        if !(-5.0..=60.0).contains(elevation) {
            table.fault_item(
                "profile_deg",
                i,
                "an elevation out of range",
                "-5 to 60 degrees",
            );
            sound = false;
        }
    }
    sound.then(|| Horizon {
        profile_deg: profile.into_iter().map(|[b, e]| (b, e)).collect(),
    })
}

/// Pressure at an elevation, ICAO standard atmosphere (Doc 7488), troposphere.
fn standard_pressure_hpa(elevation_m: f64) -> f64 {
    1013.25 * (1.0 - 0.0065 * elevation_m / 288.15).powf(5.25588)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standard_pressure_is_that_of_the_icao_table() {
        // ICAO Doc 7488: 898.76 hPa at 1000 m, 701.21 hPa at 3000 m geopotential (from memory).
        assert!((standard_pressure_hpa(0.0) - 1013.25).abs() < 1e-9);
        assert!((standard_pressure_hpa(1000.0) - 898.75).abs() < 0.1);
        assert!((standard_pressure_hpa(3000.0) - 701.1).abs() < 0.2);
    }
}
