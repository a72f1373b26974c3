//! Rise, noon and set of the sun on a civil day, over a sea horizon. May not enter: terrain.

use super::clock::Zone;
use super::sun::{Observer, delta_t_s, instant_of, julian_day, sun_at};
use chrono::{DateTime, NaiveDate, Utc};
use solar_positioning::{Horizon, Location, SolarEvents};

/// What the sun does on a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayState {
    /// It rises or sets or both.
    Normal,
    /// It stays up.
    PolarDay,
    /// It stays down.
    PolarNight,
}

/// The arc of the sun whose noon falls on a civil day. Its set may lie after midnight, as on far northern
/// summer nights by daylight-saving clocks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayOfSun {
    /// Whether it rises and sets at all; says nothing on a day without a transit.
    pub state: DayState,
    /// The upper limb comes over a sea horizon (true elevation of the centre −0.8333°).
    pub rise: Option<DateTime<Utc>>,
    /// Upper passage of the meridian; none only on days that a zone skips, or outside the sun's tables.
    pub transit: Option<DateTime<Utc>>,
    /// The upper limb goes under it.
    pub set: Option<DateTime<Utc>>,
    /// Apparent elevation at the transit; NaN without one.
    pub noon_elevation_deg: f64,
}

/// Rise, transit and set around the noon of a civil day, by a search on SPA positions.
pub fn day_of_sun(observer: &Observer, zone: &Zone, date: NaiveDate) -> DayOfSun {
    let (start, end) = zone.day(date);
    day_between(observer, start, end)
}

/// As [`day_of_sun`], for the noon in start ≤ t < end.
pub fn day_between(observer: &Observer, start: DateTime<Utc>, end: DateTime<Utc>) -> DayOfSun {
    const HALF_A_DAY: f64 = 0.5;
    let place = Location {
        latitude: observer.lat_deg,
        longitude: observer.lon_deg,
    };
    let delta_t_s = delta_t_s(start);
    let search = SolarEvents::new();
    // The search leaves its start out and takes its end in; a millisecond turns that round.
    let millisecond = 1.0 / 86_400e3;
    let (from, to) = (
        julian_day(start) - millisecond,
        julian_day(end) - millisecond,
    );
    let noon = (from < to)
        .then(|| search.next_transit_from_julian(from, to, place.longitude, delta_t_s))
        .and_then(|found| found.ok().flatten());
    let events = |noon: f64| {
        let (from, to) = (noon - HALF_A_DAY, noon + HALF_A_DAY);
        search.for_interval_from_julian(from, to, place, delta_t_s, Horizon::SunriseSunset)
    };
    let Some((noon, Ok(day))) = noon.map(|noon| (noon, events(noon))) else {
        return DayOfSun {
            state: DayState::PolarNight,
            rise: None,
            transit: None,
            set: None,
            noon_elevation_deg: f64::NAN,
        };
    };
    let state = if day.always_above() {
        DayState::PolarDay
    } else if day.rises.is_empty() && day.sets.is_empty() {
        DayState::PolarNight
    } else {
        DayState::Normal
    };
    let transit = instant_of(noon);
    DayOfSun {
        state,
        // Around a pole's equinox a crossing may lie on the unusual side of noon: it still counts.
        rise: day.rises.first().copied().and_then(instant_of),
        transit,
        set: day.sets.last().copied().and_then(instant_of),
        noon_elevation_deg: transit.map_or(f64::NAN, |t| sun_at(observer, t).elevation_deg),
    }
}
