//! The lines above and below a photograph that is marked: which one and what can be done with it, the point that is marked
//! next, what was told last. May not enter: what any of it does.

use super::MarkingPage;
use super::trouble::first_line;
use crate::grade::Grade;
use crate::grade::wording::sentence_case;
use crate::judge::keeping::Unkept;
use crate::judge::marks::Given;
use crate::rehearsal::marking::Marking;
use crate::rehearsal::marking::command::MarkCommand;
use crate::rehearsal::marking::session::State;
use crate::window::header::{button, keys_of};
use crate::window::theme;
use egui::{Align, Label, Layout, RichText, Ui};

/// Keys of the cross, told where the line is so wide, points.
const HELP: &str = "Arrows 1 px, Shift 0.1, Alt 10, Ctrl 100 · Tab next point · Enter marks · E expected · / all keys";
const HELP_FROM: f32 = 1000.0;

impl MarkingPage {
    pub(super) fn header(&mut self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        let (at, count) = (self.session.at, self.session.photos.len());
        let steps = self
            .session
            .marking()
            .map_or([None, None], |marking| marking.steps());
        let is_judged = self.take().is_some();
        let marking = self.session.marking();
        let site = marking.map(|marking| marking.room.scene.name.clone());
        let name = self.session.path().file_name().unwrap_or_default();
        let name = name.to_string_lossy().into_owned();
        let chosen = &mut self.chosen;
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            button(ui, MarkCommand::Leave, "Back", chosen);
            button(ui, MarkCommand::Commands, "Commands", chosen);
            ui.add_enabled_ui(is_judged, |ui| {
                button(ui, MarkCommand::Rehearse, "Rehearse from here", chosen);
                button(ui, MarkCommand::StoodHere, "I stood here", chosen);
            });
            let [undo, redo] = steps;
            for (command, word, what) in [
                (MarkCommand::Redo, "Redo", redo),
                (MarkCommand::Undo, "Undo", undo),
            ] {
                ui.add_enabled_ui(what.is_some(), |ui| {
                    let told = what.unwrap_or("nothing").to_lowercase();
                    let told = format!("{word}: {told} ({})", keys_of(command));
                    if ui.button(word).on_hover_text(told).clicked() {
                        chosen.push(command);
                    }
                });
            }
            if count > 1 {
                ui.add_enabled_ui(at + 1 < count, |ui| {
                    button(ui, MarkCommand::NextPhoto, "Next", chosen);
                });
                ui.label(RichText::new(format!("{} of {count}", at + 1)).color(page.faint));
                ui.add_enabled_ui(at > 0, |ui| {
                    button(ui, MarkCommand::PreviousPhoto, "Before", chosen);
                });
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let title = RichText::new(name)
                    .font(theme::bold(theme::HEAD))
                    .color(page.ink);
                ui.add(Label::new(title).truncate());
                if let Some(site) = site {
                    ui.add(Label::new(RichText::new(site).color(page.faint)).truncate());
                }
            });
        });
    }

    /// The point that is marked next, and what is done about it.
    pub(super) fn next(&mut self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        let outlined = self.pane.outlined;
        let State::Open(marking) = &mut self.session.state else {
            match self.session.state {
                State::Failed(_) => button(
                    ui,
                    MarkCommand::ReadPhoto,
                    "Read the photograph again",
                    &mut self.chosen,
                ),
                _ => drop(ui.label("")),
            }
            return;
        };
        let chosen = &mut self.chosen;
        let is_marked = marking.mark_of(marking.chosen).is_some();
        let count = marking.given.marks.len();
        ui.horizontal(|ui| {
            let verb = if is_marked { "Marked:" } else { "Mark the" };
            ui.label(RichText::new(verb).color(page.faint));
            let words = &marking.point().words;
            let words = if is_marked {
                sentence_case(words)
            } else {
                words.clone()
            };
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let note = format!("{count} marked");
                ui.label(
                    RichText::new(note)
                        .font(theme::regular(theme::NOTE))
                        .color(page.faint),
                );
                let words = RichText::new(words)
                    .font(theme::bold(theme::TEXT))
                    .color(page.ink);
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.add(Label::new(words).truncate());
                });
            });
        });
        ui.horizontal(|ui| {
            button(ui, MarkCommand::TakePlace, "Mark here", chosen);
            button(ui, MarkCommand::Helpful, "Helps most", chosen);
            ui.add_enabled_ui(is_marked, |ui| {
                button(ui, MarkCommand::RemoveMark, "Take away", chosen);
            });
            button(ui, MarkCommand::ToExpected, "Expected", chosen);
            button(ui, MarkCommand::OtherSide, "Other side", chosen);
            let word = if outlined { "Outline off" } else { "Outline" };
            button(ui, MarkCommand::Outline, word, chosen);
            button(ui, MarkCommand::Whole, "Whole", chosen);
        });
    }

    /// The line at the foot: what was done or refused, else where marks are kept.
    pub(super) fn told(&mut self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        let marking = self.session.marking().map(|marking| &*marking);
        let told = marking.and_then(|marking| marking.told.clone());
        let (text, color) = match told.or_else(|| self.told.clone()) {
            _ if self.leaves.is_some() => ("The marks are being written \u{2026}".into(), page.ink),
            Some(Err(why)) => (why, page.grade(Grade::Ruinous)),
            Some(Ok(what)) => (what, page.ink),
            None => {
                let kept = marking.map_or(String::new(), kept);
                let told = format!("{kept}Nothing is ever written into a photograph.");
                (told, page.faint)
            }
        };
        let (first, has_more) = first_line(&text);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if has_more && ui.button("Details").clicked() {
                self.details = Some(text.clone());
            }
            let told = RichText::new(first)
                .font(theme::regular(theme::NOTE))
                .color(color);
            if ui.available_width() > HELP_FROM {
                let help = RichText::new(HELP).font(theme::regular(theme::NOTE));
                ui.label(help.color(page.faint));
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(Label::new(told).truncate());
            });
        });
    }
}

/// Where marks are kept, and since when.
fn kept(marking: &Marking) -> String {
    let file = marking.marks_file().file_name().unwrap_or_default();
    let file = file.to_string_lossy();
    match marking.kept_at() {
        // It was, until another hand came.
        _ if marking.is_kept() && matches!(marking.unkept(), Some(Unkept::Changed(_))) => {
            String::new()
        }
        _ if marking.unkept().is_some() => "Not kept, as is said above. ".to_string(),
        _ if !marking.is_kept() => format!("To be kept in {file}. "),
        Some(at) => format!("Kept in {file} at {}. ", marking.clock(at)),
        None if marking.given == Given::default() => {
            format!("Marks will be kept in {file} at every change. ")
        }
        None => format!("Kept in {file}. "),
    }
}
