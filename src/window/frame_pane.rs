//! The frame on its mount, aimed by hand, with guides and the causes of a
//! finding over it. May not enter: how the picture is drawn.

use super::aiming::Aiming;
use super::screen::Screen;
use super::theme;
use super::viewport::{self, Subject, Viewport};
use crate::camera::exposure::{ev_of_settings, illuminance_lx};
use crate::grade::culprits::{Culprits, Form, Mark, MarkRole, Mask};
use crate::picture::drawing::labels::Labels;
use crate::rehearsal::desk::Desk;
use egui::{
    Align2, Color32, ColorImage, Painter, Pos2, Rect, Sense, Stroke, TextureHandle, Ui, pos2, vec2,
};
use glam::DVec2;
use std::time::{Duration, Instant};

/// The mount's white round the picture, points; the lower edge carries words.
const MOUNT: f32 = 10.0;
const MOUNT_FOOT: f32 = 30.0;
/// Neutral grey round the mount.
const ROUND: f32 = 12.0;

/// The pane's own state.
#[derive(Default)]
pub struct FramePane {
    /// Whether guides are drawn.
    pub guides: bool,
    mask: Option<(u64, TextureHandle)>,
    aiming: Aiming,
}

impl FramePane {
    /// Draws it; says after how long it wants to be drawn again.
    pub fn ui(
        &mut self,
        ui: &mut Ui,
        screen: &mut Screen,
        viewport: &mut Viewport,
        desk: &mut Desk,
    ) -> Option<Duration> {
        let room = ui.available_rect_before_wrap();
        let film = desk.take.setting.kit.film;
        let picture = picture_rect(room, film.width_mm / film.height_mm);
        let mount = mount_rect(picture);
        let painter = ui.painter().clone();
        // Nothing is painted under the picture: it would be paid for at every redraw.
        around(&painter, room, mount, theme::SURROUND);
        around(&painter, mount, picture, theme::MOUNT);
        let pixels = ui.ctx().pixels_per_point();
        let size_px = [picture.width(), picture.height()].map(|v| (v * pixels).round() as usize);
        let response = ui.interact(
            picture,
            ui.scope_id().with("frame"),
            Sense::click_and_drag(),
        );
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "Frame"));
        self.aiming.ui(ui, &response, picture, desk);
        let subject = Subject {
            take: desk.take.clone(),
            exposed_for_lx: exposed_for_lx(desk),
            size_px,
        };
        let frame = viewport.frame(screen, subject, Instant::now());
        match &frame {
            Some(frame) => {
                let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
                painter.image(frame.texture, picture, whole, Color32::WHITE);
            }
            None => {
                painter.rect_filled(picture, 0.0, Color32::from_gray(90));
                let words = match viewport.fault() {
                    Some(fault) => format!("{fault}"),
                    None => "Setting up the site …".to_string(),
                };
                let font = theme::regular(theme::TEXT);
                painter.text(
                    picture.center(),
                    Align2::CENTER_CENTER,
                    words,
                    font,
                    Color32::WHITE,
                );
            }
        }
        let over = painter.with_clip_rect(picture);
        let mut tags = Tags::on(picture);
        self.causes(ui, &over, picture, desk, &mut tags);
        if self.guides {
            guides(&over, picture, desk, &mut tags);
        }
        caption(&painter, mount, picture, desk, frame.as_ref());
        frame.and_then(|frame| frame.again_in)
    }

    /// The pixels that cause the finding that is shown, and its lines.
    fn causes(&mut self, ui: &Ui, painter: &Painter, picture: Rect, desk: &Desk, tags: &mut Tags) {
        let Some(culprits) = desk.pointed() else {
            return;
        };
        let key = std::ptr::from_ref(culprits) as u64;
        if self.mask.as_ref().is_none_or(|(known, _)| *known != key) {
            let image = mask_image(&culprits.mask);
            let options = egui::TextureOptions::LINEAR;
            self.mask = Some((key, ui.ctx().load_texture("causes", image, options)));
        }
        if let Some((_, texture)) = &self.mask {
            let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            painter.image(texture.id(), picture, whole, Color32::WHITE);
        }
        marks(painter, picture, &culprits.marks, tags);
        words(painter, picture, culprits, tags);
    }
}

/// The causes as a veil: what is not to blame is dimmed, what is keeps its colour under a warm tone.
fn mask_image(mask: &Mask) -> ColorImage {
    let veil = |share: &u8| {
        let blame = u32::from(*share);
        let mix = |dim: u32, lit: u32| ((dim * (255 - blame) + lit * blame) / 255) as u8;
        Color32::from_rgba_unmultiplied(mix(20, 255), mix(24, 120), mix(28, 40), mix(120, 130))
    };
    let pixels = mask.values.iter().map(veil).collect();
    ColorImage::new([mask.width, mask.height], pixels)
}

/// Light for which the picture is exposed: as the photographer sets it, else as advised for the last graded frame.
fn exposed_for_lx(desk: &Desk) -> Option<f64> {
    let iso = desk.site.base.kit.film_speed_iso;
    if let Some(seconds) = desk.take.exposure_s {
        return Some(illuminance_lx(
            ev_of_settings(desk.take.setting.kit.f_number, seconds),
            iso,
        ));
    }
    let advice = desk.graded.as_ref()?.graded.advice.as_ref()?;
    let ev = ev_of_settings(advice.aperture.value, advice.shutter.value);
    Some(illuminance_lx(ev, iso))
}

/// The largest picture of these proportions that fits with its mount.
fn picture_rect(room: Rect, proportion: f64) -> Rect {
    let space = vec2(
        room.width() - 2.0 * (MOUNT + ROUND),
        room.height() - MOUNT - MOUNT_FOOT - 2.0 * ROUND,
    )
    .max(vec2(32.0, 32.0));
    let proportion = proportion as f32;
    let width = space.x.min(space.y * proportion);
    let size = vec2(width, width / proportion).floor();
    let corner = room.center() - size / 2.0 - vec2(0.0, (MOUNT_FOOT - MOUNT) / 2.0);
    Rect::from_min_size(corner.floor(), size)
}

fn mount_rect(picture: Rect) -> Rect {
    Rect::from_min_max(
        picture.min - vec2(MOUNT, MOUNT),
        picture.max + vec2(MOUNT, MOUNT_FOOT),
    )
}

/// Fills what lies between two rectangles.
fn around(painter: &Painter, outer: Rect, inner: Rect, color: Color32) {
    let strip = |left: f32, top: f32, right: f32, bottom: f32| {
        let rect = Rect::from_min_max(pos2(left, top), pos2(right, bottom));
        painter.rect_filled(rect, 0.0, color);
    };
    strip(outer.left(), outer.top(), outer.right(), inner.top());
    strip(outer.left(), inner.bottom(), outer.right(), outer.bottom());
    strip(outer.left(), inner.top(), inner.left(), inner.bottom());
    strip(inner.right(), inner.top(), outer.right(), inner.bottom());
}

fn at(picture: Rect, [u, v]: [f64; 2]) -> Pos2 {
    picture.min + vec2(picture.width() * u as f32, picture.height() * v as f32)
}

/// Lines and areas over the picture: each twice, dark under light, so that they are seen on sky and on shadow.
fn marks(painter: &Painter, picture: Rect, marks: &[Mark], tags: &mut Tags) {
    for mark in marks {
        let points: Vec<Pos2> = mark
            .points
            .iter()
            .map(|point| at(picture, *point))
            .collect();
        let color = match mark.role {
            MarkRole::Guide => Color32::from_gray(235),
            MarkRole::Limit => Color32::from_rgb(255, 214, 120),
            MarkRole::Value => Color32::from_rgb(255, 140, 100),
        };
        let (under, over) = (
            Stroke::new(3.0, Color32::from_black_alpha(150)),
            Stroke::new(1.2, color),
        );
        match mark.form {
            Form::Line => {
                painter.line(points.clone(), under);
                painter.line(points, over);
            }
            Form::Area => {
                painter.add(egui::Shape::closed_line(points.clone(), under));
                painter.add(egui::Shape::closed_line(points, over));
            }
        }
    }
    // Words after all lines: none is struck through.
    for mark in marks {
        if let (Some(words), Some(point)) = (&mark.label, mark.points.first()) {
            tags.put(painter, at(picture, *point), words);
        }
    }
}

/// What the causes are called, where they lie; or why there is nothing to be pointed at.
fn words(painter: &Painter, picture: Rect, culprits: &Culprits, tags: &mut Tags) {
    if let Some(label) = &culprits.label {
        let anchor = culprits.anchor.unwrap_or([0.02, 0.02]);
        tags.put(painter, at(picture, anchor), label);
    }
    if let Some(nothing) = &culprits.nothing {
        tags.put(painter, picture.min, nothing);
    }
}

/// Words in the picture, each on a dark field of its own.
struct Tags {
    labels: Labels,
}

impl Tags {
    fn on(picture: Rect) -> Tags {
        let [low, high] = [picture.min, picture.max].map(exact);
        Tags {
            labels: Labels::on(low, high),
        }
    }

    /// Puts words beside a point, inside the picture, where there are none already.
    fn put(&mut self, painter: &Painter, at: Pos2, words: &str) {
        let font = theme::regular(theme::NOTE);
        let galley = painter.layout_no_wrap(words.to_string(), font, Color32::WHITE);
        let size = galley.size() + vec2(8.0, 4.0);
        let low = self.labels.place(exact(at), exact(size.to_pos2()));
        let field = Rect::from_min_size(pos2(low.x as f32, low.y as f32), size);
        painter.rect_filled(field, 0.0, Color32::from_black_alpha(170));
        painter.galley(field.min + vec2(4.0, 2.0), galley, Color32::WHITE);
    }
}

fn exact(at: Pos2) -> DVec2 {
    DVec2::new(at.x.into(), at.y.into())
}

fn guides(painter: &Painter, picture: Rect, desk: &Desk, tags: &mut Tags) {
    if let Some(graded) = desk.graded.as_ref().filter(|_| desk.is_graded()) {
        marks(
            painter,
            picture,
            &desk.room.1.guides(&graded.composed),
            tags,
        );
    }
}

/// The mount's foot: film, lens and minute, as on a slide's mount, and how far the picture has come.
fn caption(
    painter: &Painter,
    mount: Rect,
    picture: Rect,
    desk: &Desk,
    frame: Option<&viewport::Frame>,
) {
    let take = &desk.take;
    let film = take.setting.kit.film;
    let local = desk.site.base.place.zone.local(take.at);
    let left = format!(
        "{:.0} × {:.0} · {:.0} mm · f/{}",
        film.height_mm, film.width_mm, take.stand.lens_mm, take.setting.kit.f_number
    );
    let right = format!(
        "{} {}",
        local.naive.format("%-d %b %Y · %H:%M"),
        local.letters()
    );
    let y = (picture.bottom() + mount.bottom()) / 2.0;
    let font = theme::regular(theme::NOTE);
    let ink = theme::MOUNT_INK;
    let [left, right] = [left, right].map(|words| painter.layout_no_wrap(words, font.clone(), ink));
    let both = left.size().x + right.size().x + 8.0;
    // On a mount too narrow for both the minute is told above anyway.
    if both <= picture.width() {
        let at = pos2(picture.right(), y) - vec2(right.size().x, right.size().y / 2.0);
        painter.galley(at, right, ink);
    }
    painter.galley(pos2(picture.left(), y - left.size().y / 2.0), left, ink);
    let fineness = frame.map_or(0.0, |frame| frame.fineness) as f32;
    if fineness < 1.0 {
        let x = picture.left()..=picture.left() + picture.width() * fineness;
        let stroke = Stroke::new(2.0, theme::MOUNT_INK);
        painter.hline(x, picture.bottom() + 3.0, stroke);
    }
}
