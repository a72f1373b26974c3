//! How bad something is, as hatching: from sparse to full, each told apart without colour. May not enter: what is
//! drawn with it.

use super::{INK, OCHRE, OXIDE, SLATE};
use crate::grade::{Grade, Verdict};

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

/// The patterns, to be named by what is filled with them.
pub(super) fn hatches() -> String {
    let pattern = |density: Density, size: f64, ground: &str, ink: &str, thick: f64| {
        // One stroke from corner to corner, with its neighbours' ends in the other corners.
        format!(
            "<pattern id=\"{}\" width=\"{size}\" height=\"{size}\" patternUnits=\"userSpaceOnUse\">\
             <rect width=\"{size}\" height=\"{size}\" fill=\"{ground}\"/>\
             <path d=\"M{a} {b}L{b} {a}M{a} {e}L{e} {a}M{d} {e}L{e} {d}\" stroke=\"{ink}\" \
             stroke-width=\"{thick}\" fill=\"none\"/></pattern>",
            density.name(),
            a = -1,
            b = 1,
            d = size - 1.0,
            e = size + 1.0
        )
    };
    let mut svg = String::from("<defs>");
    svg += &pattern(Density::Sparse, 10.0, "#fff", SLATE, 0.9);
    svg += &pattern(Density::Close, 5.0, "#fff", OCHRE, 1.2);
    svg += &pattern(Density::Dense, 3.5, "#fff", OCHRE, 1.5);
    svg += &pattern(Density::Full, 14.0, OXIDE, "#fff", 1.2);
    svg + "</defs>"
}

/// A stretch filled with a hatching.
pub(super) fn block(x: f64, y: f64, width: f64, height: f64, density: Density) -> String {
    format!(
        "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"url(#{})\" \
         stroke=\"{INK}\" stroke-width=\"0.5\"/>",
        density.name()
    )
}
