//! The year as hours won, like a page of a timetable: weeks across; for each facing a lane for the morning and one for
//! the afternoon, in which bars tell the hours of a day and hatching how good they are, and under each the fault that
//! binds in the rest. Says nothing of civil time: halves of the day end at solar noon. May not enter: how hours are
//! found, pages.

mod layout; // where weeks and lanes lie

pub use layout::{Binding, Form, Lane, Layout, Rect};

use super::hatch::{Density, block, hatches};
use super::{INK, SLATE, escape, line, open, text};
use crate::grade::Verdict;
use crate::grade::rulebook::Fault;
use crate::plan::hours::{Week, WeekOfYear, won_h};
use std::fmt::Write;

/// A year to draw, whole or as far as it is known.
pub struct Page<'a> {
    /// For each facing its words ("the head end leads, nose 150°").
    pub facings: [String; 2],
    /// The year's weeks, known or not: they lay out the page.
    pub year: &'a [WeekOfYear],
    /// Those that are known, in order.
    pub weeks: Vec<&'a Week>,
    /// The rulebook's faults, which [`crate::plan::hours::Half::binds`] counts through.
    pub faults: &'a [Fault],
}

/// The halves of a day.
pub const HALVES: [&str; 2] = ["morning", "afternoon"];

impl Page<'_> {
    /// Hours of the known weeks in which a facing is so good or better, of fair, good and fine.
    pub fn won_h(&self, facing: usize, least: Verdict) -> f64 {
        won_h(self.weeks.iter().copied(), facing, least)
    }
}

/// Where a lane's name and a legend stand, left of the year.
const LEFT: f64 = 104.0;
const WIDTH: f64 = 760.0;
const RIGHT: f64 = WIDTH - 12.0;
/// About the mean width of a letter of the drawing's size.
const LETTER: f64 = 4.7;
/// The sheet's room.
pub const SHEET: Form = Form {
    left: LEFT,
    right: RIGHT,
    top: 56.0,
    heading: 20.0,
    lane: [52.0, 16.0],
    headroom: 0.0,
};

/// The page as a drawing that stands alone.
pub fn svg(page: &Page, title: &str) -> String {
    let layout = Layout::of(page, SHEET);
    let height = layout.foot() + 66.0;
    let mut svg = open(WIDTH, height, title);
    svg += &format!("<rect width=\"{WIDTH}\" height=\"{height:.0}\" fill=\"#fff\"/>");
    svg += &hatches();
    let _ = write!(
        svg,
        "<text x=\"12\" y=\"18\" font-size=\"14\" font-weight=\"bold\">{}</text>",
        escape(title)
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
    let (top, foot) = (SHEET.top, layout.foot());
    let mut svg = String::new();
    let style = format!("stroke=\"{SLATE}\" stroke-width=\"0.4\"");
    for (start, [x, next]) in layout.months(page.year) {
        svg += &line(x, top - 12.0, x, foot, &style);
        let name = start.format("%B").to_string();
        svg += &text((x + next) / 2.0, top - 3.0, "middle", &name);
    }
    svg += &line(RIGHT, top - 12.0, RIGHT, foot, &style);
    for y in [top, foot] {
        svg += &line(12.0, y, RIGHT, y, &format!("stroke=\"{INK}\""));
    }
    svg
}

/// One facing: its words, its sums, its two lanes.
fn facing_lanes(page: &Page, layout: &Layout, facing: usize) -> String {
    let mut svg = String::new();
    let top = layout.facing_top(facing);
    if facing > 0 {
        svg += &line(12.0, top, RIGHT, top, &format!("stroke=\"{INK}\""));
    }
    let _ = write!(
        svg,
        "<text x=\"12\" y=\"{:.1}\" font-weight=\"bold\" stroke=\"#fff\" stroke-width=\"2.4\" \
         paint-order=\"stroke\">{}</text>",
        top + 13.0,
        escape(&page.facings[facing])
    );
    let sums = [Verdict::Fine, Verdict::Good, Verdict::Fair]
        .map(|least| format!("{:.0}", page.won_h(facing, least)));
    let whole = if page.weeks.len() == page.year.len() {
        "a year"
    } else {
        "so far"
    };
    let words = format!(
        "{} h fine, {} h good or better, {} h fair or better {whole}",
        sums[0], sums[1], sums[2]
    );
    svg += &text(RIGHT, top + 13.0, "end", &words);
    for (half, name) in HALVES.into_iter().enumerate() {
        if let Some(lane) = layout.lane(page, facing, half) {
            svg += &draw(layout, &lane, name);
        }
    }
    svg
}

fn draw(layout: &Layout, lane: &Lane, name: &str) -> String {
    let (field, foot) = (lane.field, lane.field.foot());
    let bottom = foot + SHEET.lane[1];
    let mut svg = text(12.0, field.y + field.height / 2.0 + 3.0, "start", name);
    svg += &text(12.0, bottom - 5.0, "start", "what binds");
    let thin = format!("stroke=\"{SLATE}\" stroke-width=\"0.4\"");
    for hours in layout.ruled_h() {
        let y = foot - hours / layout.full_h * field.height;
        svg += &text(LEFT - 4.0, y + 3.0, "end", &format!("{hours:.0} h"));
        svg += &line(LEFT, y, RIGHT, y, &thin);
    }
    svg += &line(12.0, bottom, RIGHT, bottom, &thin);
    for (bar, verdict) in &lane.bars {
        svg += &filled(*bar, *verdict);
    }
    let mut sun = String::new();
    for [x, y, width] in &lane.sun {
        let _ = write!(sun, "M{x:.1} {y:.1}h{width:.1}");
    }
    let _ = write!(
        svg,
        "<path d=\"{sun}\" stroke=\"{INK}\" stroke-width=\"1\" fill=\"none\"/>"
    );
    for binding in &lane.binds {
        svg += &bound(binding);
    }
    svg
}

/// A stretch by its verdict; a fine one is paper with an edge.
fn filled(bar: Rect, verdict: Verdict) -> String {
    match Density::of_verdict(verdict) {
        Some(density) => block(bar.x, bar.y, bar.width, bar.height, density),
        None => format!(
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"#fff\" stroke=\"{INK}\" \
             stroke-width=\"0.8\"/>",
            bar.x, bar.y, bar.width, bar.height
        ),
    }
}

/// Weeks on end in which one fault binds: hatched week by week by how much it takes, its name once.
fn bound(binding: &Binding) -> String {
    let mut svg = String::new();
    for (rect, taken) in &binding.taken {
        if let Some(density) = Density::of_verdict(*taken) {
            let _ = write!(
                svg,
                "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"url(#{})\"/>",
                rect.x,
                rect.y,
                rect.width,
                rect.height,
                density.name()
            );
        }
    }
    let Rect { x, y, width, .. } = binding.rect;
    let edge = format!("stroke=\"{INK}\" stroke-width=\"0.8\"");
    for x in [x, x + width] {
        svg += &line(x, y, x, binding.rect.foot(), &edge);
    }
    if width > binding.title.chars().count() as f64 * LETTER * 1.15 + 4.0 {
        let (middle, base) = (x + width / 2.0, binding.rect.foot() - 5.0);
        svg += &text(middle, base, "middle", binding.title);
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
            let bar = Rect {
                x,
                y,
                width,
                height,
            };
            svg += &filled(bar, verdict);
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
