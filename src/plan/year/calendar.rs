//! What sun and clock do through a year, as far as it is unusual: days without sunset or sunrise, clocks that are set,
//! dates that a calendar leaves out. May not enter: machines.

use crate::scene::place::Place;
use crate::sky::events::{DayState, day_of_sun};
use chrono::{DateTime, NaiveDate, Utc};

/// Dates from the first to the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// The first.
    pub first: NaiveDate,
    /// The last, included.
    pub last: NaiveDate,
}

/// A year's.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Calendar {
    /// When the clock is set, and by how many minutes forward (+) or back (−).
    pub jumps: Vec<(DateTime<Utc>, i32)>,
    /// Dates that do not exist.
    pub left_out: Vec<NaiveDate>,
    /// Dates on which the sun does not set.
    pub polar_days: Vec<Span>,
    /// Dates on which it does not rise.
    pub polar_nights: Vec<Span>,
}

impl Calendar {
    /// Of a place.
    pub fn of(place: &Place, year: i32) -> Calendar {
        let mut calendar = Calendar::default();
        let (Some(first), Some(next)) = (
            NaiveDate::from_ymd_opt(year, 1, 1),
            NaiveDate::from_ymd_opt(year + 1, 1, 1),
        ) else {
            return calendar;
        };
        let zone = &place.zone;
        calendar.jumps = zone.jumps(zone.day(first).0, zone.day(next).0);
        for date in first.iter_days().take_while(|date| *date < next) {
            let (start, end) = zone.day(date);
            if start >= end {
                calendar.left_out.push(date);
                continue;
            }
            let day = day_of_sun(&place.observer, zone, date);
            // A clock far from the sun's has dates between two noons: they say nothing of the sun.
            if day.transit.is_none() {
                continue;
            }
            let spans = match day.state {
                DayState::Normal => continue,
                DayState::PolarDay => &mut calendar.polar_days,
                DayState::PolarNight => &mut calendar.polar_nights,
            };
            match spans.last_mut() {
                Some(span) if span.last.succ_opt() == Some(date) => span.last = date,
                _ => spans.push(Span {
                    first: date,
                    last: date,
                }),
            }
        }
        calendar
    }
}
