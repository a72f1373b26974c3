//! What is drawn over a photograph: marks, places where points are expected, the machine's outline, the cross. Each stroke
//! lies on one of another tone, so that it is seen on sky and on shadow. May not enter: what the pointer does.

use super::loupe::Spot;
use super::sight::Laid;
use crate::judge::outline::Outline;
use crate::rehearsal::marking::Marking;
use crate::window::theme;
use egui::{Color32, ColorImage, Painter, Pos2, Rect, Stroke, vec2};

/// Colours over a photograph: marks, the point that is chosen, what contradicts.
const MARKED: Color32 = Color32::from_rgb(255, 255, 255);
const CHOSEN: Color32 = Color32::from_rgb(255, 205, 96);
const WRONG: Color32 = Color32::from_rgb(158, 32, 20);
const EXPECTED: Color32 = Color32::from_rgb(150, 214, 255);
const OUTLINE: Color32 = Color32::from_rgb(150, 214, 255);

/// Marks and expected places; those that the magnifier shows too.
pub(super) fn places(painter: &Painter, laid: &Laid, marking: &Marking) -> Vec<Spot> {
    let fit = marking.fresh().and_then(|found| found.fit.as_ref().ok());
    let wrong = |name: &str| fit.is_some_and(|fit| fit.mismarked().any(|one| one.name == name));
    let (mut spots, mut mismarked) = (vec![], vec![]);
    for point in 0..marking.model.points.len() {
        let is_chosen = point == marking.chosen;
        let expected = marking.expected_px(point);
        match marking.mark_of(point) {
            Some(mark) => {
                let color = match (
                    wrong(&mark.name),
                    is_chosen || marking.held() == Some(point),
                ) {
                    (true, _) => WRONG,
                    (false, true) => CHOSEN,
                    (false, false) => MARKED,
                };
                plus(painter, laid.at(mark.at_px), color);
                if wrong(&mark.name) {
                    let at = laid.at(mark.at_px);
                    mismark(painter, at, expected.map(|px| laid.at(px)));
                    mismarked.push(at);
                }
                spots.push(Spot {
                    at_px: mark.at_px,
                    color,
                });
            }
            None => {
                let Some(at_px) = expected.filter(|_| marking.is_seen(point)) else {
                    continue;
                };
                let color = if is_chosen { CHOSEN } else { EXPECTED };
                let radius = if is_chosen { 8.0 } else { 4.0 };
                ring(painter, laid.at(at_px), radius, color);
                spots.push(Spot { at_px, color });
            }
        }
    }
    let all: Vec<Pos2> = spots.iter().map(|spot| laid.at(spot.at_px)).collect();
    for at in mismarked {
        called(painter, at, &all);
    }
    spots
}

fn line(painter: &Painter, ends: [Pos2; 2], color: Color32) {
    painter.line_segment(ends, Stroke::new(3.5, Color32::from_black_alpha(140)));
    painter.line_segment(ends, Stroke::new(1.5, color));
}

fn ring(painter: &Painter, at: Pos2, radius: f32, color: Color32) {
    painter.circle_stroke(at, radius, Stroke::new(3.5, Color32::from_black_alpha(110)));
    painter.circle_stroke(at, radius, Stroke::new(1.5, color));
}

/// Four strokes round a place, from so far to so far.
fn strokes(painter: &Painter, at: Pos2, [from, to]: [f32; 2], color: Color32) {
    for way in [
        vec2(1.0, 0.0),
        vec2(-1.0, 0.0),
        vec2(0.0, 1.0),
        vec2(0.0, -1.0),
    ] {
        line(painter, [at + way * from, at + way * to], color);
    }
}

/// A mark: short strokes round what is meant.
fn plus(painter: &Painter, at: Pos2, color: Color32) {
    strokes(painter, at, [2.5, 9.0], color);
}

/// A mark that contradicts the others: ringed, with its way to where it is expected. Light round it, since machines are
/// red as well.
fn mismark(painter: &Painter, at: Pos2, expected: Option<Pos2>) {
    let strokes = [Stroke::new(5.0, MARKED), Stroke::new(2.5, WRONG)];
    for stroke in strokes {
        painter.circle_stroke(at, 12.0, stroke);
    }
    let Some(expected) = expected else {
        return;
    };
    let way = expected - at;
    if way.length() > 14.0 {
        let ends = [at + way.normalized() * 12.0, expected];
        for stroke in strokes {
            painter.line_segment(ends, stroke);
        }
    }
    ring(painter, expected, 4.0, EXPECTED);
}

/// A mark that contradicts is called so, where that hides as few other places as can be.
fn called(painter: &Painter, at: Pos2, others: &[Pos2]) {
    let font = theme::bold(theme::NOTE);
    let words = painter.layout_no_wrap("mismarked".into(), font, WRONG);
    let field = words.size() + vec2(8.0, 4.0);
    let off = [
        vec2(13.0 + field.x / 2.0, 0.0),
        vec2(-13.0 - field.x / 2.0, 0.0),
        vec2(0.0, -14.0 - field.y / 2.0),
        vec2(0.0, 14.0 + field.y / 2.0),
    ];
    let fields = off.map(|off| Rect::from_center_size(at + off, field));
    let hides = |field: &Rect| {
        let hidden = others
            .iter()
            .filter(|other| field.expand(9.0).contains(**other));
        let is_cut = !painter.clip_rect().contains_rect(*field);
        // Its own place is never within.
        hidden.count() + if is_cut { others.len() } else { 0 }
    };
    let Some(field) = fields.into_iter().min_by_key(hides) else {
        return;
    };
    painter.rect_filled(field, 0.0, MARKED);
    painter.galley(field.min + vec2(4.0, 2.0), words, WRONG);
}

/// The cross that follows the pointer and the keys.
pub(super) fn cross(painter: &Painter, at: Pos2) {
    strokes(painter, at, [10.0, 26.0], CHOSEN);
}

/// The outline's edge on glass, so many pixels wide.
pub(super) fn edge(outline: &Outline, wide: usize) -> ColorImage {
    let mut image = ColorImage::filled(outline.size(), Color32::TRANSPARENT);
    let [width, height] = outline.size();
    let back = wide / 2;
    for [x, y] in outline.edge() {
        let (left, top) = (x.saturating_sub(back), y.saturating_sub(back));
        for row in top..(top + wide).min(height) {
            let row = row * width;
            image.pixels[row + left..row + (left + wide).min(width)].fill(OUTLINE);
        }
    }
    image
}
