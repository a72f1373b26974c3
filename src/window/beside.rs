//! Beside the frame: a kept one for comparison, or the strip of lenses. May not enter: how they were drawn.

use super::slide::{Pictures, Slide};
use super::theme;
use crate::rehearsal::desk::Desk;
use egui::{Align2, Rect, RichText, ScrollArea, Ui, pos2, vec2};

/// What stands in the middle of the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Middle {
    /// The frame alone.
    #[default]
    Frame,
    /// A kept frame beside it.
    Compare,
    /// The lenses from here.
    Lenses,
}

/// A kept frame as large as its place allows.
pub fn kept(ui: &mut Ui, pictures: &mut Pictures, desk: &Desk, number: Option<u64>) {
    let rect = ui.available_rect_before_wrap();
    let painter = ui.painter().clone();
    let Some(kept) = desk.kept.iter().find(|kept| Some(kept.number) == number) else {
        let words = "Keep a frame first (Space), then set it beside another one.";
        let font = theme::regular(theme::TEXT);
        painter.text(
            rect.center(),
            Align2::CENTER_CENTER,
            words,
            font,
            theme::MOUNT,
        );
        return;
    };
    let slide = Slide::of_kept(desk, kept, "%-d %b %Y", false);
    let page = theme::page(ui.ctx());
    let margin = 12.0;
    let words = 62.0; // lines of words under the picture, and the mount
    let highest = (rect.height() - 2.0 * margin - words).max(32.0) * 1.5;
    let width = (rect.width() - 2.0 * margin).min(highest);
    let top = rect.center().y - (width / 1.5 + 60.0) / 2.0;
    let place = Rect::from_min_size(
        pos2(rect.center().x - width / 2.0, top.max(rect.top() + margin)),
        vec2(width, rect.height()),
    );
    ui.scope_builder(egui::UiBuilder::new().max_rect(place), |ui| {
        // The words lie on paper, as on the sheet.
        let foot = Rect::from_min_size(place.min, vec2(width, width / 1.5 + 62.0));
        ui.painter().rect_filled(foot, 0.0, page.paper);
        pictures.ui(ui, kept.number, &slide, width);
    });
}

/// The lenses from here, as mounted slides.
pub fn lenses(ui: &mut Ui, pictures: &mut Pictures, desk: &Desk) {
    let Some((take, sheet)) = &desk.strip else {
        return;
    };
    let page = theme::page(ui.ctx());
    egui::Frame::new()
        .fill(page.paper)
        .inner_margin(10)
        .show(ui, |ui| {
            ui.set_min_size(ui.available_size());
            let Some(sheet) = sheet else {
                ui.label("Drawing each lens \u{2026}");
                return;
            };
            ui.label(RichText::new(&sheet.title).font(theme::bold(theme::TEXT)));
            ui.label(RichText::new(&sheet.subtitle).small().color(page.faint));
            if *take != desk.take {
                let told = "Of an earlier frame: press Lenses again for this one.";
                ui.label(RichText::new(told).small().color(page.faint));
            }
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                let columns = (ui.available_width() / 230.0).floor().max(1.0);
                let width = (ui.available_width() - 10.0 * (columns - 1.0)) / columns;
                ui.horizontal_wrapped(|ui| {
                    ui.spacing_mut().item_spacing = vec2(10.0, 10.0);
                    for (mount, number) in sheet.mounts.iter().zip(0u64..) {
                        let (verdict, foot) = match &mount.ground {
                            Ok(ground) => {
                                let foot = format!("{} · {ground}", mount.worst);
                                (Some(mount.verdict), foot)
                            }
                            Err(why) => (None, why.clone()),
                        };
                        let slide = Slide {
                            picture: Some(mount.frame.clone()),
                            verdict,
                            score: None,
                            head: mount.left.clone(),
                            line: mount.figures.clone(),
                            foot,
                            chosen: false,
                        };
                        pictures.ui(ui, number, &slide, width);
                    }
                });
            });
        });
}
