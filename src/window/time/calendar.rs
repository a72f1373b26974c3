//! A month's page to choose a date from, with buttons to step by days. May not enter: what a date is good for.

use super::date_of;
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::Desk;
use crate::window::header::button;
use crate::window::theme;
use chrono::{Datelike, Months, NaiveDate};
use egui::{Grid, Popup, PopupCloseBehavior, RichText, Ui};

/// The calendar's own state.
#[derive(Default)]
pub struct Calendar {
    /// First of the month that is shown; none for the take's own.
    month: Option<NaiveDate>,
}

impl Calendar {
    /// The date, its steps, and the month's page when it is pressed.
    pub fn ui(&mut self, ui: &mut Ui, desk: &mut Desk, chosen: &mut Vec<Command>) {
        let date = date_of(desk);
        button(ui, Command::DayBefore, "\u{2212}", chosen);
        let told = date.format("%a %-d %b %Y").to_string();
        let opener = ui
            .button(RichText::new(told).font(theme::bold(theme::TEXT)))
            .on_hover_text("Choose a date. Page up and page down step by days.");
        button(ui, Command::DayAfter, "+", chosen);
        let shown = Popup::from_toggle_button_response(&opener)
            .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
            .show(|ui| self.month(ui, date));
        match shown {
            Some(inner) => {
                if let Some(picked) = inner.inner {
                    let zone = &desk.site.base.place.zone;
                    let local = zone.local(desk.take.at).naive;
                    if let Some(at) = zone.nearest_instant(picked.and_time(local.time())) {
                        desk.at(at, "Choose a date");
                    }
                    Popup::close_all(ui.ctx());
                }
            }
            None => self.month = None,
        }
    }

    fn month(&mut self, ui: &mut Ui, date: NaiveDate) -> Option<NaiveDate> {
        let own = date.with_day(1).unwrap_or(date);
        let first = self.month.unwrap_or(own);
        let mut picked = None;
        ui.horizontal(|ui| {
            let mut step = |ui: &mut Ui, word: &str, months: i32| {
                if ui.button(word).clicked() {
                    let by = Months::new(months.unsigned_abs());
                    self.month = match months < 0 {
                        true => first.checked_sub_months(by),
                        false => first.checked_add_months(by),
                    };
                }
            };
            step(ui, "\u{2212}12", -12);
            step(ui, "\u{2212}1", -1);
            let told = first.format("%B %Y").to_string();
            ui.add_sized(
                [120.0, 22.0],
                egui::Label::new(RichText::new(told).font(theme::bold(theme::TEXT))),
            );
            step(ui, "+1", 1);
            step(ui, "+12", 12);
        });
        Grid::new("month").num_columns(7).show(ui, |ui| {
            for day in ["Mo", "Tu", "We", "Th", "Fr", "Sa", "Su"] {
                ui.label(RichText::new(day).small().weak());
            }
            ui.end_row();
            let before = first.weekday().num_days_from_monday();
            for _ in 0..before {
                ui.label("");
            }
            let days = first
                .iter_days()
                .take_while(|day| day.month() == first.month());
            for day in days {
                let word = day.day().to_string();
                if ui.selectable_label(day == date, word).clicked() {
                    picked = Some(day);
                }
                if day.weekday() == chrono::Weekday::Sun {
                    ui.end_row();
                }
            }
        });
        picked
    }
}
