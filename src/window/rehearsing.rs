//! The page of a rehearsal: where, what, how good, and above them when. May not enter: how a panel looks.

use super::screen::Screen;
use super::viewport::Viewport;
use super::{camera_row, frame_pane, header, keys, theme, verdict_sheet};
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::Desk;
use egui::{CentralPanel, Frame, Margin, Panel, Ui};
use std::time::{Duration, Instant};

/// A rehearsal on the screen.
pub struct Rehearsing {
    /// What is rehearsed.
    pub desk: Desk,
    /// Its picture.
    pub viewport: Viewport,
    /// The frame's pane.
    pub frame: frame_pane::FramePane,
    /// The findings.
    pub sheet: verdict_sheet::VerdictSheet,
    /// Commands that were chosen by a button in the last redraw.
    pub chosen: Vec<Command>,
}

impl Rehearsing {
    /// Begins.
    pub fn new(desk: Desk) -> Rehearsing {
        Rehearsing {
            desk,
            viewport: Viewport::default(),
            frame: Default::default(),
            sheet: Default::default(),
            chosen: vec![],
        }
    }

    /// One redraw.
    pub fn ui(&mut self, ui: &mut Ui, screen: &mut Screen) {
        for (setting, room, shaped) in self.desk.take_news() {
            self.viewport.bring(setting, room, shaped);
        }
        for command in keys::pressed(ui.ctx()) {
            self.act(command, ui.ctx());
        }
        let page = theme::page(ui.ctx());
        let panel = |margin: i8| {
            Frame::new()
                .fill(page.paper)
                .inner_margin(Margin::same(margin))
        };
        Panel::top("header")
            .frame(panel(8))
            .resizable(false)
            .show(ui, |ui| header::ui(ui, &self.desk, &mut self.chosen));
        Panel::bottom("told")
            .frame(panel(6))
            .resizable(false)
            .show(ui, |ui| self.told(ui));
        let wide = ui.available_width();
        Panel::right("verdict")
            .frame(panel(8))
            .exact_size((wide * 0.26).clamp(264.0, 380.0))
            .resizable(false)
            .show(ui, |ui| self.sheet.ui(ui, &mut self.desk));
        CentralPanel::default()
            .frame(Frame::new().fill(theme::SURROUND))
            .show(ui, |ui| {
                Panel::bottom("camera")
                    .frame(panel(6))
                    .resizable(false)
                    .show(ui, |ui| camera_row::ui(ui, &mut self.desk));
                let again = self
                    .frame
                    .ui(ui, screen, &mut self.viewport, &mut self.desk);
                if let Some(after) = again {
                    ui.ctx().request_repaint_after(after);
                }
            });
        for command in std::mem::take(&mut self.chosen) {
            self.act(command, ui.ctx());
        }
    }

    /// Carries a command out.
    pub fn act(&mut self, command: Command, ctx: &egui::Context) {
        if self.desk.act(command) {
            ctx.request_repaint();
            return;
        }
        if command == Command::Guides {
            self.frame.guides = !self.frame.guides;
        }
    }

    /// The line at the foot: what was refused, what went wrong, or what the command under the pointer is for.
    fn told(&mut self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        let fault = self.viewport.fault().map(|fault| format!("{fault}"));
        let (text, color) = match (&self.desk.refused, fault) {
            (Some(why), _) => (
                why.clone(),
                page.grade(crate::grade::Grade::Ruinous),
            ),
            (None, Some(fault)) => (fault, page.grade(crate::grade::Grade::Marked)),
            (None, None) => (crate::card::cautions::CAUTIONS[0].to_string(), page.faint),
        };
        let text = egui::RichText::new(text)
            .font(theme::regular(theme::NOTE))
            .color(color);
        ui.label(text);
    }

    /// The clock of the window.
    pub fn now() -> Instant {
        Instant::now()
    }

    /// A redraw is wanted after this.
    pub fn soon(ctx: &egui::Context, after: Duration) {
        ctx.request_repaint_after(after);
    }
}
