//! Where the weeks and lanes of the year lie, how high their bars are and what is written over them: for the sheet and
//! for a pane that shows the same. May not enter: markup, colours, widgets.

use super::weeks::{Across, Binding, bars, bindings, bound};
use super::{Page, Rect};
use crate::grade::Verdict;
use crate::plan::hours::{Half, Week, WeekOfYear};
use chrono::NaiveDate;

/// How much room a page has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Form {
    /// Left edge of the year.
    pub left: f64,
    /// Its right edge.
    pub right: f64,
    /// Upper edge of the first facing.
    pub top: f64,
    /// Height of a facing's heading.
    pub heading: f64,
    /// Height of a lane's hours, and of what binds under them. Without that strip the fault that binds is named in the
    /// lane itself, over weeks that win nothing; and bars are measured by the most that is won, not by the sun's hours.
    pub lane: [f64; 2],
    /// Left free above a lane's longest bar.
    pub headroom: f64,
}

/// Where weeks and lanes lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layout {
    /// The room.
    pub form: Form,
    /// Hours of a day's half that fill a lane.
    pub full_h: f64,
}

/// What a lane shows: a facing's mornings or its afternoons.
#[derive(Clone, Debug, PartialEq)]
pub struct Lane<'a> {
    /// Its hours, all of the year.
    pub field: Rect,
    /// Hours won, week by week, and how good they are.
    pub bars: Vec<(Rect, Verdict)>,
    /// How far up the sun's own hours reach: left end, height, width.
    pub sun: Vec<[f64; 3]>,
    /// What binds in the rest.
    pub binds: Vec<Binding<'a>>,
}

/// Half a day of sun at middle latitudes, and where it may be longer.
const FULL_H: [f64; 2] = [8.0, 13.0];
/// The hours of a lane that are ruled, likewise.
const RULED_H: [f64; 2] = [4.0, 6.0];
/// Where less than this is won of a day's half, bars stay low.
const LEAST_FULL_H: f64 = 1.0;

impl Layout {
    /// Of a page in some room.
    pub fn of(page: &Page, form: Form) -> Layout {
        let most_h = |hours: fn(&Half) -> f64| {
            let of_day = |week: &&Week| {
                let days = f64::from(week.of.days.max(1));
                let halves = week.halves.as_flattened().iter().map(hours);
                halves.fold(0.0, f64::max) / days
            };
            page.weeks.iter().map(of_day).fold(0.0, f64::max)
        };
        let has_strip = form.lane[1] > 0.0;
        let full_h = match has_strip {
            true => FULL_H[usize::from(most_h(|half| half.sun_h) > FULL_H[0])],
            false => most_h(|half| half.fair_h).max(LEAST_FULL_H),
        };
        Layout { form, full_h }
    }

    fn facing_height(&self) -> f64 {
        let [hours, binds] = self.form.lane;
        self.form.heading + 2.0 * (hours + binds)
    }

    /// Upper edge of a facing.
    pub fn facing_top(&self, facing: usize) -> f64 {
        self.form.top + self.facing_height() * facing as f64
    }

    /// Hours that are ruled across a lane.
    pub fn ruled_h(&self) -> [f64; 2] {
        [0.0, RULED_H[usize::from(self.full_h > FULL_H[0])]]
    }

    /// Lower edge of all lanes.
    pub fn foot(&self) -> f64 {
        self.facing_top(2)
    }

    /// The year across it.
    pub(super) fn across<'a>(&self, year: &'a [WeekOfYear]) -> Across<'a> {
        Across {
            year,
            left: self.form.left,
            right: self.form.right,
        }
    }

    /// Where a date lies across.
    pub fn x(&self, year: &[WeekOfYear], date: NaiveDate) -> f64 {
        self.across(year).x(date)
    }

    /// The months: their first dates, and where each begins and ends across.
    pub fn months(&self, year: &[WeekOfYear]) -> Vec<(NaiveDate, [f64; 2])> {
        self.across(year).months()
    }

    /// A week's field in the lane of a facing's morning (0) or afternoon (1).
    pub fn field(
        &self,
        year: &[WeekOfYear],
        week: &WeekOfYear,
        facing: usize,
        half: usize,
    ) -> Rect {
        let [hours, binds] = self.form.lane;
        let y = self.facing_top(facing) + self.form.heading + (hours + binds) * half as f64;
        self.across(year).field(week, y, hours)
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
            let height = field.height + self.form.lane[1];
            (field.x..field.x + field.width).contains(&x)
                && (field.y..field.y + height).contains(&y)
        })?;
        Some((found.0, found.2, found.3))
    }

    /// The bars of a week's field; last the height that the sun's own hours reach.
    pub fn bars(&self, field: Rect, half: &Half, days: u32) -> (Vec<(Rect, Verdict)>, f64) {
        bars(field, self.form.headroom, self.full_h, half, days)
    }

    /// All that a facing's mornings (0) or afternoons (1) show.
    pub fn lane<'a>(&self, page: &Page<'a>, facing: usize, half_of_day: usize) -> Option<Lane<'a>> {
        let (first, last) = (page.year.first()?, page.year.last()?);
        let [begins, ends] =
            [first, last].map(|week| self.field(page.year, week, facing, half_of_day));
        let mut lane = Lane {
            field: Rect {
                width: ends.x + ends.width - begins.x,
                ..begins
            },
            bars: vec![],
            sun: vec![],
            binds: vec![],
        };
        for week in &page.weeks {
            let won = &week.halves[facing][half_of_day];
            let field = self.field(page.year, &week.of, facing, half_of_day);
            let (bars, sun_y) = self.bars(field, won, week.of.days);
            lane.bars.extend(bars);
            if won.sun_h > 0.0 {
                lane.sun.push([field.x, sun_y, field.width]);
            }
        }
        let strip = |field: Rect| match self.form.lane[1] {
            0.0 => field,
            height => Rect {
                y: field.foot(),
                height,
                ..field
            },
        };
        let told = |week: &&Week| {
            let half = week.halves[facing][half_of_day];
            let is_told = self.form.lane[1] > 0.0 || half.fair_h == 0.0;
            let title = bound(page.faults, &half).filter(|_| is_told);
            let field = self.field(page.year, &week.of, facing, half_of_day);
            (week.of, half, title, strip(field))
        };
        lane.binds = bindings(&page.weeks.iter().map(told).collect::<Vec<_>>());
        Some(lane)
    }
}
