//! The tray: frames that were kept, to stand in again, to set side by side, to drop. May not enter: how they are drawn.

use super::slide::{self, Slide};
use super::theme;
use crate::rehearsal::desk::Desk;
use crate::units::Units;
use egui::{RichText, ScrollArea, Ui};

/// Width of a slide.
const SLIDE: f32 = 168.0;

/// The tray's own state.
#[derive(Default)]
pub struct Tray {
    /// Whether it is out.
    pub open: bool,
    /// The frame that is chosen, to be compared.
    pub chosen: Option<u64>,
    slides: slide::Pictures,
}

impl Tray {
    /// Draws it.
    pub fn ui(&mut self, ui: &mut Ui, desk: &mut Desk, units: Units) {
        let page = theme::page(ui.ctx());
        if desk.kept.is_empty() {
            let told = "The tray is empty. Space keeps the present frame.";
            ui.label(RichText::new(told).color(page.faint));
            return;
        }
        let mut stand = None;
        let mut drop = None;
        ScrollArea::horizontal().show(ui, |ui| {
            ui.horizontal(|ui| {
                for kept in &desk.kept {
                    let chosen = self.chosen == Some(kept.number);
                    let slide = Slide::of_kept(desk, kept, ("%-d %b", units), chosen);
                    ui.vertical(|ui| {
                        if self.slides.ui(ui, kept.number, &slide, SLIDE).clicked() {
                            self.chosen = Some(kept.number);
                        }
                        ui.horizontal(|ui| {
                            if ui.small_button("Stand there").clicked() {
                                stand = Some(kept.take.clone());
                            }
                            if ui.small_button("Drop").clicked() {
                                drop = Some(kept.number);
                            }
                        });
                    });
                }
            });
        });
        if let Some(take) = stand {
            desk.lay(take, "Stand in a kept frame");
        }
        if let Some(number) = drop {
            desk.drop_kept(number);
            if self.chosen == Some(number) {
                self.chosen = None;
            }
        }
    }

    /// The kept frame to compare with: the chosen one, else the last.
    pub fn compared(&self, desk: &Desk) -> Option<u64> {
        let chosen = self.chosen.or(desk.kept.last().map(|kept| kept.number))?;
        desk.kept
            .iter()
            .any(|kept| kept.number == chosen)
            .then_some(chosen)
    }
}
