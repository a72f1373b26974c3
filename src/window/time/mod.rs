//! When: the day as lanes with a handle, the date, the clock, playing through the day; or the year as hours won. May not
//! enter: how light is followed.

mod calendar; // a month's page
mod lanes; // the day, lane by lane
mod year; // the year, week by week

pub use year::YearView;

use super::header::button;
use super::theme;
use crate::plan::day::Day;
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::Desk;
use crate::sky::events::{DayState, day_of_sun};
use chrono::{DateTime, Duration, NaiveDate, NaiveTime, Utc};
use egui::{RichText, TextEdit, Ui};
use std::time::Instant;

/// The pane's own state.
#[derive(Default)]
pub struct TimePane {
    /// The year is shown instead of the day.
    pub year: bool,
    /// Playing through the day: since when nothing moved.
    playing: Option<Instant>,
    /// The clock's field while it is typed into.
    typed: Option<String>,
    calendar: calendar::Calendar,
}

/// Playing, so many minutes of the day pass in a second.
const PLAYED_MIN_PER_S: f64 = 30.0;

/// The span of a day's lanes: from sunrise to sunset, or the whole civil day.
fn span(desk: &Desk, date: NaiveDate) -> (DateTime<Utc>, DateTime<Utc>) {
    let place = &desk.site.base.place;
    let sun = day_of_sun(&place.observer, &place.zone, date);
    match (sun.state, sun.rise, sun.set) {
        (DayState::Normal, Some(rise), Some(set)) if rise < set => (rise, set),
        _ => place.zone.day(date),
    }
}

/// The local date of the take.
fn date_of(desk: &Desk) -> NaiveDate {
    desk.site.base.place.zone.local(desk.take.at).naive.date()
}

impl TimePane {
    /// Draws it: `day` as it was followed last from some stand, `is_new` when from this very one.
    pub fn ui(
        &mut self,
        ui: &mut Ui,
        desk: &mut Desk,
        day: Option<&Day>,
        is_new: bool,
        year: YearView,
        chosen: &mut Vec<Command>,
    ) {
        self.play_on(ui, desk);
        ui.horizontal(|ui| {
            self.tabs(ui, chosen);
            ui.separator();
            self.calendar.ui(ui, desk, chosen);
            self.clock(ui, desk);
            button(ui, Command::Earlier, "\u{2212}5 min", chosen);
            button(ui, Command::Later, "+5 min", chosen);
            let word = if self.playing.is_some() {
                "Stop"
            } else {
                "Play"
            };
            button(ui, Command::Play, word, chosen);
            button(ui, Command::BestMinute, "Best minute", chosen);
        });
        ui.add_space(2.0);
        if self.year {
            year::ui(ui, desk, year);
        } else {
            let date = date_of(desk);
            let day = day.filter(|day| day.date == date);
            lanes::ui(ui, desk, day, is_new, span(desk, date));
        }
    }

    fn tabs(&mut self, ui: &mut Ui, chosen: &mut Vec<Command>) {
        for (is_year, word) in [(false, "Day"), (true, "Year")] {
            let picked = self.year == is_year;
            if ui.selectable_label(picked, word).clicked() && !picked {
                chosen.push(Command::Year);
            }
        }
    }

    /// The civil time, to be typed over.
    fn clock(&mut self, ui: &mut Ui, desk: &mut Desk) {
        let zone = &desk.site.base.place.zone;
        let local = zone.local(desk.take.at);
        let told = local.naive.format("%H:%M").to_string();
        let mut text = self.typed.clone().unwrap_or_else(|| told.clone());
        let field = TextEdit::singleline(&mut text)
            .desired_width(52.0)
            .font(theme::bold(theme::TEXT));
        let response = ui
            .add(field)
            .on_hover_text("Civil time at the site. Type another one.");
        response.widget_info(|| theme::field_info("Clock", &text));
        if response.has_focus() {
            self.typed = Some(text.clone());
        }
        // Escape takes back what was typed; what stands there as it stood changes nothing: in the hour that comes twice
        // it would be another instant.
        let cancelled = ui.input(|input| input.key_pressed(egui::Key::Escape));
        if response.lost_focus() && (cancelled || text == told) {
            self.typed = None;
        } else if response.lost_focus() {
            self.typed = None;
            match parse_clock(&text) {
                Some(time) => {
                    let asked = local.naive.date().and_time(time);
                    match zone.instant(asked) {
                        Ok(at) => desk.at(at, "Set the clock"),
                        Err(error) => {
                            if let Some(at) = zone.nearest_instant(asked) {
                                desk.at(at, "Set the clock");
                            }
                            desk.refused = Some(error.to_string());
                        }
                    }
                }
                None => desk.refused = Some(format!("{text:?} is no time of day: \"10:20\"")),
            }
        }
        let zone_text = match local.has_letters() {
            true => format!("{} {}", local.abbreviation, local.offset_text()),
            false => format!("UTC {}", local.offset_text()),
        };
        ui.label(
            RichText::new(zone_text)
                .small()
                .color(theme::page(ui.ctx()).faint),
        );
    }

    /// Starts or stops playing.
    pub fn toggle_play(&mut self, desk: &mut Desk) {
        self.playing = match self.playing {
            Some(_) => None,
            None => {
                let (first, last) = span(desk, date_of(desk));
                if !(first..last).contains(&desk.take.at) {
                    desk.at(first, "Play");
                }
                Some(Instant::now())
            }
        };
    }

    /// Moves the clock on while playing; it stops at sunset.
    fn play_on(&mut self, ui: &Ui, desk: &mut Desk) {
        let Some(since) = self.playing else { return };
        let now = Instant::now();
        let seconds = now.duration_since(since).as_secs_f64() * PLAYED_MIN_PER_S * 60.0;
        // Whole minutes: what is shown can be told.
        let minutes = (seconds / 60.0).floor() as i64;
        if minutes > 0 {
            let (_, last) = span(desk, date_of(desk));
            let next = (desk.take.at + Duration::minutes(minutes)).min(last);
            desk.at(next, "Play");
            self.playing = (next < last).then_some(now);
        }
        ui.ctx().request_repaint();
    }
}

/// "10:20", "1020", "7.05", "9" as a time of day.
fn parse_clock(text: &str) -> Option<NaiveTime> {
    let text = text.trim();
    let (hours, minutes) = match text.split_once([':', '.']) {
        Some((hours, minutes)) => (hours, minutes),
        None if text.len() > 2 && text.is_ascii() => text.split_at(text.len() - 2),
        None => (text, "0"),
    };
    let number = |text: &str| text.trim().parse::<u32>().ok();
    NaiveTime::from_hms_opt(number(hours)?, number(minutes)?, 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_are_read_as_people_type_them() {
        let time = |hours, minutes| NaiveTime::from_hms_opt(hours, minutes, 0);
        for (text, read) in [
            ("10:20", time(10, 20)),
            ("7.05", time(7, 5)),
            ("0915", time(9, 15)),
            (" 9 ", time(9, 0)),
            ("24:00", None),
            ("noon", None),
            ("", None),
            ("12:60", None),
            ("éé1", None),
        ] {
            assert_eq!(parse_clock(text), read, "{text:?}");
        }
    }
}
