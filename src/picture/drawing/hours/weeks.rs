//! What every drawing of a year shares: where dates, weeks and months lie across, how high a week's bars are, and which
//! fault binds from which week to which. May not enter: lanes, markup, widgets.

use super::Rect;
use crate::grade::Verdict;
use crate::grade::rulebook::Fault;
use crate::plan::hours::{Half, WeekOfYear};
use chrono::{Datelike, Days, NaiveDate};

/// A year laid across a page.
#[derive(Clone, Copy, Debug)]
pub struct Across<'a> {
    /// Its weeks.
    pub year: &'a [WeekOfYear],
    /// Its left edge.
    pub left: f64,
    /// Its right edge.
    pub right: f64,
}

impl Across<'_> {
    /// Where a date begins.
    pub fn x(&self, date: NaiveDate) -> f64 {
        let (Some(first), Some(last)) = (self.year.first(), self.year.last()) else {
            return self.left;
        };
        let all = (last.first - first.first).num_days() as f64 + f64::from(last.days);
        let behind = (date - first.first).num_days() as f64;
        self.left + (self.right - self.left) * (behind / all).clamp(0.0, 1.0)
    }

    /// The months: their first dates, and where each begins and ends.
    pub fn months(&self) -> Vec<(NaiveDate, [f64; 2])> {
        let Some(first) = self.year.first() else {
            return vec![];
        };
        let start = |month| NaiveDate::from_ymd_opt(first.first.year(), month, 1);
        let x = |month| start(month).map_or(self.right, |start| self.x(start));
        let months = (1..=12).filter_map(|month| Some((start(month)?, [x(month), x(month + 1)])));
        months.collect()
    }

    /// A week's field, so high from an upper edge on.
    pub fn field(&self, week: &WeekOfYear, y: f64, height: f64) -> Rect {
        let x = self.x(week.first);
        Rect {
            x,
            y,
            width: self.x(week.last() + Days::new(1)) - x,
            height,
        }
    }
}

/// The bars of a week's field from its foot upward: fine, good, fair hours of a day, of which `full_h` reach up to
/// `headroom` below its upper edge. Last the height that the sun's own hours reach.
pub fn bars(
    field: Rect,
    headroom: f64,
    full_h: f64,
    half: &Half,
    days: u32,
) -> (Vec<(Rect, Verdict)>, f64) {
    let foot = field.foot();
    let up =
        |hours: f64| (field.height - headroom) * (hours / f64::from(days.max(1)) / full_h).min(1.0);
    let mut below = 0.0;
    let mut bars = Vec::new();
    for verdict in [Verdict::Fine, Verdict::Good, Verdict::Fair] {
        let reach = up(half.at_least(verdict));
        if reach > below {
            let (y, height) = (foot - reach, reach - below);
            bars.push((Rect { y, height, ..field }, verdict));
            below = reach;
        }
    }
    (bars, foot - up(half.sun_h))
}

/// Weeks on end in which one thing binds.
#[derive(Clone, Debug, PartialEq)]
pub struct Binding<'a> {
    /// The fault, or that there is no sun.
    pub title: &'a str,
    /// Where they lie.
    pub rect: Rect,
    /// How much of the sun it takes in each week.
    pub taken: Vec<(Rect, Verdict)>,
}

/// What binds in some hours of a week: a fault's title, or that there is no sun.
pub fn bound<'a>(faults: &'a [Fault], half: &Half) -> Option<&'a str> {
    match half.binds.and_then(|fault| faults.get(fault)) {
        Some(fault) => Some(fault.title.as_str()),
        None => (half.sun_h == 0.0).then_some("no sun"),
    }
}

/// Joins weeks that follow one another, where the same is told of each: a week, its hours, what is told, where it lies.
pub fn bindings<'a>(weeks: &[(WeekOfYear, Half, Option<&'a str>, Rect)]) -> Vec<Binding<'a>> {
    type Told<'a> = (WeekOfYear, Half, Option<&'a str>, Rect);
    let goes_on =
        |a: &Told<'a>, b: &Told<'a>| a.0.last().succ_opt() == Some(b.0.first) && a.2 == b.2;
    let runs = weeks.chunk_by(goes_on);
    let joined = runs.filter_map(|run| {
        let (left, right) = (run[0].3, run[run.len() - 1].3);
        let taken = |(_, half, _, rect): &Told| half.binds.map(|_| (*rect, taken(half)));
        Some(Binding {
            title: run[0].2?,
            rect: Rect {
                width: right.right() - left.x,
                ..left
            },
            taken: run.iter().filter_map(taken).collect(),
        })
    });
    joined.collect()
}

/// How much of the sun the fault that binds takes: by its hatching.
fn taken(half: &Half) -> Verdict {
    match half.binds_h / half.sun_h.max(f64::MIN_POSITIVE) {
        share if share < 1.0 / 3.0 => Verdict::Good,
        share if share < 2.0 / 3.0 => Verdict::Fair,
        _ => Verdict::Poor,
    }
}
