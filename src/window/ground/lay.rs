//! What lies on the ground, drawn to scale: allowed ground, the strip along the rails, shadows, tracks, things, the
//! machine. May not enter: dragging, what a spot is worth.

use super::paper::Paper;
use crate::grade::Studio;
use crate::mesh::solid::Solid;
use crate::scene::ground::Access;
use crate::scene::polygon::convex_pieces;
use crate::scene::surroundings::Kind;
use crate::scene::track::RAIL_HEAD_M;
use crate::sighting::cover::hull;
use crate::window::hatch::{self, Density};
use crate::window::theme::Page;
use egui::{Color32, Painter, Pos2, Shape, Stroke, vec2};
use glam::{DVec2, DVec3};

/// Below this height of the sun shadows run off every paper: the sine of some two degrees.
const LOWEST_SUN: f64 = 0.03;

/// Draws allowed ground, plain.
pub fn areas(painter: &Painter, paper: &Paper, page: &Page, studio: &Studio) {
    for area in &studio.scene.ground.areas {
        for piece in convex_pieces(&area.polygon_m) {
            let corners: Vec<Pos2> = piece.into_iter().map(|p| paper.at(p)).collect();
            painter.add(Shape::convex_polygon(
                corners.clone(),
                page.field,
                Stroke::NONE,
            ));
            if area.access == Access::Permission {
                let faint = page.rule.gamma_multiply(0.7);
                hatch::fill(painter, &corners, Density::Sparse, faint);
            }
        }
    }
}

/// The outlines of allowed ground.
pub fn area_edges(painter: &Painter, paper: &Paper, page: &Page, studio: &Studio) {
    for area in &studio.scene.ground.areas {
        let points = area.polygon_m.iter().map(|p| paper.at(*p)).collect();
        painter.add(Shape::closed_line(points, Stroke::new(1.0, page.faint)));
    }
}

/// The strip along every track in which nobody may stand: it covers the ground that it takes away.
pub fn stand_off(painter: &Painter, paper: &Paper, page: &Page, studio: &Studio) {
    let scene = &studio.scene;
    for track in &scene.tracks {
        let reach_m = scene.ground.stand_off_m + track.gauge_m / 2.0 + RAIL_HEAD_M;
        for pair in track.points_m.windows(2) {
            let along = (pair[1] - pair[0]).normalize_or_zero();
            let side = along.perp() * reach_m;
            let corners = [
                pair[0] + side,
                pair[1] + side,
                pair[1] - side,
                pair[0] - side,
            ]
            .map(|p| paper.at(p));
            let fill = page.paper.lerp_to_gamma(page.rule, 0.35);
            painter.add(Shape::convex_polygon(corners.to_vec(), fill, Stroke::NONE));
        }
        for joint in &track.points_m {
            let fill = page.paper.lerp_to_gamma(page.rule, 0.35);
            painter.circle_filled(paper.at(*joint), paper.long(reach_m), fill);
        }
    }
}

/// Shadows on the ground at a minute; `toward` is the sun's direction in the machine frame.
pub fn shadows(painter: &Painter, paper: &Paper, studio: &Studio, toward: DVec3) {
    let scene = &studio.scene;
    let toward = studio.frame.direction_to_site(toward);
    if toward.z < LOWEST_SUN {
        return;
    }
    let below_m = scene.tracks[scene.machine.track].ground_below_rail_m;
    let fall = |p: DVec3| (p - toward * ((p.z + below_m).max(0.0) / toward.z)).truncate();
    let shade = Color32::from_black_alpha(64);
    let cast = |points: Vec<DVec2>| {
        let corners = hull(points).into_iter().map(|p| paper.at(p)).collect();
        painter.add(Shape::convex_polygon(corners, shade, Stroke::NONE));
    };
    for object in &scene.surroundings {
        let corners = (object.solids.iter()).flat_map(|solid| solid.convex().corners);
        cast(corners.map(fall).collect());
    }
    let machine = scene.machine.model.vertices.iter();
    cast(
        machine
            .map(|vertex| fall(studio.frame.to_site(*vertex)))
            .collect(),
    );
}

/// Tracks with their rails, and sleepers where there is room for them.
pub fn tracks(painter: &Painter, paper: &Paper, page: &Page, studio: &Studio) {
    for track in &studio.scene.tracks {
        for pair in track.points_m.windows(2) {
            let along = (pair[1] - pair[0]).normalize_or_zero();
            let across = along.perp();
            if paper.per_m > 4.0 {
                let count = (pair[0].distance(pair[1]) / 0.6) as usize;
                let stroke = Stroke::new(paper.long(0.22).max(1.0), page.rule);
                for i in 0..count.min(2000) {
                    let at = pair[0] + along * (0.6 * i as f64);
                    if !paper.rect.expand(20.0).contains(paper.at(at)) {
                        continue;
                    }
                    let ends = [at + across * 1.3, at - across * 1.3].map(|p| paper.at(p));
                    painter.line_segment(ends, stroke);
                }
            }
            for side in [0.5, -0.5] {
                let off = across * (side * track.gauge_m);
                let ends = [pair[0] + off, pair[1] + off].map(|p| paper.at(p));
                painter.line_segment(ends, Stroke::new(1.0, page.ink));
            }
        }
    }
}

/// Everything that stands there.
pub fn things(painter: &Painter, paper: &Paper, page: &Page, studio: &Studio) {
    for wire in &studio.scene.wires {
        let ends = [wire.a, wire.b].map(|p| paper.at(p.truncate()));
        painter.line_segment(ends, Stroke::new(0.7, page.faint));
    }
    for object in &studio.scene.surroundings {
        let (fill, edge) = match object.kind {
            Kind::Crown | Kind::Bush => (
                Color32::from_rgba_unmultiplied(104, 122, 96, 150),
                page.faint,
            ),
            Kind::Building | Kind::Bridge | Kind::Canopy => (page.rule, page.faint),
            Kind::Equipment => (page.paper, page.ink),
            _ => (page.ink, page.ink),
        };
        let flats = object.solids.iter().map(|solid| {
            let corners = solid.convex().corners.into_iter();
            corners.map(|p| p.truncate()).collect::<Vec<DVec2>>()
        });
        let draw = |flat: Vec<DVec2>| {
            let corners: Vec<Pos2> = hull(flat).into_iter().map(|p| paper.at(p)).collect();
            painter.add(Shape::convex_polygon(corners, fill, Stroke::new(0.7, edge)));
        };
        // What is seen as one thing from above is one outline.
        let whole = matches!(
            object.kind,
            Kind::Equipment | Kind::Crown | Kind::Bush | Kind::Trunk | Kind::Person
        );
        if whole {
            draw(flats.flatten().collect());
        } else {
            flats.for_each(draw);
        }
        let upright = matches!(
            object.kind,
            Kind::Pole | Kind::Mast | Kind::Signal | Kind::SwitchStand
        );
        let is_bar = |solid: &&Solid| matches!(solid, Solid::Bar { .. });
        if upright && let Some(Solid::Bar { a, .. }) = object.solids.iter().find(is_bar) {
            painter.circle_filled(paper.at(a.truncate()), 2.2, page.ink);
        }
    }
}

/// The machine: its outline with the head end pointed.
pub fn machine(painter: &Painter, paper: &Paper, page: &Page, studio: &Studio) {
    let corners = studio
        .scene
        .machine
        .outline_m()
        .map(|p| paper.at(p))
        .to_vec();
    let fill = page.grade(crate::grade::Grade::Slight);
    painter.add(Shape::convex_polygon(
        corners,
        fill,
        Stroke::new(1.0, page.ink),
    ));
}

/// A bar of a round length, and the mark of north.
pub fn scale_and_north(
    painter: &Painter,
    paper: &Paper,
    page: &Page,
    words: impl Fn(f64) -> String,
) {
    let rect = paper.rect;
    let most = f64::from(rect.width()) * 0.4;
    let length_m = [2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0]
        .into_iter()
        .rfind(|m| m * paper.per_m < most)
        .unwrap_or(1.0);
    let (left, y) = (rect.left() + 10.0, rect.bottom() - 10.0);
    let right = left + paper.long(length_m);
    let field = egui::Rect::from_min_max(
        egui::pos2(left - 6.0, y - 20.0),
        egui::pos2(right + 6.0, y + 6.0),
    );
    painter.rect_filled(field, 0.0, page.paper.gamma_multiply(0.85));
    painter.hline(left..=right, y, Stroke::new(2.0, page.ink));
    for x in [left, right] {
        painter.vline(x, (y - 4.0)..=(y + 4.0), Stroke::new(1.0, page.ink));
    }
    let font = crate::window::theme::regular(crate::window::theme::NOTE);
    painter.text(
        egui::pos2((left + right) / 2.0, y - 4.0),
        egui::Align2::CENTER_BOTTOM,
        words(length_m),
        font.clone(),
        page.ink,
    );
    let north = egui::pos2(rect.right() - 16.0, rect.top() + 26.0);
    let turn = crate::units::rad(-paper.up_deg) as f32;
    let way = vec2(turn.sin(), -turn.cos());
    let side = vec2(-way.y, way.x);
    let tip = north + way * 14.0;
    let points = vec![
        tip,
        north - way * 10.0 + side * 6.0,
        north - way * 5.0,
        north - way * 10.0 - side * 6.0,
    ];
    painter.add(Shape::Path(egui::epaint::PathShape {
        points,
        closed: true,
        fill: page.ink,
        stroke: egui::epaint::PathStroke::NONE,
    }));
    painter.text(
        tip + way * 8.0,
        egui::Align2::CENTER_CENTER,
        "N",
        font,
        page.ink,
    );
}
