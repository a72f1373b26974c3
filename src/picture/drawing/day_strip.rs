//! The day on one machine from one spot, drawn as a working timetable is: ruled columns of hours, a lane for each
//! fault of light, hatched the denser the worse it is, and the verdict below. May not enter: how anything was
//! graded.

use super::hatch::{Density, block, hatches};
use super::{INK, OXIDE, SLATE, escape, line, open, text};
use crate::grade::{Grade, Verdict};
use crate::plan::day::{Day, Run};
use crate::scene::place::Place;
use crate::sky::sun::sun_at;
use chrono::{DateTime, Duration, Timelike, Utc};
use std::fmt::Write;

/// One day of one facing.
pub struct Strip<'a> {
    /// Scene and date.
    pub title: String,
    /// Spot, sun, clock, in words.
    pub lines: Vec<String>,
    /// The day.
    pub day: &'a Day,
    /// When the clock is set, and by how many minutes.
    pub jumps: Vec<(DateTime<Utc>, i32)>,
    /// Whose clock and whose sun.
    pub place: &'a Place,
}

const WIDTH: f64 = 760.0;
/// Where the lanes begin and end.
const LEFT: f64 = 104.0;
const RIGHT: f64 = WIDTH - 12.0;
/// Heights of a lane, of the verdict's, of a line of words.
const LANE: f64 = 20.0;
const VERDICT: f64 = 26.0;
const WORDS: f64 = 13.0;
/// An hour's column is at least this wide where its figures are written.
const FIGURES: f64 = 34.0;
/// About the mean width of a letter of the drawing's size.
const LETTER: f64 = 4.7;

/// The strips below one another, with one legend.
pub fn svg(strips: &[Strip]) -> String {
    let heights: Vec<f64> = strips.iter().map(Strip::height).collect();
    let height = heights.iter().sum::<f64>() + 52.0;
    let title = strips.first().map_or("", |strip| strip.title.as_str());
    let mut svg = open(WIDTH, height, title);
    svg += &format!("<rect width=\"{WIDTH}\" height=\"{height:.0}\" fill=\"#fff\"/>");
    svg += &hatches();
    let mut top = 0.0;
    for (strip, height) in strips.iter().zip(heights) {
        svg += &strip.draw(top);
        top += height;
    }
    svg += &legend(top + 8.0);
    svg + "</svg>"
}

/// Two rows: how bad a fault is, and what becomes of the frame.
fn legend(top: f64) -> String {
    let grades = Grade::ALL.map(|grade| (Density::of_grade(grade), grade.word()));
    let mut verdicts = Verdict::ALL.map(|verdict| (Density::of_verdict(verdict), verdict.word()));
    verdicts.reverse();
    let mut svg = swatches(top, "a fault is", &grades);
    svg += &swatches(top + 18.0, "the frame is", &verdicts);
    svg + &text(RIGHT, top + 9.5, "end", "civil time; changes to the minute")
}

fn swatches(top: f64, name: &str, list: &[(Option<Density>, &str)]) -> String {
    let mut svg = text(12.0, top + 9.5, "start", name);
    for (i, (hatch, word)) in list.iter().enumerate() {
        let x = LEFT + 84.0 * i as f64;
        let fill = hatch.map_or("#fff".to_string(), |hatch| {
            format!("url(#{})", hatch.name())
        });
        let _ = write!(
            svg,
            "<rect x=\"{x:.1}\" y=\"{top:.1}\" width=\"26\" height=\"12\" fill=\"{fill}\" stroke=\"{INK}\" \
             stroke-width=\"0.5\"/>"
        );
        svg += &text(x + 31.0, top + 9.5, "start", word);
    }
    svg
}

impl Strip<'_> {
    fn head(&self) -> f64 {
        26.0 + WORDS * self.lines.len() as f64
    }

    fn height(&self) -> f64 {
        let lanes = self.day.lanes.len() + 2;
        self.head() + 46.0 + LANE * lanes as f64 + VERDICT + 30.0
    }

    /// Where an instant lies across; hours are equally wide, whatever the clock does.
    fn x(&self, at: DateTime<Utc>) -> f64 {
        let Some((first, last)) = self.day.span() else {
            return LEFT;
        };
        let share =
            (at - first).num_seconds() as f64 / ((last - first).num_seconds() as f64).max(1.0);
        LEFT + share * (RIGHT - LEFT)
    }

    fn draw(&self, top: f64) -> String {
        let mut svg = format!(
            "<text x=\"12\" y=\"{:.1}\" font-size=\"14\" font-weight=\"bold\">{}</text>",
            top + 18.0,
            escape(&self.title)
        );
        for (i, words) in self.lines.iter().enumerate() {
            svg += &text(12.0, top + 32.0 + WORDS * i as f64, "start", words);
        }
        let table = top + self.head();
        let lanes = table + 46.0;
        let foot = lanes + LANE * (self.day.lanes.len() + 2) as f64 + VERDICT;
        svg += &self.columns(table, foot);
        svg += &self.lanes(lanes);
        svg
    }

    /// The columns of hours: their rules, the clock, the sun's height and bearing, and the clock's jumps.
    fn columns(&self, top: f64, foot: f64) -> String {
        let Some((first, last)) = self.day.span() else {
            return String::new();
        };
        let mut svg = String::new();
        for (row, name) in ["hour", "sun's height", "sun's bearing"].iter().enumerate() {
            svg += &text(12.0, top + 11.0 + 14.0 * row as f64, "start", name);
        }
        for y in [top, top + 46.0, foot] {
            svg += &line(12.0, y, RIGHT, y, &format!("stroke=\"{INK}\""));
        }
        let per_hour = (RIGHT - LEFT) / ((last - first).num_minutes() as f64 / 60.0).max(0.1);
        let every = (1..=24_u32)
            .find(|n| per_hour * f64::from(*n) >= FIGURES)
            .unwrap_or(24);
        let mut written = f64::NEG_INFINITY;
        for minute in 0..=(last - first).num_minutes() {
            let at = first + Duration::minutes(minute);
            let clock = self.place.zone.local(at).naive.time();
            if clock.minute() != 0 {
                continue;
            }
            let x = self.x(at);
            let shown = clock.hour().is_multiple_of(every) && x - written >= FIGURES / 2.0;
            let rule = if shown { "0.6" } else { "0.3" };
            let style = format!("stroke=\"{SLATE}\" stroke-width=\"{rule}\"");
            svg += &line(
                x,
                if shown { top + 46.0 } else { top + 42.0 },
                x,
                foot,
                &style,
            );
            // No figures over the lanes' own edges.
            if shown && x <= RIGHT - 6.0 {
                let sun = sun_at(&self.place.observer, at);
                let figures = [
                    format!("{:02}", clock.hour()),
                    figure(sun.elevation_deg, "°"),
                    figure(sun.azimuth_deg, "°"),
                ];
                for (row, words) in figures.iter().enumerate() {
                    svg += &text(x, top + 11.0 + 14.0 * row as f64, "middle", words);
                }
                written = x;
            }
        }
        for (at, by_min) in &self.jumps {
            let x = self.x(*at);
            let style = format!("stroke=\"{OXIDE}\" stroke-width=\"1.2\" stroke-dasharray=\"4 2\"");
            svg += &line(x, top, x, foot, &style);
            let way = if *by_min > 0 { "+" } else { "−" };
            svg += &text(
                x + 3.0,
                foot + 10.0,
                "start",
                &format!("clock {way}{} min", by_min.abs()),
            );
        }
        svg += &self.ends(first, last, foot);
        svg
    }

    /// The first and the last minute, and the best one.
    fn ends(&self, first: DateTime<Utc>, last: DateTime<Utc>, foot: f64) -> String {
        let local = |at| self.place.zone.local(at);
        let mut svg = text(LEFT, foot + 22.0, "start", &local(first).time_text());
        let end = local(last);
        let words = match end.time_text() {
            // The midnight that ends the day.
            time if end.naive.date() > self.day.date => time.replacen("00:00", "24:00", 1),
            time => time,
        };
        svg += &text(RIGHT, foot + 22.0, "end", &words);
        let best = self.day.best();
        if let Some(best) = best.filter(|best| best.sheet.verdict > Verdict::Lost) {
            let x = self.x(best.at);
            let (time, verdict) = (
                local(best.at).naive.format("%H:%M"),
                best.sheet.verdict.word(),
            );
            let words = format!("best {time}: {verdict} ({:.1})", best.sheet.score);
            let _ = write!(
                svg,
                "<path d=\"M{x:.1} {foot:.1}l-4 7h8z\" fill=\"{INK}\"/>"
            );
            let half = words.chars().count() as f64 * LETTER / 2.0;
            let middle = x.clamp(LEFT + 60.0 + half, RIGHT - 60.0 - half);
            svg += &text(middle, foot + 22.0, "middle", &words);
        }
        svg
    }

    fn lanes(&self, top: f64) -> String {
        let mut svg = String::new();
        let mut y = top;
        let mut named = |svg: &mut String, name: &str, height: f64| {
            let at = y;
            *svg += &text(12.0, at + height / 2.0 + 3.0, "start", name);
            let style = format!("stroke=\"{SLATE}\" stroke-width=\"0.4\"");
            *svg += &line(12.0, at + height, RIGHT, at + height, &style);
            y += height;
            at
        };
        for lane in &self.day.lanes {
            let at = named(&mut svg, &lane.fault.title, LANE);
            svg += &self.graded(&lane.runs, at);
        }
        let at = named(&mut svg, "not of light", LANE);
        svg += &self.graded(&self.day.rest, at);
        let at = named(&mut svg, "what binds", LANE);
        for run in &self.day.binds {
            let (from, to) = (self.x(run.from), self.x(run.to));
            svg += &line(
                from,
                at,
                from,
                at + LANE,
                &format!("stroke=\"{INK}\" stroke-width=\"0.6\""),
            );
            let word = run.what.as_deref().unwrap_or("nothing");
            svg += &self.word_in(from, to, at + LANE / 2.0 + 3.0, word);
        }
        let at = named(&mut svg, "VERDICT", VERDICT);
        for run in &self.day.verdict {
            let (from, to) = (self.x(run.from), self.x(run.to));
            if let Some(hatch) = Density::of_verdict(run.what) {
                svg += &block(from, at + 3.0, to - from, VERDICT - 6.0, hatch);
            }
            svg += &self.word_in(
                from,
                to,
                at + VERDICT / 2.0 + 3.0,
                &run.what.word().to_uppercase(),
            );
        }
        svg
    }

    /// A word in the middle of a stretch, where it has room.
    fn word_in(&self, from: f64, to: f64, base: f64, word: &str) -> String {
        let widen = if word.chars().all(char::is_uppercase) {
            1.6
        } else {
            1.15
        };
        let room = word.chars().count() as f64 * LETTER * widen + 4.0;
        if to - from < room {
            return String::new();
        }
        text((from + to) / 2.0, base, "middle", word)
    }

    fn graded(&self, runs: &[Run<Grade>], at: f64) -> String {
        let mut svg = String::new();
        for run in runs {
            if let Some(hatch) = Density::of_grade(run.what) {
                let (from, to) = (self.x(run.from), self.x(run.to));
                svg += &block(from, at + 3.0, to - from, LANE - 6.0, hatch);
            }
        }
        svg
    }
}

/// A whole number with a true minus.
fn figure(value: f64, unit: &str) -> String {
    let rounded = value.round();
    let sign = if rounded < 0.0 { "−" } else { "" };
    format!("{sign}{:.0}{unit}", rounded.abs())
}
