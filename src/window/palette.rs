//! The list of commands, searched by word. May not enter: what they do.

use super::header::keys_of;
use super::theme;
use crate::rehearsal::command::Listed;
use egui::{Align, Key, Layout, Modal, Response, RichText, ScrollArea, Sense, TextEdit, Ui};

/// The list's own state.
#[derive(Default)]
pub struct Palette {
    open: bool,
    /// It has not been drawn yet.
    fresh: bool,
    typed: String,
    at: usize,
}

impl Palette {
    /// Opens it.
    pub fn open(&mut self) {
        *self = Palette {
            open: true,
            fresh: true,
            ..Palette::default()
        };
    }

    /// Whether it is open.
    pub fn is_open(&self) -> bool {
        self.open
    }

    /// Draws it, if it is open; the command that was chosen.
    pub fn ui<C: Listed>(&mut self, ui: &mut Ui) -> Option<C> {
        if !self.open {
            return None;
        }
        let mut chosen = None;
        let modal = Modal::new(egui::Id::unique("commands")).show(ui.ctx(), |ui| {
            ui.set_width(520.0);
            let field = TextEdit::singleline(&mut self.typed)
                .hint_text("Find a command")
                .desired_width(f32::INFINITY);
            let response = ui.add(field);
            response.widget_info(|| theme::field_info("Words of a command", &self.typed));
            // Once: asked for at every redraw, it would ask for the next one.
            if std::mem::take(&mut self.fresh) {
                response.request_focus();
            }
            if response.changed() {
                self.at = 0;
            }
            let found = C::matching(&self.typed);
            let step = |key| ui.input(|input| input.key_pressed(key));
            let before = self.at;
            if step(Key::ArrowDown) {
                self.at = (self.at + 1).min(found.len().saturating_sub(1));
            }
            if step(Key::ArrowUp) {
                self.at = self.at.saturating_sub(1);
            }
            if step(Key::Enter) {
                chosen = found.get(self.at).copied();
            }
            ScrollArea::vertical().max_height(380.0).show(ui, |ui| {
                for (n, command) in found.iter().enumerate() {
                    let response = line(ui, *command, n == self.at);
                    // Only when it moved: a list that is asked to scroll asks for another redraw.
                    if n == self.at && self.at != before {
                        response.scroll_to_me(None);
                    }
                    if response.clicked() {
                        chosen = Some(*command);
                    }
                }
                if found.is_empty() {
                    ui.label("No command has these words.");
                }
            });
        });
        if modal.should_close() || chosen.is_some() {
            self.open = false;
        }
        chosen
    }
}

/// One command with its keys and reason.
fn line(ui: &mut Ui, command: impl Listed, at: bool) -> Response {
    let page = theme::page(ui.ctx());
    let entry = command.entry();
    let response = ui
        .scope_builder(egui::UiBuilder::new().sense(Sense::click()), |ui| {
            let fill = if at { page.field } else { page.paper };
            egui::Frame::new()
                .fill(fill)
                .inner_margin(4)
                .show(ui, |ui| {
                    ui.set_width(ui.available_width());
                    ui.horizontal(|ui| {
                        ui.label(RichText::new(entry.name).font(theme::bold(theme::TEXT)));
                        ui.label(RichText::new(entry.family.word()).small().color(page.faint));
                        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                            ui.label(keys_of(command));
                        });
                    });
                    ui.label(RichText::new(entry.why).small().color(page.faint));
                });
        })
        .response;
    ui.add_space(1.0);
    response
}
