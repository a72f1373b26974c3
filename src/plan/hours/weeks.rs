//! The weeks of a year, counted from 1 January, and the day that stands for each. May not enter: suns.

use crate::sky::clock::Zone;
use chrono::{Days, NaiveDate};

/// Days that are counted alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WeekOfYear {
    /// Its first date.
    pub first: NaiveDate,
    /// How many days it has: seven, but for the year's last one or two.
    pub days: u32,
    /// The date that is looked at: its middle one. Hours of the week are this day's, times its days.
    pub day: NaiveDate,
}

impl WeekOfYear {
    /// Its last date.
    pub fn last(&self) -> NaiveDate {
        self.first + Days::new(u64::from(self.days.max(1)) - 1)
    }
}

/// The weeks of a year: the first begins on 1 January, the 53rd holds what is left over.
pub fn weeks(zone: &Zone, year: i32) -> Vec<WeekOfYear> {
    let start = |year| NaiveDate::from_ymd_opt(year, 1, 1);
    let (Some(mut first), Some(end)) = (start(year), start(year.saturating_add(1))) else {
        return vec![];
    };
    let mut weeks = Vec::new();
    while first < end {
        let days = (end - first).num_days().clamp(0, 7) as u32;
        let middle = first + Days::new(u64::from(days / 2));
        // A zone's calendar may leave a date out; its neighbour then stands for the week.
        let has_sun = |date: &NaiveDate| {
            let (start, end) = zone.day(*date);
            start < end
        };
        let day = [middle, first].into_iter().find(has_sun).unwrap_or(middle);
        weeks.push(WeekOfYear { first, days, day });
        first = first + Days::new(u64::from(days.max(1)));
    }
    weeks
}

/// The order in which weeks are looked at: every eighth, then those between, and so on.
pub fn order(count: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).step_by(8).collect();
    for step in [8, 4, 2] {
        order.extend((step / 2..count).step_by(step));
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weeks_hold_every_day_of_the_year_once() {
        let zone = Zone::named("America/Chicago").unwrap();
        for (year, days, last) in [(2027, 365, 1), (2028, 366, 2)] {
            let weeks = weeks(&zone, year);
            assert_eq!(weeks.len(), 53);
            assert_eq!(weeks.iter().map(|week| week.days).sum::<u32>(), days);
            assert_eq!(weeks[52].days, last);
            for pair in weeks.windows(2) {
                assert_eq!(pair[0].first + Days::new(7), pair[1].first);
                assert_eq!(pair[0].first + Days::new(3), pair[0].day);
            }
        }
        // Samoa's calendar left 30 December 2011 out (tz database).
        let samoa = weeks(&Zone::named("Pacific/Apia").unwrap(), 2011);
        assert!(
            samoa
                .iter()
                .all(|week| week.day.to_string() != "2011-12-30")
        );
    }

    #[test]
    fn every_week_is_looked_at_once_and_the_year_soon() {
        for count in [0, 1, 7, 52, 53] {
            let mut order = order(count);
            let first = order.iter().take(7).copied().collect::<Vec<_>>();
            if count == 53 {
                assert_eq!(first, [0, 8, 16, 24, 32, 40, 48]);
            }
            order.sort_unstable();
            assert_eq!(order, (0..count).collect::<Vec<_>>());
        }
    }
}
