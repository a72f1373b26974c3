//! The day as text: what sun and clock do in words, the table, and from when to when what is wrong. May not enter:
//! formulas.

use super::Light;
use crate::grade::wording::sentence_case;
use crate::grade::{Grade, Verdict};
use crate::plan::day::{Run, binding, grade_of, is_judged, rest_of};
use crate::report::sheet::mark;
use crate::report::stand;
use crate::sky::events::DayState;
use chrono::{DateTime, Utc};
use std::fmt::Write;

impl Light<'_> {
    /// Time of day; the midnight that ends the day is its 24:00, and what lies after it is the next day's.
    fn clock(&self, at: DateTime<Utc>) -> String {
        let local = self.studio.scene.place.zone.local(at).naive;
        let time = local.format("%H:%M").to_string();
        match (local.date() > self.day.date, time.as_str()) {
            (true, "00:00") => "24:00".into(),
            (true, _) => time + " next day",
            (false, _) => time,
        }
    }

    /// What the sun does, in words.
    pub(super) fn sun_words(&self) -> String {
        let zone = &self.studio.scene.place.zone;
        let time = |at: Option<DateTime<Utc>>| {
            let local = zone.local(at?);
            let next = if local.naive.date() > self.day.date {
                " of the next day"
            } else {
                ""
            };
            Some(local.time_text() + next)
        };
        match self.day.state {
            DayState::PolarDay => "The sun does not set: all hours of the day are told.".into(),
            DayState::PolarNight => "The sun does not rise: there is no light all day.".into(),
            DayState::Normal => match (time(self.day.rise), time(self.day.set)) {
                (Some(rise), Some(set)) => format!("The sun rises at {rise} and sets at {set}."),
                (Some(rise), None) => format!("The sun rises at {rise} and does not set."),
                (None, Some(set)) => format!("The sun is up until it sets at {set}."),
                (None, None) => "The sun neither rises nor sets.".into(),
            },
        }
    }

    /// What the clock does, in words.
    pub(super) fn clock_words(&self) -> String {
        let mut words = String::new();
        for (at, by_min) in self.day.clock_jumps(&self.studio) {
            let way = if by_min > 0 { "forward" } else { "back" };
            let before = self.clock(at - chrono::Duration::minutes(1));
            let _ = writeln!(
                words,
                "The clock is set {way} by {} min after {before}, to {}.",
                by_min.abs(),
                self.clock(at)
            );
        }
        words
    }

    /// All of it.
    pub(super) fn all_text(&self) -> String {
        let scene = &self.studio.scene;
        let mut text = format!(
            "{} · {} · {}\n",
            scene.name,
            self.day.date,
            scene.place.zone.name()
        );
        text += &stand::line(&self.studio, &self.stand);
        text += &stand::refusal_line(&self.studio, &self.stand);
        text += &format!("{}\n{}", self.sun_words(), self.clock_words());
        if let Some(risk) = scene.sky.risk() {
            let _ = writeln!(text, "{}", sentence_case(risk));
        }
        text.push('\n');
        text += &self.table();
        text.push('\n');
        let marked = |lane: &str, runs: &[Run<Grade>]| {
            let mut lines = String::new();
            for run in runs.iter().filter(|run| run.what > Grade::Clean) {
                let _ = writeln!(
                    lines,
                    "{}",
                    self.run_line(lane, mark(run.what), run.what.word(), run)
                );
            }
            lines
        };
        for lane in &self.day.lanes {
            text += &marked(&lane.fault.title, &lane.runs);
        }
        if self.day.lanes.is_empty() {
            text += "The rulebook has no fault of light.\n";
        }
        text += &marked("not of light", &self.day.rest);
        text.push('\n');
        for run in &self.day.verdict {
            let _ = writeln!(
                text,
                "{}",
                self.run_line("verdict", "", run.what.word(), run)
                    .trim_end()
            );
        }
        let best = self.day.best();
        if best.is_some_and(|best| best.sheet.verdict == Verdict::Lost) {
            text += "Every minute is lost.\n";
        } else if let Some(best) = best {
            let zone = &scene.place.zone;
            let sheet = &best.sheet;
            let _ = writeln!(
                text,
                "Best at {}: {} ({:.1})",
                zone.local(best.at).time_text(),
                sheet.verdict.word(),
                sheet.score
            );
        }
        text
    }

    /// "sun height      // marked   11:42 to 14:05  The shadow of …".
    fn run_line<T>(&self, lane: &str, form: &str, word: &str, run: &Run<T>) -> String {
        let (from, to) = (self.clock(run.from), self.clock(run.to));
        let worst = match &run.worst {
            Some(worst) => format!("at worst: {worst}"),
            None => String::new(),
        };
        format!("{lane:<16} {form:<4}{word:<8} {from} to {to}  {worst}")
    }

    /// A row for each minute of the table: the sun, a form for each fault of light, what binds, the verdict.
    fn table(&self) -> String {
        let mut text = String::from("time    height  bearing ");
        for lane in &self.day.lanes {
            let _ = write!(text, " {}", lane.fault.title);
        }
        text += "  not of light  verdict      binds\n";
        for look in self.rows() {
            let sheet = &look.sheet;
            let _ = write!(
                text,
                "{}  {:>6.1}°  {:>6.1}° ",
                self.clock(look.at),
                tenth(look.sun.elevation_deg),
                tenth(look.sun.azimuth_deg)
            );
            for lane in &self.day.lanes {
                let width = lane.fault.title.chars().count();
                let form = if is_judged(sheet, &lane.fault) {
                    mark(grade_of(sheet, &lane.fault))
                } else {
                    "–"
                };
                let _ = write!(text, " {form:^width$}");
            }
            let _ = writeln!(
                text,
                "  {:^12}  {:<5} {:>5.1}  {}",
                mark(rest_of(sheet)),
                sheet.verdict.word(),
                sheet.score,
                binding(&self.studio, sheet).unwrap_or_default()
            );
        }
        text
    }
}

/// To a tenth, without a nought below nought.
fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0 + 0.0
}
