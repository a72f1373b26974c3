//! The head of the page: which site, which minute, and the doors to everything else. May not enter: what they open.

use super::theme;
use crate::rehearsal::command::{Command, Listed};
use crate::rehearsal::desk::Desk;
use egui::{Align, Label, Layout, RichText, Ui};

/// Buttons of the head, left to right.
const DOORS: [(Command, &str); 7] = [
    (Command::WhatIf, "What if"),
    (Command::Find, "Find"),
    (Command::Year, "Year"),
    (Command::LensStrip, "Lenses"),
    (Command::Keep, "Keep"),
    (Command::Tray, "Tray"),
    (Command::Commands, "Commands"),
];

/// Draws it; commands chosen are put into `chosen`.
pub fn ui(ui: &mut Ui, desk: &Desk, chosen: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            for (command, word) in DOORS.iter().rev() {
                button(ui, *command, word, chosen);
            }
            let [undo, redo] = desk.steps();
            for (command, word, what) in
                [(Command::Redo, "Redo", redo), (Command::Undo, "Undo", undo)]
            {
                ui.add_enabled_ui(what.is_some(), |ui| {
                    let response = ui.button(word);
                    let told = what.unwrap_or("nothing").to_lowercase();
                    if response
                        .on_hover_text(format!("{word}: {told} ({})", keys_of(command)))
                        .clicked()
                    {
                        chosen.push(command);
                    }
                });
            }
            // The doors come first: a long name gives way, not they.
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| title(ui, desk));
        });
    });
}

/// The site's name, and the minute where there is room for it.
fn title(ui: &mut Ui, desk: &Desk) {
    let page = theme::page(ui.ctx());
    let name = RichText::new(&desk.site.base.name)
        .font(theme::bold(theme::HEAD))
        .color(page.ink);
    ui.add(Label::new(name).truncate());
    let local = desk.site.base.place.zone.local(desk.take.at);
    let when = format!("{}  {}", local.naive.format("%-d %B %Y"), local.time_text());
    let when = ui
        .painter()
        .layout_no_wrap(when, theme::regular(theme::HEAD), page.faint);
    if when.size().x <= ui.available_width() {
        ui.label(when);
    }
}

/// A button for a command, its reason and keys told when the pointer rests on it.
pub fn button<C: Listed>(ui: &mut Ui, command: C, word: &str, chosen: &mut Vec<C>) {
    let entry = command.entry();
    let keys = keys_of(command);
    let told = match keys.is_empty() {
        true => format!("{}. {}", entry.name, entry.why),
        false => format!("{} ({keys}). {}", entry.name, entry.why),
    };
    if ui.button(word).on_hover_text(told).clicked() {
        chosen.push(command);
    }
}

/// Its keys as they are printed.
pub fn keys_of(command: impl Listed) -> String {
    let chords: Vec<String> = command
        .entry()
        .chords
        .iter()
        .map(|chord| chord.text())
        .collect();
    chords.join(" or ")
}
