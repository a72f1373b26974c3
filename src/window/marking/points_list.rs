//! The machine's named points by end and side: which are marked and how far off, which contradict, which the camera does
//! not see. May not enter: the photograph.

use crate::grade::Grade;
use crate::judge::pose::Residual;
use crate::rehearsal::marking::Marking;
use crate::rehearsal::marking::points::{Group, groups};
use crate::window::theme::{self, Page};
use egui::style::ScrollAnimation;
use egui::{Align, Align2, Rect, Response, ScrollArea, Sense, Stroke, Ui, Vec2, pos2, vec2};

/// The list's own state.
#[derive(Default)]
pub struct PointsList {
    /// The point that was chosen at the last redraw.
    shown: Option<usize>,
}

impl PointsList {
    /// Draws it.
    pub fn ui(&mut self, ui: &mut Ui, marking: &mut Marking) {
        let page = theme::page(ui.ctx());
        let to_see = (self.shown != Some(marking.chosen)).then_some(marking.chosen);
        self.shown = Some(marking.chosen);
        let mut chosen = None;
        let mut groups = groups(&marking.model);
        // What faces the camera comes first.
        groups.sort_by_key(|group| {
            let seen = group.points.iter().filter(|point| marking.is_seen(**point));
            std::cmp::Reverse(3 * seen.count() / group.points.len())
        });
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            // A list that slides on under the pointer lets one press what one did not mean.
            ui.style_mut().scroll_animation = ScrollAnimation::none();
            for group in &groups {
                ui.add_space(4.0);
                theme::heading(ui, &group.words);
                let shared = shared_ending(marking, group);
                for point in &group.points {
                    let response = row(ui, &page, marking, *point, shared);
                    if to_see == Some(*point) {
                        response.scroll_to_me(Some(Align::Center));
                    }
                    if response.clicked() {
                        chosen = Some(*point);
                    }
                }
            }
        });
        if let Some(point) = chosen {
            marking.choose(point);
        }
    }
}

/// Letters at the end of all words of a group: its heading says them.
fn shared_ending(marking: &Marking, group: &Group) -> usize {
    let words = |n: &usize| marking.model.points[*n].words.as_str();
    let Some((first, others)) = group
        .points
        .split_first()
        .filter(|(_, rest)| !rest.is_empty())
    else {
        return 0;
    };
    let first = words(first);
    let ends = first.match_indices(", ").map(|(at, _)| &first[at..]);
    let is_shared = |end: &&str| others.iter().all(|other| words(other).ends_with(end));
    ends.filter(is_shared).map(str::len).max().unwrap_or(0)
}

/// What is known of a mark.
fn residual<'m>(marking: &'m Marking, name: &str) -> Option<&'m Residual> {
    let fit = marking.fresh()?.fit.as_ref().ok()?;
    fit.residuals.iter().find(|one| one.name == name)
}

fn row(ui: &mut Ui, page: &Page, marking: &Marking, point: usize, shared: usize) -> Response {
    let named = &marking.model.points[point];
    let mark = marking.mark_of(point);
    let off = residual(marking, &named.name);
    let is_chosen = marking.chosen == point;
    let is_wrong = off.is_some_and(|off| off.mismarked);
    let (right, said) = match (mark, off) {
        (Some(_), Some(off)) => {
            let off_px = off.off_px.length();
            let wrong = if is_wrong {
                ", contradicts the others"
            } else {
                ""
            };
            (
                format!("{off_px:.1} px"),
                format!("marked, {off_px:.1} px off{wrong}"),
            )
        }
        (Some(_), None) => ("marked".into(), "marked".into()),
        (None, _) if !marking.is_seen(point) => ("hidden".into(), "hidden".into()),
        (None, _) => (String::new(), "not marked".into()),
    };
    let ink = match mark {
        _ if is_wrong => page.grade(Grade::Ruinous),
        None if !marking.is_seen(point) && !is_chosen => page.faint,
        _ => page.ink,
    };
    let width = ui.available_width();
    let note = theme::regular(theme::NOTE);
    let right = ui.painter().layout_no_wrap(right, note.clone(), ink);
    let short = named.words[..named.words.len() - shared].to_string();
    let short = crate::grade::wording::sentence_case(&short);
    let room = width - 30.0 - right.size().x;
    let words = ui.painter().layout(short, note, ink, room);
    let size = vec2(width, words.size().y.max(16.0) + 4.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let painter = ui.painter();
    if is_chosen || response.hovered() || response.has_focus() {
        painter.rect_filled(rect, 0.0, page.field);
    }
    if is_chosen || response.has_focus() {
        painter.rect_stroke(
            rect,
            0.0,
            Stroke::new(1.0, page.ink),
            egui::StrokeKind::Inside,
        );
    }
    let square = Rect::from_center_size(
        pos2(rect.left() + 10.0, rect.top() + 10.0),
        Vec2::splat(10.0),
    );
    match mark {
        Some(_) if is_wrong => theme::mark(painter, square, Grade::Ruinous, page),
        Some(_) => {
            painter.circle_filled(square.center(), 4.0, page.ink);
        }
        None => {
            painter.circle_stroke(square.center(), 3.5, Stroke::new(1.0, ink));
        }
    }
    painter.galley(rect.min + vec2(22.0, 2.0), words, ink);
    let at = Align2::RIGHT_TOP.anchor_size(rect.right_top() + vec2(-4.0, 2.0), right.size());
    painter.galley(at.min, right, ink);
    response.widget_info(|| {
        let label = format!("Point {}: {said}", named.words);
        egui::WidgetInfo::selected(egui::Role::Button, true, is_chosen, label)
    });
    response.on_hover_text(format!("{} ({})", named.words, named.name))
}
