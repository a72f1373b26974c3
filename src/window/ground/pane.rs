//! The ground's paper on the pane: egui's points for its units. May not enter: what lies on it.

use crate::picture::drawing::ground::Paper;
use egui::{Pos2, Rect, vec2};
use glam::DVec2;

/// The paper of a pane, one metre to a point, north up.
pub fn paper(rect: Rect) -> Paper {
    let size = rect.size();
    Paper {
        low: inner(rect.min),
        size: DVec2::new(size.x.into(), size.y.into()),
        middle_m: DVec2::ZERO,
        per_m: 1.0,
        up_deg: 0.0,
    }
}

/// A point of the pane as the paper has it.
pub fn inner(at: Pos2) -> DVec2 {
    DVec2::new(at.x.into(), at.y.into())
}

/// The pane.
pub fn rect(paper: &Paper) -> Rect {
    let size = vec2(paper.size.x as f32, paper.size.y as f32);
    Rect::from_min_size(outer(paper.low), size)
}

/// A point of the paper on the pane.
pub fn outer(at: DVec2) -> Pos2 {
    Pos2::new(at.x as f32, at.y as f32)
}

/// Where a place lies on the pane.
pub fn at(paper: &Paper, place_m: DVec2) -> Pos2 {
    outer(paper.at(place_m))
}

/// Where places lie on the pane.
pub fn all(paper: &Paper, places_m: &[DVec2]) -> Vec<Pos2> {
    places_m.iter().map(|place| at(paper, *place)).collect()
}
