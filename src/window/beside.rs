//! Beside the frame: a kept one for comparison, or the strip of lenses. May not enter: how they were drawn.

use super::mount::Mounted;
use super::slide::{self, Pictures, Slide};
use super::theme;
use crate::rehearsal::desk::Desk;
use crate::units::Units;
use egui::{Align2, Color32, Painter, Rect, RichText, ScrollArea, Sense, Ui, pos2, vec2};

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

/// Two halves of the same size, side by side, each with room for words at its foot.
pub fn halves(room: Rect) -> [Half; 2] {
    let width = (room.width() / 2.0).floor();
    let foot = (room.bottom() - slide::WORDS - 4.0).max(room.top());
    [0.0, 1.0].map(|n| {
        let left = room.left() + n * (room.width() - width);
        let across = |top, bottom| Rect::from_min_max(pos2(left, top), pos2(left + width, bottom));
        Half {
            frame: across(room.top(), foot),
            words: across(foot, room.bottom()),
        }
    })
}

/// Where one of two frames side by side lies, and its words.
#[derive(Clone, Copy, Debug)]
pub struct Half {
    /// The frame on its mount.
    pub frame: Rect,
    /// What is said of it.
    pub words: Rect,
}

impl Half {
    /// Says what is to be said of its frame.
    pub fn says(&self, painter: &Painter, page: &theme::Page, slide: &Slide) {
        // The words lie on paper, as on the sheet.
        painter.rect_filled(self.words, 0.0, page.paper);
        slide::words(
            painter,
            page,
            slide,
            self.words.shrink2(vec2(8.0, 0.0)),
            self.words.top(),
        );
    }
}

/// A kept frame, mounted as the present one is.
pub fn kept(
    ui: &Ui,
    half: &Half,
    pictures: &mut Pictures,
    desk: &Desk,
    (number, units): (Option<u64>, Units),
) {
    let painter = ui.painter();
    let page = theme::page(ui.ctx());
    let Some(kept) = desk.kept.iter().find(|kept| Some(kept.number) == number) else {
        painter.rect_filled(half.frame, 0.0, theme::SURROUND);
        painter.rect_filled(half.words, 0.0, page.paper);
        let words = "Keep a frame first (Space), then set it beside another one.";
        let font = theme::regular(theme::TEXT);
        painter.text(
            half.frame.center(),
            Align2::CENTER_CENTER,
            words,
            font,
            theme::MOUNT,
        );
        return;
    };
    let mounted = Mounted::paint(painter, half.frame, &kept.take.setting.kit.film);
    let picture = mounted.picture;
    painter.rect_filled(picture, 0.0, Color32::from_gray(90));
    let slide = Slide::of_kept(desk, kept, ("%-d %b %Y", units), false);
    if let Some(drawn) = &slide.picture {
        let texture = pictures.texture(ui, kept.number, drawn);
        let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
        painter.image(texture.id(), picture, whole, Color32::WHITE);
    }
    let take = &kept.take;
    let with = (&take.setting.kit, take.stand.lens_mm);
    mounted.caption(painter, with, take.at, &desk.site.base.place.zone);
    let response = ui.interact(picture, ui.scope_id().with("kept frame"), Sense::hover());
    response.widget_info(|| {
        let label = format!("Kept frame {}", slide.says());
        egui::WidgetInfo::labeled(egui::Role::Image, true, label)
    });
    half.says(painter, &page, &slide);
}

/// What is said of the present frame, as it was graded last.
pub fn present(ui: &Ui, half: &Half, desk: &Desk, units: Units) {
    let (painter, page) = (ui.painter(), theme::page(ui.ctx()));
    match &desk.graded {
        Some(one) => {
            let slide = Slide::of(desk, &one.take, &one.graded.sheet, ("%-d %b %Y", units));
            half.says(painter, &page, &slide);
        }
        None => {
            painter.rect_filled(half.words, 0.0, page.paper);
        }
    }
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
                                (mount.verdict, foot)
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
                            wraps: false,
                        };
                        pictures.ui(ui, number, &slide, width);
                    }
                });
            });
        });
}
