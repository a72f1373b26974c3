//! Seasons: runs of dates on which there is enough of what is wanted. May not enter: what is wanted.

use super::Span;
use chrono::{Days, NaiveDate};

/// Minutes from which on a date is worth a visit; ours.
pub const LEAST_A_DAY_MIN: u32 = 30;
/// So many dates on end without them do not end a season; ours.
pub const BRIDGED_DAYS: u64 = 7;

/// Dates worth a visit.
#[derive(Clone, Debug, PartialEq)]
pub struct Season {
    /// From the first to the last.
    pub span: Span,
    /// Dates within it that are not.
    pub gaps: Vec<Span>,
    /// Minutes of its dates before solar noon, and after it.
    pub halves_min: [u32; 2],
}

impl Season {
    /// Whether it holds a date, one of a gap too.
    pub fn holds(&self, date: NaiveDate) -> bool {
        (self.span.first..=self.span.last).contains(&date)
    }
}

/// The seasons of instants that are as wanted: their dates, in order, and whether they lie after solar noon. Each stands
/// for `every_min` minutes.
pub fn seasons(wanted: impl Iterator<Item = (NaiveDate, bool)>, every_min: u32) -> Vec<Season> {
    let mut days: Vec<(NaiveDate, [u32; 2])> = Vec::new();
    for (date, is_after) in wanted {
        if days.last().is_none_or(|(last, _)| *last != date) {
            days.push((date, [0; 2]));
        }
        if let Some((_, halves_min)) = days.last_mut() {
            halves_min[usize::from(is_after)] += every_min;
        }
    }
    let mut seasons: Vec<Season> = Vec::new();
    for (date, halves_min) in days {
        if halves_min.iter().sum::<u32>() < LEAST_A_DAY_MIN {
            continue;
        }
        let day = Span {
            first: date,
            last: date,
        };
        let goes_on = |season: &&mut Season| date <= season.span.last + Days::new(BRIDGED_DAYS + 1);
        match seasons.last_mut().filter(goes_on) {
            Some(season) => {
                let gap = Span {
                    first: season.span.last + Days::new(1),
                    last: date - Days::new(1),
                };
                if gap.first <= gap.last {
                    season.gaps.push(gap);
                }
                season.span.last = date;
                for (all, of_day) in season.halves_min.iter_mut().zip(halves_min) {
                    *all += of_day;
                }
            }
            None => seasons.push(Season {
                span: day,
                gaps: vec![],
                halves_min,
            }),
        }
    }
    seasons
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn span(first: &str, last: &str) -> Span {
        Span {
            first: date(first),
            last: date(last),
        }
    }

    #[test]
    fn a_week_s_gap_is_bridged_and_told_and_a_longer_one_ends_the_season() {
        let runs = [
            ("2027-03-11", 5, 3),
            ("2027-03-16", 7, 2), // 20 minutes: not enough
            ("2027-03-23", 2, 3),
            ("2027-03-25", 8, 0),
            ("2027-04-02", 1, 4),
        ];
        let minutes = runs.into_iter().flat_map(|(first, days, instants)| {
            let days = (0..days).map(move |n| date(first) + Days::new(n));
            days.flat_map(move |day| (0..instants).map(move |n| (day, n == 3)))
        });
        let found = seasons(minutes, 10);
        let expected = [
            Season {
                span: span("2027-03-11", "2027-03-24"),
                gaps: vec![span("2027-03-16", "2027-03-22")],
                halves_min: [210, 0],
            },
            Season {
                span: span("2027-04-02", "2027-04-02"),
                gaps: vec![],
                halves_min: [30, 10],
            },
        ];
        assert_eq!(found, expected);
        assert!(found[0].holds(date("2027-03-20")) && !found[0].holds(date("2027-03-25")));
        assert_eq!(seasons(std::iter::empty(), 10), []);
    }
}
