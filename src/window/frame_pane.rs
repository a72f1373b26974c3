//! The frame on its mount, aimed by hand, with guides and the causes of a
//! finding over it. May not enter: how the picture is drawn.

use super::aiming::Aiming;
use super::mount::Mounted;
use super::screen::Screen;
use super::theme;
use super::viewport::{Subject, Viewport};
use crate::camera::exposure::{ev_of_settings, illuminance_lx};
use crate::grade::culprits::{Culprits, Form, Mark, MarkRole, Mask};
use crate::picture::drawing::labels::Labels;
use crate::rehearsal::desk::Desk;
use crate::units::Units;
use egui::{
    Align2, Color32, ColorImage, Painter, Pos2, Rect, Sense, Stroke, TextureHandle, Ui, pos2, vec2,
};
use glam::DVec2;
use std::time::{Duration, Instant};

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
        (desk, units): (&mut Desk, Units),
    ) -> Option<Duration> {
        let room = ui.available_rect_before_wrap();
        let painter = ui.painter().clone();
        let mounted = Mounted::paint(&painter, room, &desk.take.setting.kit.film);
        let picture = mounted.picture;
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
        self.causes(ui, &over, picture, (desk, units), &mut tags);
        if let Some(words) = night(desk) {
            tags.put(&over, picture.center(), &words);
        }
        if self.guides {
            guides(&over, picture, desk, &mut tags);
        }
        let zone = &desk.site.base.place.zone;
        mounted.caption(&painter, &desk.take, zone);
        if let Some(frame) = &frame {
            mounted.fineness(&painter, frame.fineness as f32);
        }
        frame.and_then(|frame| frame.again_in)
    }

    /// The pixels that cause the finding that is shown, and its lines.
    fn causes(
        &mut self,
        ui: &Ui,
        painter: &Painter,
        picture: Rect,
        (desk, units): (&Desk, Units),
        tags: &mut Tags,
    ) {
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
        words(painter, picture, culprits, units, tags);
    }
}

/// Why the frame is dark, where the sun is down.
fn night(desk: &Desk) -> Option<String> {
    let graded = desk.graded.as_ref().filter(|_| desk.is_graded())?;
    let moment = graded.minute.moment();
    let below_deg = -moment.sun.elevation_deg;
    let told = || format!("Night: the sun is {below_deg:.0}° below the horizon");
    // By the end of civil twilight, when the sun is 6° down, it is dark (by definition).
    (below_deg > 6.0).then(told)
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
fn words(painter: &Painter, picture: Rect, culprits: &Culprits, units: Units, tags: &mut Tags) {
    if let Some(label) = culprits.label_in(units) {
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
