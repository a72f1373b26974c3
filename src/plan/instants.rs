//! Instants: the calendar as suns. May not enter: the machine.

use crate::scene::place::Place;
use crate::sky::sun::{Sun, suns_at};
use chrono::{DateTime, Duration, NaiveDate, Utc};

/// An instant of daylight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instant {
    /// When.
    pub at: DateTime<Utc>,
    /// Its civil date at the place.
    pub date: NaiveDate,
    /// Its sun.
    pub sun: Sun,
}

/// Every `every_min` minutes of the civil days from `from` to `to`, as far as the sun stands above
/// `lowest_deg`. Days of 23 and 25 hours are what they are: steps run in absolute time.
pub fn instants(
    place: &Place,
    from: NaiveDate,
    to: NaiveDate,
    every_min: u32,
    lowest_deg: f64,
) -> Vec<Instant> {
    let mut at = Vec::new();
    let mut dates = Vec::new();
    for date in from.iter_days().take_while(|date| *date <= to) {
        let (start, end) = place.zone.day(date);
        let mut instant = start;
        while instant < end {
            at.push(instant);
            dates.push(date);
            instant += Duration::minutes(i64::from(every_min));
        }
    }
    let suns = suns_at(&place.observer, &at);
    at.into_iter()
        .zip(dates)
        .zip(suns)
        .filter(|(_, sun)| sun.elevation_deg >= lowest_deg)
        .map(|((at, date), sun)| Instant { at, date, sun })
        .collect()
}
