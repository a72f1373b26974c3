//! Where the weeks and lanes of the year lie, and how high their bars are: for the drawing and for a window that draws
//! the same. May not enter: markup, colours.

use super::{LEFT, Page, RIGHT};
use crate::grade::Verdict;
use crate::plan::hours::{Half, WeekOfYear};
use chrono::{Days, NaiveDate};

/// A rectangle of the page, in its own units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

/// Where weeks and lanes lie: a window that draws the page itself asks this, and finds the week under a pointer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layout {
    /// Left edge of the year.
    pub left: f64,
    /// Its right edge.
    pub right: f64,
    /// Upper edge of the first facing.
    pub top: f64,
    /// Height of a facing's heading.
    pub heading: f64,
    /// Height of a lane's hours, and of what binds under them.
    pub lane: [f64; 2],
    /// Hours of a day's half that fill a lane.
    pub full_h: f64,
}

/// Half a day of sun at middle latitudes, and where it may be longer.
const FULL_H: [f64; 2] = [8.0, 13.0];
/// The hours of a lane that are ruled, likewise.
const RULED_H: [f64; 2] = [4.0, 6.0];

impl Layout {
    /// Of a drawing of its own.
    pub fn of(page: &Page) -> Layout {
        let halves = page.weeks.iter().flat_map(|week| {
            let days = f64::from(week.of.days);
            week.halves
                .as_flattened()
                .iter()
                .map(move |half| half.sun_h / days)
        });
        let longest_h = halves.fold(0.0, f64::max);
        Layout {
            left: LEFT,
            right: RIGHT,
            top: 56.0,
            heading: 20.0,
            lane: [52.0, 16.0],
            full_h: FULL_H[usize::from(longest_h > FULL_H[0])],
        }
    }

    pub(super) fn facing_height(&self) -> f64 {
        self.heading + 2.0 * (self.lane[0] + self.lane[1])
    }

    /// Hours that are ruled across a lane.
    pub fn ruled_h(&self) -> [f64; 2] {
        [0.0, RULED_H[usize::from(self.full_h > FULL_H[0])]]
    }

    /// Lower edge of all lanes.
    pub fn foot(&self) -> f64 {
        self.top + 2.0 * self.facing_height()
    }

    /// Where a date lies across.
    pub fn x(&self, year: &[WeekOfYear], date: NaiveDate) -> f64 {
        let (Some(first), Some(last)) = (year.first(), year.last()) else {
            return self.left;
        };
        let all = (last.first - first.first).num_days() as f64 + f64::from(last.days);
        let behind = (date - first.first).num_days() as f64;
        self.left + (self.right - self.left) * (behind / all).clamp(0.0, 1.0)
    }

    /// A week's field in the lane of a facing's morning (0) or afternoon (1).
    pub fn field(
        &self,
        year: &[WeekOfYear],
        week: &WeekOfYear,
        facing: usize,
        half: usize,
    ) -> Rect {
        let end = week.first + Days::new(u64::from(week.days));
        let x = self.x(year, week.first);
        let [hours, binds] = self.lane;
        Rect {
            x,
            y: self.top
                + self.facing_height() * facing as f64
                + self.heading
                + (hours + binds) * half as f64,
            width: self.x(year, end) - x,
            height: hours,
        }
    }

    /// Week, facing and half of the day at a point; none off the lanes.
    pub fn at(&self, year: &[WeekOfYear], x: f64, y: f64) -> Option<(usize, usize, usize)> {
        let lanes = (0..2).flat_map(|facing| (0..2).map(move |half| (facing, half)));
        let mut fields = (year.iter().enumerate()).flat_map(|(n, week)| {
            lanes
                .clone()
                .map(move |(facing, half)| (n, week, facing, half))
        });
        let found = fields.find(|(_, week, facing, half)| {
            let field = self.field(year, week, *facing, *half);
            let height = field.height + self.lane[1];
            (field.x..field.x + field.width).contains(&x)
                && (field.y..field.y + height).contains(&y)
        })?;
        Some((found.0, found.2, found.3))
    }

    /// The bars of a week's field from its foot upward: fine, good, fair hours of a day. Last the height that the sun's
    /// own hours reach.
    pub fn bars(&self, field: Rect, half: &Half, days: u32) -> (Vec<(Rect, Verdict)>, f64) {
        let foot = field.y + field.height;
        let up =
            |hours: f64| field.height * (hours / f64::from(days.max(1)) / self.full_h).min(1.0);
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
}
