//! Allowed ground shaded by what this minute and lens make of it: the denser the hatching, the worse; what is fine stays
//! bright. May not enter: how it was graded.

use super::pane;
use crate::picture::drawing::ground::Paper;
use crate::plan::here::Patch;
use crate::window::hatch::{self, Density};
use crate::window::theme::Page;
use egui::{Painter, Pos2, Shape, Stroke};

/// Shades every cell that is known.
pub fn shade(painter: &Painter, paper: &Paper, page: &Page, patch: &Patch) {
    for cell in &patch.cells {
        let half_m = cell.size_m / 2.0;
        let corner = |x: f64, y: f64| {
            let off = patch.along * (x * half_m) + patch.along.perp() * (y * half_m);
            pane::at(paper, cell.centre_m + off)
        };
        let corners: [Pos2; 4] = [
            corner(-1.0, -1.0),
            corner(1.0, -1.0),
            corner(1.0, 1.0),
            corner(-1.0, 1.0),
        ];
        match Density::of_verdict(cell.known.verdict) {
            Some(density) => {
                let color = page.grade(density.ink()).gamma_multiply(0.55);
                hatch::fill(painter, &corners, density, color);
            }
            None => {
                painter.add(Shape::convex_polygon(
                    corners.to_vec(),
                    page.field,
                    Stroke::NONE,
                ));
            }
        }
    }
}
