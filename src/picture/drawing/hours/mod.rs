//! The year as hours won, like a page of a timetable: weeks across; for each facing a lane for the morning and one for
//! the afternoon, in which bars tell the hours of a day and hatching how good they are, and under each the fault that
//! binds in the rest. Says nothing of civil time: halves of the day end at solar noon. May not enter: how hours are
//! found, pages.

mod layout; // where weeks and lanes lie

pub use layout::{Layout, Rect};

use super::hatch::{block, hatches, verdict_hatch};
use super::{INK, SLATE, escape, line, open, text};
use crate::grade::Verdict;
use crate::grade::rulebook::Fault;
use crate::plan::hours::{Half, Week, WeekOfYear};
use chrono::{Datelike, NaiveDate};
use std::fmt::Write;

/// A year to draw, whole or as far as it is known.
pub struct Page<'a> {
    /// What stands over it.
    pub title: String,
    /// For each facing its words ("the head end leads, nose 150°").
    pub facings: [String; 2],
    /// The year's weeks, known or not: they lay out the page.
    pub year: &'a [WeekOfYear],
    /// Those that are known, in any order.
    pub weeks: &'a [Week],
    /// The rulebook's faults, which [`Half::binds`] counts through.
    pub faults: &'a [Fault],
}

/// Where a lane's name and a legend stand, left of the year.
const LEFT: f64 = 104.0;
const WIDTH: f64 = 760.0;
const RIGHT: f64 = WIDTH - 12.0;
/// About the mean width of a letter of the drawing's size.
const LETTER: f64 = 4.7;
/// How much of the sun the fault that binds takes: by its hatching.
fn taken(half: &Half) -> Verdict {
    match half.binds_h / half.sun_h.max(f64::MIN_POSITIVE) {
        share if share < 1.0 / 3.0 => Verdict::Good,
        share if share < 2.0 / 3.0 => Verdict::Fair,
        _ => Verdict::Poor,
    }
}

/// The page as a drawing that stands alone.
pub fn svg(page: &Page) -> String {
    let layout = Layout::of(page);
    let height = layout.foot() + 66.0;
    let mut svg = open(WIDTH, height, &page.title);
    svg += &format!("<rect width=\"{WIDTH}\" height=\"{height:.0}\" fill=\"#fff\"/>");
    svg += &hatches();
    let _ = write!(
        svg,
        "<text x=\"12\" y=\"18\" font-size=\"14\" font-weight=\"bold\">{}</text>",
        escape(&page.title)
    );
    svg += &text(
        12.0,
        34.0,
        "start",
        "hours of a day, week by week; mornings and afternoons meet at solar noon",
    );
    svg += &months(page, &layout);
    for facing in 0..2 {
        svg += &facing_lanes(page, &layout, facing);
    }
    svg += &legend(layout.foot() + 10.0);
    svg + "</svg>"
}

/// The columns: a rule and a name for each month.
fn months(page: &Page, layout: &Layout) -> String {
    let (top, foot) = (layout.top, layout.foot());
    let mut svg = String::new();
    let Some(first) = page.year.first() else {
        return svg;
    };
    let starts: Vec<NaiveDate> = (1..=12)
        .filter_map(|month| NaiveDate::from_ymd_opt(first.first.year(), month, 1))
        .collect();
    let style = format!("stroke=\"{SLATE}\" stroke-width=\"0.4\"");
    for (n, start) in starts.iter().enumerate() {
        let x = layout.x(page.year, *start);
        let next = starts
            .get(n + 1)
            .map_or(layout.right, |next| layout.x(page.year, *next));
        svg += &line(x, top - 12.0, x, foot, &style);
        svg += &text(
            (x + next) / 2.0,
            top - 3.0,
            "middle",
            &start.format("%B").to_string(),
        );
    }
    svg += &line(layout.right, top - 12.0, layout.right, foot, &style);
    for y in [top, foot] {
        svg += &line(12.0, y, layout.right, y, &format!("stroke=\"{INK}\""));
    }
    svg
}

/// One facing: its words, its sums, its two lanes.
fn facing_lanes(page: &Page, layout: &Layout, facing: usize) -> String {
    let mut svg = String::new();
    let top = layout.top + layout.facing_height() * facing as f64;
    if facing > 0 {
        svg += &line(12.0, top, layout.right, top, &format!("stroke=\"{INK}\""));
    }
    let _ = write!(
        svg,
        "<text x=\"12\" y=\"{:.1}\" font-weight=\"bold\" stroke=\"#fff\" stroke-width=\"2.4\" \
         paint-order=\"stroke\">{}</text>",
        top + 13.0,
        escape(&page.facings[facing])
    );
    let sum = |least| -> f64 {
        let halves = page.weeks.iter().flat_map(|week| &week.halves[facing]);
        halves.map(|half| half.at_least(least)).sum()
    };
    let sums = [Verdict::Fine, Verdict::Good, Verdict::Fair]
        .map(|least| format!("{:.0}", sum(least).abs()));
    let whole = if page.weeks.len() == page.year.len() {
        "a year"
    } else {
        "so far"
    };
    let words = format!(
        "{} h fine, {} h good or better, {} h fair or better {whole}",
        sums[0], sums[1], sums[2]
    );
    svg += &text(layout.right, top + 13.0, "end", &words);
    for (half, name) in ["morning", "afternoon"].into_iter().enumerate() {
        svg += &lane(page, layout, facing, half, name);
    }
    svg
}

fn lane(page: &Page, layout: &Layout, facing: usize, half: usize, name: &str) -> String {
    let mut svg = String::new();
    let Some(first) = page.year.first() else {
        return svg;
    };
    let field = layout.field(page.year, first, facing, half);
    let foot = field.y + field.height;
    svg += &text(12.0, field.y + field.height / 2.0 + 3.0, "start", name);
    svg += &text(12.0, foot + layout.lane[1] - 5.0, "start", "what binds");
    let thin = format!("stroke=\"{SLATE}\" stroke-width=\"0.4\"");
    for hours in layout.ruled_h() {
        let y = foot - hours / layout.full_h * field.height;
        svg += &text(layout.left - 4.0, y + 3.0, "end", &format!("{hours:.0} h"));
        svg += &line(layout.left, y, layout.right, y, &thin);
    }
    let bottom = foot + layout.lane[1];
    svg += &line(12.0, bottom, layout.right, bottom, &thin);
    let mut weeks: Vec<&Week> = page.weeks.iter().collect();
    weeks.sort_by_key(|week| week.of.first);
    let mut sun = String::new();
    for week in &weeks {
        let field = layout.field(page.year, &week.of, facing, half);
        let won = &week.halves[facing][half];
        let (bars, sun_y) = layout.bars(field, won, week.of.days);
        for (bar, verdict) in bars {
            svg += &match verdict_hatch(verdict) {
                Some(hatch) => block(bar.x, bar.y, bar.width, bar.height, hatch),
                None => plain(bar),
            };
        }
        if won.sun_h > 0.0 {
            let _ = write!(sun, "M{:.1} {sun_y:.1}h{:.1}", field.x, field.width);
        }
    }
    let _ = write!(
        svg,
        "<path d=\"{sun}\" stroke=\"{INK}\" stroke-width=\"1\" fill=\"none\"/>"
    );
    let fault = |week: &Week| {
        let won = &week.halves[facing][half];
        (won.binds, won.sun_h == 0.0)
    };
    for run in weeks
        .chunk_by(|a, b| a.of.first + chrono::Days::new(7) == b.of.first && fault(a) == fault(b))
    {
        svg += &binding(page, layout, (facing, half), run);
    }
    svg
}

/// A fine stretch: paper with an edge.
fn plain(bar: Rect) -> String {
    format!(
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"#fff\" stroke=\"{INK}\" \
         stroke-width=\"0.8\"/>",
        bar.x, bar.y, bar.width, bar.height
    )
}

/// Weeks on end in which one fault binds: hatched week by week by how much it takes, its name once.
fn binding(page: &Page, layout: &Layout, (facing, half): (usize, usize), run: &[&Week]) -> String {
    let won = &run[0].halves[facing][half];
    let fault = won.binds.and_then(|fault| page.faults.get(fault));
    let title = match fault {
        Some(fault) => fault.title.as_str(),
        None if won.sun_h == 0.0 => "no sun",
        None => return String::new(),
    };
    let mut svg = String::new();
    let (mut left, mut right, mut foot) = (f64::INFINITY, f64::NEG_INFINITY, 0.0);
    for week in run {
        let field = layout.field(page.year, &week.of, facing, half);
        (left, right) = (left.min(field.x), right.max(field.x + field.width));
        foot = field.y + field.height;
        let taken = || verdict_hatch(taken(&week.halves[facing][half]));
        if let Some(hatch) = fault.and_then(|_| taken()) {
            let _ = write!(
                svg,
                "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"url(#{hatch})\"/>",
                field.x, foot, field.width, layout.lane[1]
            );
        }
    }
    let edge = format!("stroke=\"{INK}\" stroke-width=\"0.8\"");
    for x in [left, right] {
        svg += &line(x, foot, x, foot + layout.lane[1], &edge);
    }
    if right - left > title.chars().count() as f64 * LETTER * 1.15 + 4.0 {
        svg += &text(
            (left + right) / 2.0,
            foot + layout.lane[1] - 5.0,
            "middle",
            title,
        );
    }
    svg
}

/// What the hatchings mean.
fn legend(top: f64) -> String {
    let mut svg = String::new();
    let rows = [
        (
            "a stand is",
            [
                (Verdict::Fine, "fine"),
                (Verdict::Good, "good"),
                (Verdict::Fair, "fair"),
            ],
        ),
        (
            "it takes of the sun",
            [
                (Verdict::Good, "less than a third"),
                (Verdict::Fair, "less than two thirds"),
                (Verdict::Poor, "more"),
            ],
        ),
    ];
    for (row, (name, list)) in rows.into_iter().enumerate() {
        let y = top + 18.0 * row as f64;
        svg += &text(12.0, y + 9.5, "start", name);
        for (n, (verdict, word)) in list.into_iter().enumerate() {
            let (x, width, height) = (LEFT + 128.0 * n as f64, 26.0, 12.0);
            svg += &match verdict_hatch(verdict) {
                Some(hatch) => block(x, y, width, height, hatch),
                None => plain(Rect {
                    x,
                    y,
                    width,
                    height,
                }),
            };
            svg += &text(x + 31.0, y + 9.5, "start", word);
        }
    }
    let x = LEFT + 128.0 * 3.0;
    svg += &line(
        x,
        top + 6.0,
        x + 26.0,
        top + 6.0,
        &format!("stroke=\"{INK}\""),
    );
    svg += &text(x + 31.0, top + 9.5, "start", "the sun is up");
    svg
}
