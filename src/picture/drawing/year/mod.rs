//! The year, like a page of a timetable: dates across, the civil clock down, so that it steps where the clock is set;
//! a lane for each facing and side, hatched by the best that any stand gives; under it the hours of a day, week by week,
//! and the fault that binds in the rest. May not enter: how it was found.

mod cells; // instants as a grid, joined

use super::hours::marks::{self, TAKEN, beside, bound, filled, legend, swatch};
use super::hours::weeks::{self, Across, bars, bindings};
use super::plate::{Anchor, BOLD, Fill, PLAIN, Plate, Rect, Stroke, TITLE, faint, inked};
use crate::grade::Verdict;
use crate::grade::rulebook::Fault;
use crate::picture::canvas::Ink;
use crate::plan::hours::{Half, WeekOfYear};
use crate::plan::year::{Lane, Year};
use crate::sky::clock::Zone;
use cells::{Cells, Patch};
use chrono::NaiveDate;

/// What is drawn.
pub struct Page<'a> {
    /// Scene, year, zone.
    pub title: String,
    /// Under it, a line each.
    pub lines: Vec<String>,
    /// The lanes, each with its words.
    pub lanes: Vec<(String, Lane<'a>)>,
    /// The year.
    pub year: &'a Year,
    /// Whose clock.
    pub zone: &'a Zone,
    /// The rulebook's faults.
    pub faults: &'a [Fault],
}

const WIDTH: f64 = 760.0;
const LEFT: f64 = 104.0;
const RIGHT: f64 = WIDTH - 12.0;
/// Heights: of a line of words, of a lane's heading, of an hour of the clock, of the bars, of what binds, between lanes.
const WORDS: f64 = 13.0;
const HEADING: f64 = 20.0;
const HOUR: f64 = 11.0;
const BARS: f64 = 34.0;
const BINDS: f64 = 16.0;
const GAP: f64 = 10.0;
/// Every so many hours the clock is ruled and told.
const RULED_H: u32 = 3;
/// The sun is up, and every stand is lost: a tone, so that what is won stands out of it.
const LOST: Ink = [0xdc, 0xdc, 0xdc];

/// A lane with its grid and its weeks.
struct Drawn {
    cells: Cells,
    all: Half,
    weeks: Vec<(WeekOfYear, Half)>,
}

/// Where things lie.
struct Paper<'a> {
    across: Across<'a>,
    first: NaiveDate,
    /// The hours of the clock that are shown.
    hours: [u32; 2],
    /// Hours of a day that fill the bars.
    full_h: f64,
}

/// The page.
pub fn plate(page: &Page) -> Plate {
    let weeks = &page.year.weeks;
    let first = weeks.first().map_or(NaiveDate::MIN, |week| week.first);
    let dates = weeks.iter().map(|week| week.days as usize).sum();
    let of_lane = |lane: &Lane| Drawn {
        cells: Cells::of(lane, page.zone, first, dates),
        all: lane.in_year(),
        weeks: lane.by_week(),
    };
    let lanes: Vec<Drawn> = page.lanes.iter().map(|lane| of_lane(&lane.1)).collect();
    let paper = Paper {
        across: Across {
            year: weeks,
            left: LEFT,
            right: RIGHT,
        },
        first,
        hours: hours(&lanes),
        full_h: full_h(&lanes),
    };
    let top = 42.0 + WORDS * page.lines.len() as f64;
    let foot = top + paper.lane_height() * lanes.len() as f64;
    let mut plate = Plate::new(WIDTH, foot + 62.0, &page.title);
    plate.words([12.0, 18.0], Anchor::Start, TITLE, &page.title);
    for (n, line) in page.lines.iter().enumerate() {
        let base = 32.0 + WORDS * n as f64;
        plate.words([12.0, base], Anchor::Start, PLAIN, line);
    }
    let tops = (0..lanes.len()).map(|n| top + paper.lane_height() * n as f64);
    for (lane, top) in lanes.iter().zip(tops.clone()) {
        paper.fields(&mut plate, lane, top);
    }
    marks::months(&mut plate, &paper.across, top, foot);
    for ((lane, (words, _)), top) in lanes.iter().zip(&page.lanes).zip(tops) {
        plate.line([12.0, top, RIGHT, top], inked(1.0));
        plate.words([12.0, top + 13.0], Anchor::Start, BOLD, words);
        paper.words(&mut plate, page, lane, top);
    }
    plate.line([12.0, foot, RIGHT, foot], inked(1.0));
    key(&mut plate, foot + 10.0);
    plate
}

/// Whole hours of the clock that hold all sun, and one after it for what is told of the clock.
fn hours(lanes: &[Drawn]) -> [u32; 2] {
    let spans = lanes.iter().filter_map(|lane| lane.cells.span_min());
    let both = spans.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])]);
    both.map_or([6, 18], |[first, last]| {
        [first / 60, (last.div_ceil(60) + 1).min(24)]
    })
}

/// Whole hours of a day that hold every bar.
fn full_h(lanes: &[Drawn]) -> f64 {
    let weeks = lanes.iter().flat_map(|lane| &lane.weeks);
    let most_h = weeks.map(|(week, half)| half.fair_h / f64::from(week.days.max(1)));
    most_h.fold(1.0, f64::max).ceil()
}

impl Paper<'_> {
    fn clock_height(&self) -> f64 {
        HOUR * f64::from(self.hours[1] - self.hours[0])
    }

    fn lane_height(&self) -> f64 {
        HEADING + self.clock_height() + BARS + BINDS + GAP
    }

    /// A date of a grid across, and a minute of the day down.
    fn at(&self, top: f64, date: usize, minute: u32) -> [f64; 2] {
        let date = self.first + chrono::Days::new(date as u64);
        let down = f64::from(minute) / 60.0 - f64::from(self.hours[0]);
        [self.across.x(date), top + HEADING + HOUR * down]
    }

    fn ends(&self, top: f64, patch: &Patch) -> [f64; 4] {
        let [x, y] = self.at(top, patch.dates[0], patch.minutes[0]);
        let [right, foot] = self.at(top, patch.dates[1], patch.minutes[1]);
        [x, y, right, foot]
    }

    /// What a lane shows: its instants, and the hours of its weeks.
    fn fields(&self, plate: &mut Plate, lane: &Drawn, top: f64) {
        for verdict in Verdict::ALL {
            let patches = lane.cells.patches(verdict);
            let rects = patches.iter().map(|patch| {
                let [x, y, right, foot] = self.ends(top, patch);
                let (width, height) = (right - x, foot - y);
                Rect {
                    x,
                    y,
                    width,
                    height,
                }
            });
            let fill = match verdict {
                Verdict::Lost => Fill::Flat(LOST),
                verdict => marks::fill_of(verdict),
            };
            plate.areas(rects.collect(), fill);
        }
        for (of_sun, thick) in [(false, 0.5), (true, 0.9)] {
            let edges = lane.cells.edges(of_sun);
            let lines = edges.iter().map(|edge| self.ends(top, edge));
            plate.lines(lines.collect(), inked(thick));
        }
        let y = top + HEADING + self.clock_height();
        for (week, half) in &lane.weeks {
            let field = self.across.field(week, y, BARS);
            let (bars, _) = bars(field, 3.0, self.full_h, half, week.days);
            for (bar, verdict) in bars {
                filled(plate, bar, verdict);
            }
        }
    }

    /// Words and rules over it, and what binds.
    fn words(&self, plate: &mut Plate, page: &Page, lane: &Drawn, top: f64) {
        let (clock, foot) = (top + HEADING, top + HEADING + self.clock_height());
        let (bars, binds) = (foot + BARS, foot + BARS + BINDS);
        let sums = [Verdict::Fine, Verdict::Good, Verdict::Fair];
        let [fine, good, fair] = sums.map(|least| lane.all.at_least(least));
        let sums =
            format!("{fine:.0} h fine, {good:.0} h good or better, {fair:.0} h fair or better");
        plate.words([RIGHT - 4.0, top + 13.0], Anchor::End, PLAIN, &sums);
        for hour in (self.hours[0]..=self.hours[1]).filter(|hour| hour % RULED_H == 0) {
            let y = self.at(top, 0, hour * 60)[1];
            let words = format!("{hour:02}:00");
            plate.words([LEFT - 4.0, y + 3.0], Anchor::End, PLAIN, &words);
            plate.line([LEFT, y, RIGHT, y], faint(0.3));
        }
        let ticks = page.year.weeks.iter().map(|week| {
            let x = self.across.x(week.first);
            [x, foot - 3.0, x, foot]
        });
        plate.lines(ticks.collect(), inked(0.5));
        for y in [clock, foot, bars, binds] {
            plate.line([LEFT, y, RIGHT, y], inked(0.6));
        }
        for (words, y) in [
            ("civil time", clock + 9.0),
            ("hours of a day", foot + 20.0),
            ("what binds", binds - 5.0),
        ] {
            plate.words([12.0, y], Anchor::Start, PLAIN, words);
        }
        let full = format!("{:.0} h", self.full_h);
        plate.words([LEFT - 4.0, foot + 12.0], Anchor::End, PLAIN, &full);
        plate.words([LEFT - 4.0, bars - 1.0], Anchor::End, PLAIN, "0 h");
        for (at, by_min) in &page.year.calendar.jumps {
            let x = self.across.x(page.zone.local(*at).naive.date());
            let dashed = Stroke {
                dash: Some(3.0),
                ..inked(0.8)
            };
            plate.line([x, clock, x, foot], dashed);
            let sign = if *by_min < 0 { "−" } else { "+" };
            let words = format!("clock {sign}{} min", by_min.abs());
            plate.words([x + 4.0, foot - 6.0], Anchor::Start, PLAIN, &words);
        }
        let told = |(week, half): &(WeekOfYear, Half)| {
            let title = weeks::bound(page.faults, half);
            (*week, *half, title, self.across.field(week, bars, BINDS))
        };
        for binding in bindings(&lane.weeks.iter().map(told).collect::<Vec<_>>()) {
            bound(plate, &binding);
        }
    }
}

/// What fillings and lines mean.
fn key(plate: &mut Plate, top: f64) {
    let mut verdicts = Verdict::ALL.map(|verdict| (verdict, verdict.word()));
    verdicts.reverse();
    let won: Vec<_> = (verdicts.into_iter())
        .filter(|(verdict, _)| *verdict > Verdict::Lost)
        .collect();
    legend(plate, [LEFT, top], "the best stand is", &won);
    let lost = swatch([LEFT + marks::ENTRY * won.len() as f64, top]);
    plate.edged(lost, Fill::Flat(LOST), inked(0.9));
    beside(plate, lost, "lost");
    legend(plate, [LEFT, top + 18.0], "it takes of the sun", &TAKEN);
}
