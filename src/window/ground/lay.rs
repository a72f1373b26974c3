//! Paints what lies on the ground: allowed ground, the strip along the rails, shadows, tracks, things, the machine. May
//! not enter: where it lies, dragging, what a spot is worth.

use super::pane::{all, at, inner, outer, rect};
use crate::grade::Grade;
use crate::picture::drawing::ground::{Look, NORTH_MARK, Paper, Plan};
use crate::scene::track::Track;
use crate::window::hatch::{self, Density};
use crate::window::theme::{self, Page};
use egui::epaint::{PathShape, PathStroke};
use egui::{Align2, Color32, Mesh, Painter, Rect, Shape, Stroke, pos2, vec2};
use glam::DVec2;

/// Width of a tie.
const TIE_WIDTH_M: f64 = 0.22;
/// Of the pane's width a scale's bar takes at most so much.
const BAR: f64 = 0.4;

/// What is painted on.
pub struct Lay<'a> {
    pub painter: &'a Painter,
    pub paper: &'a Paper,
    pub page: &'a Page,
    pub plan: &'a Plan,
}

impl Lay<'_> {
    fn filled(&self, corners_m: &[DVec2], fill: Color32, edge: Stroke) {
        let corners = all(self.paper, corners_m);
        self.painter.add(Shape::convex_polygon(corners, fill, edge));
    }

    fn long(&self, length_m: f64) -> f32 {
        (length_m * self.paper.per_m) as f32
    }

    /// Allowed ground, plain.
    pub fn areas(&self) {
        for area in &self.plan.allowed {
            for piece in &area.pieces_m {
                self.filled(piece, self.page.field, Stroke::NONE);
                if area.is_asked {
                    let faint = self.page.rule.gamma_multiply(0.7);
                    let corners = all(self.paper, piece);
                    hatch::fill(self.painter, &corners, Density::Sparse, faint);
                }
            }
        }
    }

    /// The outlines of allowed ground.
    pub fn area_edges(&self) {
        for area in &self.plan.allowed {
            let points = all(self.paper, &area.outline_m);
            let edge = Stroke::new(1.0, self.page.faint);
            self.painter.add(Shape::closed_line(points, edge));
        }
    }

    /// The strip along every track in which nobody may stand.
    pub fn stand_off(&self) {
        let fill = self.page.paper.lerp_to_gamma(self.page.rule, 0.35);
        for strip in &self.plan.stand_off {
            for pair in strip.points_m.windows(2) {
                let (a, b) = (pair[0], pair[1]);
                let side = (b - a).normalize_or_zero().perp() * strip.half_m;
                self.filled(
                    &[a + side, b + side, b - side, a - side],
                    fill,
                    Stroke::NONE,
                );
            }
            // Its pieces meet and end in the round.
            for joint in &strip.points_m {
                let (joint, reach) = (at(self.paper, *joint), self.long(strip.half_m));
                self.painter.circle_filled(joint, reach, fill);
            }
        }
    }

    /// Shadows on the ground.
    pub fn shade(&self, triangles: &[[DVec2; 3]]) {
        let mut mesh = Mesh::default();
        let shade = Color32::from_black_alpha(64);
        for corners in triangles {
            let first = mesh.vertices.len() as u32;
            for corner in corners {
                mesh.colored_vertex(at(self.paper, *corner), shade);
            }
            mesh.add_triangle(first, first + 1, first + 2);
        }
        self.painter.add(mesh);
    }

    /// Ties and rails.
    pub fn tracks(&self, tracks: &[Track]) {
        let stroke = Stroke::new(self.long(TIE_WIDTH_M).max(1.0), self.page.rule);
        for tie in tracks.iter().flat_map(|track| self.paper.ties(track)) {
            self.painter
                .line_segment(tie.map(|end| at(self.paper, end)), stroke);
        }
        for rail in self.plan.rails.as_flattened() {
            let points = all(self.paper, rail);
            self.painter.line(points, Stroke::new(1.0, self.page.ink));
        }
    }

    /// Everything that stands there.
    pub fn things(&self) {
        let page = self.page;
        for wire in &self.plan.wires {
            let ends = wire.map(|end| at(self.paper, end));
            self.painter
                .line_segment(ends, Stroke::new(0.7, page.faint));
        }
        for thing in &self.plan.things {
            let (fill, edge) = match thing.look {
                Look::Growth => (
                    Color32::from_rgba_unmultiplied(104, 122, 96, 150),
                    page.faint,
                ),
                Look::Structure => (page.rule, page.faint),
                Look::Equipment => (page.paper, page.ink),
                Look::Slender => (page.ink, page.ink),
            };
            for outline in &thing.outlines_m {
                self.filled(outline, fill, Stroke::new(0.7, edge));
            }
            if let Some(foot_m) = thing.foot_m {
                self.painter
                    .circle_filled(at(self.paper, foot_m), 2.2, page.ink);
            }
        }
    }

    /// The machine.
    pub fn machine(&self) {
        let fill = self.page.grade(Grade::Slight);
        let edge = Stroke::new(1.0, self.page.ink);
        self.filled(&self.plan.machine, fill, edge);
    }

    /// A bar of a round length, and the mark of north.
    pub fn scale_and_north(&self, words: impl Fn(f64) -> String) {
        let (painter, page, rect) = (self.painter, self.page, rect(self.paper));
        let length_m = self.paper.scale_m(self.paper.size.x * BAR);
        let (left, y) = (rect.left() + 10.0, rect.bottom() - 10.0);
        let right = left + self.long(length_m);
        let field = Rect::from_min_max(pos2(left - 6.0, y - 20.0), pos2(right + 6.0, y + 6.0));
        painter.rect_filled(field, 0.0, page.paper.gamma_multiply(0.85));
        painter.hline(left..=right, y, Stroke::new(2.0, page.ink));
        for x in [left, right] {
            painter.vline(x, (y - 4.0)..=(y + 4.0), Stroke::new(1.0, page.ink));
        }
        let font = theme::regular(theme::NOTE);
        painter.text(
            pos2((left + right) / 2.0, y - 4.0),
            Align2::CENTER_BOTTOM,
            words(length_m),
            font.clone(),
            page.ink,
        );
        let north = inner(pos2(rect.right() - 16.0, rect.top() + 28.0));
        let turn = DVec2::from_angle(crate::units::rad(-self.paper.up_deg));
        let mark = NORTH_MARK.map(|off| outer(north + turn.rotate(off)));
        let way = (mark[0] - outer(north)).normalized();
        painter.add(Shape::Path(PathShape {
            points: mark.to_vec(),
            closed: true,
            fill: page.ink,
            stroke: PathStroke::NONE,
        }));
        let at = mark[0] + vec2(way.x, way.y) * 8.0;
        painter.text(at, Align2::CENTER_CENTER, "N", font, page.ink);
    }
}
