//! How bad something is, as hatching: from sparse to full, each told apart without colour. May not enter: what is
//! drawn with it.

use super::{INK, hex};
use crate::grade::{Grade, Verdict};
use crate::picture::canvas::{Ink, OCHRE, OXIDE, SLATE, WHITE};

/// How dense a hatching is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Density {
    /// Few thin strokes.
    Sparse,
    /// Many.
    Close,
    /// Nearly filled.
    Dense,
    /// Filled, with thin strokes left open.
    Full,
}

impl Density {
    /// Of a grade; a clean stretch stays empty.
    pub fn of_grade(grade: Grade) -> Option<Density> {
        match grade {
            Grade::Clean => None,
            Grade::Slight => Some(Density::Sparse),
            Grade::Marked => Some(Density::Close),
            Grade::Ruinous => Some(Density::Full),
        }
    }

    /// Of a verdict; what is fine stays empty.
    pub fn of_verdict(verdict: Verdict) -> Option<Density> {
        match verdict {
            Verdict::Fine => None,
            Verdict::Good => Some(Density::Sparse),
            Verdict::Fair => Some(Density::Close),
            Verdict::Poor => Some(Density::Dense),
            Verdict::Lost => Some(Density::Full),
        }
    }

    /// The grade whose colour supports it.
    pub fn ink(self) -> Grade {
        match self {
            Density::Sparse => Grade::Slight,
            Density::Close | Density::Dense => Grade::Marked,
            Density::Full => Grade::Ruinous,
        }
    }

    /// Its pattern's name.
    pub(super) fn name(self) -> &'static str {
        match self {
            Density::Sparse => "sparse",
            Density::Close => "close",
            Density::Dense => "dense",
            Density::Full => "full",
        }
    }
}

/// A hatching's tile: strokes from its lower left to its upper right corner.
pub(super) struct Tile {
    /// Its width and height.
    pub(super) size: f64,
    /// Between the strokes.
    pub(super) ground: Ink,
    /// The strokes' ink.
    pub(super) stroke: Ink,
    /// Their thickness.
    pub(super) thick: f64,
}

impl Density {
    /// Its tile.
    pub(super) fn tile(self) -> Tile {
        let (size, ground, stroke, thick) = match self {
            Density::Sparse => (10.0, WHITE, SLATE, 0.9),
            Density::Close => (5.0, WHITE, OCHRE, 1.2),
            Density::Dense => (3.5, WHITE, OCHRE, 1.5),
            Density::Full => (14.0, OXIDE, WHITE, 1.2),
        };
        Tile {
            size,
            ground,
            stroke,
            thick,
        }
    }

    /// The colour at a point, softened over a pixel at so many to a unit.
    pub(super) fn at(self, x: f64, y: f64, scale: f64) -> Ink {
        let tile = self.tile();
        let along = (x + y).rem_euclid(tile.size);
        let off = along.min(tile.size - along) / std::f64::consts::SQRT_2;
        let share = ((tile.thick / 2.0 - off) * scale + 0.5).clamp(0.0, 1.0);
        let mixed = |n: usize| {
            let (ground, stroke) = (f64::from(tile.ground[n]), f64::from(tile.stroke[n]));
            (ground + (stroke - ground) * share).round() as u8
        };
        [mixed(0), mixed(1), mixed(2)]
    }
}

/// The patterns, to be named by what is filled with them.
pub(super) fn hatches() -> String {
    let pattern = |density: Density| {
        let Tile {
            size,
            ground,
            stroke,
            thick,
        } = density.tile();
        // One stroke from corner to corner, with its neighbours' ends in the other corners.
        format!(
            "<pattern id=\"{}\" width=\"{size}\" height=\"{size}\" patternUnits=\"userSpaceOnUse\">\
             <rect width=\"{size}\" height=\"{size}\" fill=\"{}\"/>\
             <path d=\"M{a} {b}L{b} {a}M{a} {e}L{e} {a}M{d} {e}L{e} {d}\" stroke=\"{}\" \
             stroke-width=\"{thick}\" fill=\"none\"/></pattern>",
            density.name(),
            hex(ground),
            hex(stroke),
            a = -1,
            b = 1,
            d = size - 1.0,
            e = size + 1.0
        )
    };
    let all = [
        Density::Sparse,
        Density::Close,
        Density::Dense,
        Density::Full,
    ];
    let patterns: String = all.into_iter().map(pattern).collect();
    format!("<defs>{patterns}</defs>")
}

/// A stretch filled with a hatching.
pub(super) fn block(x: f64, y: f64, width: f64, height: f64, density: Density) -> String {
    format!(
        "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"url(#{})\" \
         stroke=\"{INK}\" stroke-width=\"0.5\"/>",
        density.name()
    )
}
