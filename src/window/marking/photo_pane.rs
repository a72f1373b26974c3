//! The photograph on its mount: marks on it, where points are expected, the machine's outline, the cross and its magnifier;
//! a click marks, a drag moves a mark or the photograph, the wheel brings it nearer. May not enter: fitting.

use super::loupe::{self, Loupe};
use super::over::{cross, edge, places};
use super::sight::{Laid, Sight};
use crate::camera::film::Film;
use crate::judge::outline::Outline;
use crate::rehearsal::marking::Marking;
use crate::window::mount::Mounted;
use crate::window::theme;
use egui::{
    Align2, Color32, ColorImage, CursorIcon, EventFilter, Painter, Pos2, Response, Sense,
    TextureHandle, Ui, pos2, vec2,
};
use glam::DVec2;
use image::RgbImage;
use std::sync::Arc;

/// A place where a point is expected is meant within so many points of the screen, and a mark within so many: a step's
/// corner lies near a pilot's, and is to be marked all the same.
const REACH: f32 = 10.0;
const ON_MARK: f32 = 5.0;

/// The pane's own state.
#[derive(Default)]
pub struct PhotoPane {
    /// How the photograph is looked at.
    pub sight: Sight,
    /// Whether the machine's outline is drawn.
    pub outlined: bool,
    /// The keys are to come to the photograph.
    pub wants_keys: bool,
    /// The photograph as a place for keys.
    pub id: Option<egui::Id>,
    /// Where it lay at the last redraw.
    pub laid: Option<Laid>,
    level: Option<(Arc<Vec<RgbImage>>, usize, TextureHandle)>,
    outline: Option<(Arc<Outline>, usize, TextureHandle)>,
    loupe: Loupe,
    /// Where the pointer was, and the mark that is dragged.
    pointer: Option<Pos2>,
    dragged: Option<(usize, DVec2)>,
}

impl PhotoPane {
    /// The whole photograph, which has the keys.
    pub fn new(outlined: bool) -> PhotoPane {
        PhotoPane {
            outlined,
            wants_keys: true,
            ..PhotoPane::default()
        }
    }

    /// Draws it; whether it has the keys.
    pub fn ui(&mut self, ui: &mut Ui, marking: &mut Marking) -> bool {
        let room = ui.available_rect_before_wrap();
        let painter = ui.painter().clone();
        let size_px = DVec2::from_array(marking.photo.size_px());
        let shape = Film {
            width_mm: size_px.x,
            height_mm: size_px.y,
        };
        let mounted = Mounted::paint(&painter, room, &shape);
        let laid = self.sight.laid(mounted.picture, size_px);
        self.laid = Some(laid);
        let id = ui.scope_id().with("photograph");
        self.id = Some(id);
        let response = ui.interact(mounted.picture, id, Sense::click_and_drag());
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "Photograph"));
        if std::mem::take(&mut self.wants_keys) || response.clicked() || response.drag_started() {
            response.request_focus();
        }
        if response.has_focus() {
            // Tab and arrows walk points and pixels here, not fields.
            let filter = EventFilter {
                tab: true,
                horizontal_arrows: true,
                vertical_arrows: true,
                escape: true,
            };
            ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
        }
        self.pointed(ui, &response, &laid, marking);
        self.wheel(ui, &response, &laid);
        let laid = self.sight.laid(mounted.picture, size_px);
        let over = painter.with_clip_rect(mounted.picture);
        self.picture(ui, &over, &laid, marking);
        if self.outlined {
            self.outline(ui, &over, &laid, marking);
        }
        let spots = places(&over, &laid, marking);
        cross(&over, laid.at(marking.cross_px));
        // Where a pixel is as large on the page, there is nothing to magnify.
        let mut magnified = None;
        if laid.scale < loupe::TIMES {
            let shown: Vec<Pos2> = spots.iter().map(|spot| laid.at(spot.at_px)).collect();
            // Words on the mount stay to be read.
            let above = room.with_max_y(mounted.picture.bottom());
            magnified = Some((
                spots,
                Loupe::place(above, laid.at(marking.cross_px), &shown),
            ));
        }
        let name = marking.path.file_name().unwrap_or_default();
        let left = name.to_string_lossy().into_owned();
        let right = format!("{:.0} × {:.0} px", size_px.x, size_px.y);
        mounted.words(&painter, [left, right]);
        if let Some((spots, place)) = magnified {
            let of = (&marking.photo, marking.cross_px);
            self.loupe.paint(ui, &painter, place, of, &spots);
        }
        response.has_focus()
    }

    /// The photograph itself, from the smallest of its sizes that is fine enough.
    fn picture(&mut self, ui: &Ui, painter: &Painter, laid: &Laid, marking: &Marking) {
        let wanted = laid.whole().width() * ui.ctx().pixels_per_point();
        let fine = |level: &RgbImage| level.width() as f32 >= wanted;
        let index = marking.levels.iter().rposition(fine).unwrap_or(0);
        let is_known = |(of, known, _): &(Arc<Vec<RgbImage>>, usize, _)| {
            Arc::ptr_eq(of, &marking.levels) && *known == index
        };
        if !self.level.as_ref().is_some_and(is_known) {
            let level = &marking.levels[index];
            let size = [level.width(), level.height()].map(|side| side as usize);
            let image = ColorImage::from_rgb(size, level.as_raw());
            let options = egui::TextureOptions::LINEAR;
            let texture = ui.ctx().load_texture("photograph", image, options);
            self.level = Some((Arc::clone(&marking.levels), index, texture));
        }
        if let Some((_, _, texture)) = &self.level {
            painter.image(texture.id(), laid.room, laid.seen(), Color32::WHITE);
        }
    }

    fn outline(&mut self, ui: &Ui, painter: &Painter, laid: &Laid, marking: &Marking) {
        let found = marking.found.as_ref();
        let Some(outline) = found.and_then(|found| found.outline.as_ref()) else {
            return;
        };
        // As wide as a line of the page, be the photograph shown small or large.
        let [across, _] = outline.size();
        let per_point = across as f32 / laid.whole().width();
        let wide = (1.6 * per_point).ceil().clamp(1.0, 9.0) as usize;
        let is_known =
            |(of, known, _): &(Arc<Outline>, usize, _)| Arc::ptr_eq(of, outline) && *known == wide;
        if !self.outline.as_ref().is_some_and(is_known) {
            let options = egui::TextureOptions::LINEAR;
            let image = edge(outline, wide);
            let texture = ui.ctx().load_texture("outline", image, options);
            self.outline = Some((Arc::clone(outline), wide, texture));
        }
        if let Some((_, _, texture)) = &self.outline {
            // Where its pixels are coarser than the photograph's, they must not hide it.
            let strength = (4.0 * per_point).clamp(0.35, 1.0);
            let tint = Color32::WHITE.gamma_multiply(strength);
            painter.image(texture.id(), laid.room, laid.seen(), tint);
        }
    }

    fn wheel(&mut self, ui: &Ui, response: &Response, laid: &Laid) {
        let Some(at) = response.hover_pos() else {
            return;
        };
        let turn = ui.input(|input| input.smooth_scroll_delta().y);
        if turn != 0.0 {
            self.sight
                .zoom(laid.place_px(at), (f64::from(turn) / 240.0).exp());
        }
    }

    /// What the pointer did.
    fn pointed(&mut self, ui: &Ui, response: &Response, laid: &Laid, marking: &mut Marking) {
        let fine = ui.input(|input| input.modifiers.shift);
        let before = self.pointer;
        self.pointer = response.hover_pos();
        if response.drag_started()
            && let Some(from) = ui.input(|input| input.pointer.press_origin())
        {
            let near = nearest(marking, (laid, ON_MARK), from, |marking, n| {
                marking.mark_of(n).map(|m| m.at_px)
            });
            self.dragged = near.map(|(point, at_px)| (point, at_px - laid.place_px(from)));
        }
        if response.dragged()
            && let Some(at) = response.interact_pointer_pos()
        {
            match self.dragged {
                Some((point, off_px)) => {
                    marking.put(point, laid.place_px(at) + off_px, "Drag a mark");
                }
                None => {
                    let by = response.drag_delta();
                    self.sight
                        .pan(DVec2::new(-f64::from(by.x), -f64::from(by.y)) / laid.scale);
                }
            }
            ui.ctx().set_cursor_icon(CursorIcon::Grabbing);
        } else if let Some(at) = self.pointer {
            ui.ctx().set_cursor_icon(CursorIcon::Crosshair);
            let moved = before.map_or(vec2(0.0, 0.0), |before| at - before);
            if fine {
                // As in the magnifier: a point of the screen is an eighth of a pixel.
                if moved != vec2(0.0, 0.0) {
                    let by = DVec2::new(moved.x.into(), moved.y.into()) / loupe::TIMES;
                    marking.point_at(marking.cross_px + by);
                }
            } else if before.is_none_or(|before| before != at) && !self.rests(laid, marking, at) {
                marking.point_at(laid.place_px(at));
            }
        }
        if response.drag_stopped() {
            if let Some((point, _)) = self.dragged.take() {
                marking.part();
                marking.hold(point);
            }
        } else if response.clicked()
            && let Some(at) = response.interact_pointer_pos()
        {
            clicked(marking, laid, at, fine);
        }
    }

    /// Whether the pointer still lies where a mark was just placed: a hand that trembles does not let go of it.
    fn rests(&self, laid: &Laid, marking: &Marking, at: Pos2) -> bool {
        let held = marking.held().and_then(|held| marking.mark_of(held));
        held.is_some_and(|mark| laid.at(mark.at_px).distance(at) < REACH)
    }
}

/// A click: takes hold of a mark, offers the point that is expected there, or marks the one that is chosen.
fn clicked(marking: &mut Marking, laid: &Laid, at: Pos2, fine: bool) {
    let marked = nearest(marking, (laid, ON_MARK), at, |marking, n| {
        marking.mark_of(n).map(|mark| mark.at_px)
    });
    if let Some((point, _)) = marked.filter(|_| !fine) {
        marking.hold(point);
        return;
    }
    if !fine {
        marking.point_at(laid.place_px(at));
    }
    let free = |marking: &Marking, n: usize| {
        let open = marking.mark_of(n).is_none() && marking.is_seen(n);
        open.then(|| marking.expected_px(n)).flatten()
    };
    let offered = nearest(marking, (laid, REACH), at, free).map(|(point, _)| point);
    match offered.filter(|point| *point != marking.chosen) {
        Some(point) => {
            let cross_px = marking.cross_px;
            marking.choose(point);
            marking.cross_px = cross_px;
            let words = marking.point().words.clone();
            let told = format!("Here the {words} is expected: Enter or another click marks it");
            marking.told = Some(Ok(told));
        }
        None => marking.place(),
    }
}

/// The point whose place lies nearest, within reach.
fn nearest(
    marking: &Marking,
    (laid, reach): (&Laid, f32),
    at: Pos2,
    place: impl Fn(&Marking, usize) -> Option<DVec2>,
) -> Option<(usize, DVec2)> {
    let all = (0..marking.model.points.len()).filter_map(|n| Some((n, place(marking, n)?)));
    let away = |place_px: &DVec2| laid.at(*place_px).distance(at);
    let near = all.filter(|(_, place_px)| away(place_px) <= reach);
    near.min_by(|(_, a), (_, b)| away(a).total_cmp(&away(b)))
}

/// Words in the middle of an empty pane.
pub fn notice(ui: &Ui, words: &str) {
    let room = ui.available_rect_before_wrap();
    let painter = ui.painter();
    painter.rect_filled(room, 0.0, theme::SURROUND);
    let font = theme::regular(theme::TEXT);
    let galley = painter.layout(words.to_string(), font, Color32::WHITE, room.width() - 60.0);
    let place = Align2::CENTER_CENTER.anchor_size(room.center(), galley.size());
    let response = ui.interact(place, ui.scope_id().with("notice"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, words));
    painter.rect_filled(place.expand(10.0), 0.0, Color32::from_gray(70));
    painter.galley(pos2(place.left(), place.top()), galley, Color32::WHITE);
}
