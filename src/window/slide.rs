//! A small frame on its mount, with verdict, minute and a line or two: in the tray and in the list of what was found. May
//! not enter: how the picture came about.

use super::theme::{self, Page};
use super::verdict_sheet::form;
use crate::grade::{Sheet, Verdict};
use crate::picture::png::Picture;
use crate::rehearsal::desk::{Desk, NOT_THERE};
use crate::rehearsal::kept::Kept;
use crate::rehearsal::take::Take;
use crate::units::Units;
use egui::text::{LayoutJob, TextWrapping};
use egui::{
    Align2, Color32, ColorImage, Galley, Painter, Rect, Response, Sense, Stroke, StrokeKind,
    TextureHandle, Ui, Vec2, pos2, vec2,
};
use std::collections::HashMap;
use std::sync::Arc;

/// What stands on a slide.
pub struct Slide {
    /// The picture, once it has come.
    pub picture: Option<Arc<Picture>>,
    /// What becomes of the frame; none where nobody may stand.
    pub verdict: Option<Verdict>,
    /// Its score, where it is told.
    pub score: Option<f64>,
    /// When.
    pub head: String,
    /// With what, and where.
    pub line: String,
    /// What is worst.
    pub foot: String,
    /// Whether it is chosen.
    pub chosen: bool,
    /// Whether its lines go on below themselves, where they are longer than it is wide; else they are cut.
    pub wraps: bool,
}

impl Slide {
    /// Its verdict in a word, unless nobody may stand there: no grade invites to that.
    pub fn says(&self) -> &'static str {
        self.verdict.map_or(NOT_THERE, Verdict::word)
    }

    /// Of a kept frame; `written` is how its date is, and its lengths.
    pub fn of_kept(desk: &Desk, kept: &Kept, written: (&str, Units), chosen: bool) -> Slide {
        Slide {
            picture: desk.small(kept.number).cloned(),
            chosen,
            ..Slide::of(desk, &kept.take, &kept.sheet, written)
        }
    }

    /// Of a take without its picture.
    pub fn of(desk: &Desk, take: &Take, sheet: &Sheet, (date, units): (&str, Units)) -> Slide {
        let local = desk.site.base.place.zone.local(take.at).naive;
        let worst = sheet.findings.first();
        Slide {
            picture: None,
            verdict: Some(sheet.verdict),
            score: Some(sheet.score),
            head: local.format(&format!("{date}, %H:%M")).to_string(),
            line: format!("{:.0} mm", take.stand.lens_mm),
            foot: worst.map_or(String::new(), |finding| finding.what_in(units).to_string()),
            chosen: false,
            wraps: false,
        }
    }
}

/// Pictures of slides on the device, by their number.
#[derive(Default)]
pub struct Pictures {
    textures: HashMap<u64, (Arc<Picture>, TextureHandle)>,
}

/// Lines of words under a picture, points.
const LINE: f32 = 15.0;
/// Room for all of them.
pub const WORDS: f32 = 3.0 * LINE + 6.0;
const MOUNT: f32 = 6.0;

impl Pictures {
    /// The texture of a picture.
    pub fn texture(&mut self, ui: &Ui, number: u64, picture: &Arc<Picture>) -> &TextureHandle {
        let known = (self.textures.get(&number)).is_some_and(|(of, _)| Arc::ptr_eq(of, picture));
        if !known {
            let pixels = picture.pixels_srgb.iter();
            let pixels = pixels.map(|[r, g, b]| Color32::from_rgb(*r, *g, *b));
            let image = ColorImage::new([picture.width, picture.height], pixels.collect());
            let options = egui::TextureOptions::LINEAR;
            let texture = ui.ctx().load_texture("slide", image, options);
            self.textures.insert(number, (Arc::clone(picture), texture));
        }
        &self.textures[&number].1
    }

    /// Draws a slide of a width; it can be pressed.
    pub fn ui(&mut self, ui: &mut Ui, number: u64, slide: &Slide, width: f32) -> Response {
        let page = theme::page(ui.ctx());
        let picture_width = width - 2.0 * MOUNT;
        let proportion = slide
            .picture
            .as_ref()
            .map_or(1.5, |picture| picture.width as f32 / picture.height as f32);
        let picture_height = (picture_width / proportion).min(picture_width);
        let mut words_height = WORDS;
        if slide.wraps {
            let lines = lines(ui.painter(), &page, slide, width);
            words_height = LINE + 6.0 + lines.map(|one| one.size().y.max(LINE)).iter().sum::<f32>();
        }
        let size = vec2(width, picture_height + 2.0 * MOUNT + words_height);
        let (rect, response) = ui.allocate_exact_size(size, Sense::click());
        response.widget_info(|| {
            let text = format!("Frame {} {} · {}", slide.says(), slide.head, slide.line);
            egui::WidgetInfo::labeled(egui::Role::Button, true, text)
        });
        let mount = Rect::from_min_size(rect.min, vec2(width, picture_height + 2.0 * MOUNT));
        let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
        let paper = match response.hovered() {
            true => theme::SLIDE_UNDER_POINTER,
            false => theme::SLIDE,
        };
        painter.rect_filled(mount, 0.0, paper);
        let inner = mount.shrink(MOUNT);
        painter.rect_filled(inner, 0.0, Color32::from_gray(110));
        if let Some(picture) = &slide.picture {
            let texture = self.texture(ui, number, picture);
            let shown = Vec2::new(inner.height() * proportion, inner.height()).min(inner.size());
            let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            let rect = Rect::from_center_size(inner.center(), shown);
            painter.image(texture.id(), rect, whole, Color32::WHITE);
        }
        words(&painter, &page, slide, rect, mount.bottom());
        // Round the slide, on the page: on the mount a light ink would not be seen.
        let width = match (response.has_focus(), slide.chosen) {
            (true, _) => 3.0,
            (false, true) => 2.0,
            (false, false) => 0.0,
        };
        let edge = Stroke::new(width, page.ink);
        ui.painter()
            .rect_stroke(rect, 0.0, edge, StrokeKind::Outside);
        response
    }
}

/// The words of a slide, under its picture, which ends at `top`.
pub fn words(painter: &Painter, page: &Page, slide: &Slide, rect: Rect, top: f32) {
    let square = Rect::from_min_size(pos2(rect.left() + 4.0, top + 4.0), Vec2::splat(12.0));
    theme::mark(
        painter,
        square,
        form(slide.verdict.unwrap_or(Verdict::Lost)),
        page,
    );
    let verdict = slide.says().to_uppercase();
    let line = |n: f32| top + 3.0 + LINE * (n + 0.5);
    let at = pos2(rect.left() + 20.0, line(0.0));
    let font = theme::bold(theme::NOTE);
    painter.text(at, Align2::LEFT_CENTER, verdict, font, page.ink);
    let score = slide
        .score
        .map_or(String::new(), |score| format!("{score:.1}"));
    let at = pos2(rect.right() - 4.0, line(0.0));
    let font = theme::regular(theme::NOTE);
    painter.text(at, Align2::RIGHT_CENTER, score, font.clone(), page.ink);
    let mut top = top + 3.0 + LINE;
    for galley in lines(painter, page, slide, rect.width()) {
        let height = galley.size().y;
        painter.galley(pos2(rect.left() + 4.0, top), galley, page.ink);
        top += height.max(LINE);
    }
}

/// The lines under the verdict: when, where and with what; what is worst.
fn lines(painter: &Painter, page: &Page, slide: &Slide, width: f32) -> [Arc<Galley>; 2] {
    let head = format!("{} · {}", slide.head, slide.line);
    let font = theme::regular(theme::NOTE);
    [(head, page.ink), (slide.foot.clone(), page.faint)].map(|(text, color)| {
        let mut job = LayoutJob::simple(text, font.clone(), color, width - 8.0);
        if !slide.wraps {
            job.wrap = TextWrapping::truncate_at_width(width - 8.0);
        }
        painter.layout_job(job)
    })
}
