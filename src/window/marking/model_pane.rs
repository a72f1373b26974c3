//! The machine in lines with its named points on it: the one that is chosen ringed, those that are marked filled; each can
//! be pressed. May not enter: the photograph.

use crate::grade::Grade;
use crate::rehearsal::marking::Marking;
use crate::rehearsal::marking::points::Corner;
use crate::window::theme::{self, Page};
use egui::{
    Color32, ColorImage, Painter, Pos2, Rect, Sense, Stroke, TextureHandle, Ui, pos2, vec2,
};
use std::sync::Arc;

/// A point is meant within so many points of the screen.
const REACH: f32 = 11.0;

/// The pane's own state.
#[derive(Default)]
pub struct ModelPane {
    drawn: Option<(usize, TextureHandle)>,
}

impl ModelPane {
    /// Draws it, as wide as there is room.
    pub fn ui(&mut self, ui: &mut Ui, marking: &mut Marking) {
        let page = theme::page(ui.ctx());
        let corner = marking.drawings.showing(marking.corner(), marking.point());
        let Some(drawing) = marking.drawings.from(corner).map(Arc::clone) else {
            return;
        };
        let width = ui.available_width();
        let proportion = drawing.view.height as f32 / drawing.view.width as f32;
        let size = vec2(width, (width * proportion).ceil());
        let (rect, response) = ui.allocate_exact_size(size, Sense::click());
        let words = words(marking, corner);
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, &words));
        let key = Arc::as_ptr(&drawing) as usize;
        if self.drawn.as_ref().is_none_or(|(of, _)| *of != key) {
            let ink = drawing
                .ink
                .iter()
                .map(|ink| Color32::from_white_alpha(*ink));
            let image = ColorImage::new([drawing.view.width, drawing.view.height], ink.collect());
            let options = egui::TextureOptions::LINEAR;
            self.drawn = Some((key, ui.ctx().load_texture("machine", image, options)));
        }
        let painter = ui.painter().with_clip_rect(rect);
        painter.rect_filled(rect, 0.0, page.field);
        if let Some((_, texture)) = &self.drawn {
            let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            painter.image(texture.id(), rect, whole, page.ink);
        }
        painter.rect_stroke(
            rect,
            0.0,
            Stroke::new(1.0, page.rule),
            egui::StrokeKind::Inside,
        );
        let scale = f64::from(rect.width()) / drawing.view.width as f64;
        let at = |point: usize| -> Option<Pos2> {
            let position_m = marking.model.points[point].position_m;
            let place = drawing.place(position_m)? * scale;
            drawing
                .sees(position_m)
                .then(|| rect.min + vec2(place.x as f32, place.y as f32))
        };
        let places: Vec<(usize, Pos2)> = (0..marking.model.points.len())
            .filter_map(|point| Some((point, at(point)?)))
            .collect();
        for (point, at) in &places {
            self::point(&painter, &page, *at, marking, *point);
        }
        let under = response.hover_pos().and_then(|pointer| {
            let near = places.iter().filter(|(_, at)| at.distance(pointer) < REACH);
            near.min_by(|(_, a), (_, b)| a.distance(pointer).total_cmp(&b.distance(pointer)))
        });
        if let Some((point, at)) = under.copied() {
            painter.circle_stroke(at, 6.0, Stroke::new(1.0, page.ink));
            let told = marking.model.points[point].words.clone();
            if response.clone().on_hover_text_at_pointer(told).clicked() {
                marking.choose(point);
            }
        }
    }
}

fn words(marking: &Marking, corner: Corner) -> String {
    let model = &marking.model;
    let end = if corner.head {
        &model.head
    } else {
        &model.rear
    };
    format!(
        "Machine from its {}, {} side",
        end.words(),
        corner.side.word()
    )
}

/// One point: an open ring, filled once it is marked; a wide ring round the chosen one.
fn point(painter: &Painter, page: &Page, at: Pos2, marking: &Marking, point: usize) {
    let mark = page.grade(Grade::Marked);
    let marked = marking.mark_of(point).is_some();
    if point == marking.chosen {
        painter.circle_filled(at, 10.0, mark.gamma_multiply(0.22));
        painter.circle_stroke(at, 10.0, Stroke::new(2.0, mark));
        painter.circle_filled(at, 3.0, mark);
        return;
    }
    match marked {
        true => {
            painter.circle_filled(at, 4.0, page.ink);
        }
        false => {
            painter.circle_filled(at, 3.0, page.field);
            painter.circle_stroke(at, 3.0, Stroke::new(1.2, page.ink));
        }
    }
}
