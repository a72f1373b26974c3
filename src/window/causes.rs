//! What causes a finding, drawn over a frame: a veil, lines, words. May not enter: which finding, whose frame.

use super::theme;
use crate::grade::culprits::{Culprits, Form, Mark, MarkRole, Mask};
use crate::picture::drawing::labels::Labels;
use crate::units::Units;
use egui::{Color32, ColorImage, Painter, Pos2, Rect, Stroke, TextureHandle, Ui, pos2, vec2};
use glam::DVec2;
use std::sync::Arc;

/// The veil that was drawn last.
#[derive(Default)]
pub struct Causes {
    mask: Option<(Arc<Culprits>, TextureHandle)>,
}

impl Causes {
    /// Draws the pixels that cause a finding, and its lines.
    pub fn ui(
        &mut self,
        ui: &Ui,
        painter: &Painter,
        picture: Rect,
        (culprits, units): (&Arc<Culprits>, Units),
        tags: &mut Tags,
    ) {
        let known = (self.mask.as_ref()).is_some_and(|(known, _)| Arc::ptr_eq(known, culprits));
        if !known {
            let image = mask_image(&culprits.mask);
            let options = egui::TextureOptions::LINEAR;
            let key = Arc::clone(culprits);
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

fn at(picture: Rect, [u, v]: [f64; 2]) -> Pos2 {
    picture.min + vec2(picture.width() * u as f32, picture.height() * v as f32)
}

/// Lines and areas over the picture: each twice, dark under light, so that they are seen on sky and on shadow.
pub fn marks(painter: &Painter, picture: Rect, marks: &[Mark], tags: &mut Tags) {
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
pub struct Tags {
    labels: Labels,
}

impl Tags {
    /// Over a picture.
    pub fn on(picture: Rect) -> Tags {
        let [low, high] = [picture.min, picture.max].map(exact);
        Tags {
            labels: Labels::on(low, high),
        }
    }

    /// Puts words beside a point, inside the picture, where there are none already.
    pub fn put(&mut self, painter: &Painter, at: Pos2, words: &str) {
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
