//! Where the weeks and lanes of the year lie, how high their bars are and what is written over them: for the sheet and
//! for a pane that shows the same. May not enter: markup, colours, widgets.

use super::Page;
use crate::grade::Verdict;
use crate::plan::hours::{Half, Week, WeekOfYear};
use chrono::{Datelike, Days, NaiveDate};

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

impl Rect {
    /// Lower edge.
    pub fn foot(&self) -> f64 {
        self.y + self.height
    }
}

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

    /// Where a date lies across.
    pub fn x(&self, year: &[WeekOfYear], date: NaiveDate) -> f64 {
        let Form { left, right, .. } = self.form;
        let (Some(first), Some(last)) = (year.first(), year.last()) else {
            return left;
        };
        let all = (last.first - first.first).num_days() as f64 + f64::from(last.days);
        let behind = (date - first.first).num_days() as f64;
        left + (right - left) * (behind / all).clamp(0.0, 1.0)
    }

    /// The months: their first dates, and where each begins and ends across.
    pub fn months(&self, year: &[WeekOfYear]) -> Vec<(NaiveDate, [f64; 2])> {
        let Some(first) = year.first() else {
            return vec![];
        };
        let start = |month| NaiveDate::from_ymd_opt(first.first.year(), month, 1);
        let x = |month| start(month).map_or(self.form.right, |start| self.x(year, start));
        let months = (1..=12).filter_map(|month| Some((start(month)?, [x(month), x(month + 1)])));
        months.collect()
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
        let [hours, binds] = self.form.lane;
        Rect {
            x,
            y: self.facing_top(facing) + self.form.heading + (hours + binds) * half as f64,
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
            let height = field.height + self.form.lane[1];
            (field.x..field.x + field.width).contains(&x)
                && (field.y..field.y + height).contains(&y)
        })?;
        Some((found.0, found.2, found.3))
    }

    /// The bars of a week's field from its foot upward: fine, good, fair hours of a day. Last the height that the sun's
    /// own hours reach.
    pub fn bars(&self, field: Rect, half: &Half, days: u32) -> (Vec<(Rect, Verdict)>, f64) {
        let foot = field.foot();
        let up = |hours: f64| {
            (field.height - self.form.headroom)
                * (hours / f64::from(days.max(1)) / self.full_h).min(1.0)
        };
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

    /// All that a facing's mornings (0) or afternoons (1) show.
    pub fn lane<'a>(&self, page: &Page<'a>, facing: usize, half: usize) -> Option<Lane<'a>> {
        let (first, last) = (page.year.first()?, page.year.last()?);
        let [begins, ends] = [first, last].map(|week| self.field(page.year, week, facing, half));
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
            let won = &week.halves[facing][half];
            let field = self.field(page.year, &week.of, facing, half);
            let (bars, sun_y) = self.bars(field, won, week.of.days);
            lane.bars.extend(bars);
            if won.sun_h > 0.0 {
                lane.sun.push([field.x, sun_y, field.width]);
            }
        }
        let bound = |week: &Week| self.bound(page, &week.halves[facing][half]);
        let goes_on = |a: &&Week, b: &&Week| {
            let next = a.of.first + Days::new(u64::from(a.of.days));
            next == b.of.first && bound(a) == bound(b)
        };
        for run in page.weeks.chunk_by(goes_on) {
            let Some(title) = bound(run[0]) else { continue };
            let strip = |week: &&Week| {
                let field = self.field(page.year, &week.of, facing, half);
                match self.form.lane[1] {
                    0.0 => field,
                    height => Rect {
                        y: field.foot(),
                        height,
                        ..field
                    },
                }
            };
            let (left, right) = (strip(&run[0]), strip(&run[run.len() - 1]));
            let taken = |week: &&Week| {
                let half = &week.halves[facing][half];
                half.binds.map(|_| (strip(week), taken(half)))
            };
            lane.binds.push(Binding {
                title,
                rect: Rect {
                    width: right.x + right.width - left.x,
                    ..left
                },
                taken: run.iter().filter_map(taken).collect(),
            });
        }
        Some(lane)
    }

    /// What binds in half a week, if it is to be told.
    fn bound<'a>(&self, page: &Page<'a>, half: &Half) -> Option<&'a str> {
        let is_told = self.form.lane[1] > 0.0 || half.fair_h == 0.0;
        let fault = half.binds.and_then(|fault| page.faults.get(fault));
        let title = match fault {
            Some(fault) => Some(fault.title.as_str()),
            None => (half.sun_h == 0.0).then_some("no sun"),
        };
        title.filter(|_| is_told)
    }
}

/// How much of the sun the fault that binds takes: by its hatching.
fn taken(half: &Half) -> Verdict {
    match half.binds_h / half.sun_h.max(f64::MIN_POSITIVE) {
        share if share < 1.0 / 3.0 => Verdict::Good,
        share if share < 2.0 / 3.0 => Verdict::Fair,
        _ => Verdict::Poor,
    }
}
