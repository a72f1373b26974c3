//! How bad something is, as hatching: from sparse to full, each told apart without colour. May not enter: what is
//! drawn with it.

use super::{INK, OCHRE, OXIDE, SLATE};
use crate::grade::{Grade, Verdict};

/// The hatchings: from sparse to full, each told apart without colour.
const HATCHES: [&str; 4] = ["sparse", "close", "dense", "full"];

/// Patterns for [`HATCHES`].
pub fn hatches() -> String {
    let pattern = |name: &str, size: f64, ground: &str, ink: &str, thick: f64| {
        // One stroke from corner to corner, with its neighbours' ends in the other corners.
        format!(
            "<pattern id=\"{name}\" width=\"{size}\" height=\"{size}\" patternUnits=\"userSpaceOnUse\">\
             <rect width=\"{size}\" height=\"{size}\" fill=\"{ground}\"/>\
             <path d=\"M{a} {b}L{b} {a}M{a} {e}L{e} {a}M{d} {e}L{e} {d}\" stroke=\"{ink}\" \
             stroke-width=\"{thick}\" fill=\"none\"/></pattern>",
            a = -1,
            b = 1,
            d = size - 1.0,
            e = size + 1.0
        )
    };
    let mut svg = String::from("<defs>");
    svg += &pattern("sparse", 10.0, "#fff", SLATE, 0.9);
    svg += &pattern("close", 5.0, "#fff", OCHRE, 1.2);
    svg += &pattern("dense", 3.5, "#fff", OCHRE, 1.5);
    svg += &pattern("full", 14.0, OXIDE, "#fff", 1.2);
    svg + "</defs>"
}

/// The hatching of a grade; a clean stretch stays empty.
pub fn hatch(grade: Grade) -> Option<&'static str> {
    match grade {
        Grade::Clean => None,
        Grade::Slight => Some(HATCHES[0]),
        Grade::Marked => Some(HATCHES[1]),
        Grade::Ruinous => Some(HATCHES[3]),
    }
}

/// The hatching of a verdict.
pub fn verdict_hatch(verdict: Verdict) -> Option<&'static str> {
    match verdict {
        Verdict::Fine => None,
        Verdict::Good => Some(HATCHES[0]),
        Verdict::Fair => Some(HATCHES[1]),
        Verdict::Poor => Some(HATCHES[2]),
        Verdict::Lost => Some(HATCHES[3]),
    }
}

/// A stretch filled with a hatching.
pub fn block(x: f64, y: f64, width: f64, height: f64, hatch: &str) -> String {
    format!(
        "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" fill=\"url(#{hatch})\" \
         stroke=\"{INK}\" stroke-width=\"0.5\"/>"
    )
}
