//! Sections \[place], \[horizon] and \[sky] of a scene file. May not enter: the site itself.

use crate::document::Table;
use crate::scene::place::Place;
use crate::sky::clock::Zone;
use crate::sky::daylight::SkyCondition;
use crate::sky::horizon::Horizon;
use crate::sky::sun::Observer;

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
    let temperature = table.number("temperature_c").range(-60.0..=60.0).optional();
    let usual = Observer::at(lat?, lon?, elevation?);
    Some(Place {
        observer: Observer {
            pressure_hpa: pressure.unwrap_or(usual.pressure_hpa),
            temperature_c: temperature.unwrap_or(usual.temperature_c),
            ..usual
        },
        zone: zone?,
        horizon: horizon?,
    })
}

pub fn sky(root: &Table<'_>) -> Option<SkyCondition> {
    let words = SkyCondition::ALL.map(|sky| (sky.word(), sky));
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
