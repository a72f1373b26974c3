//! The marks that drawings of a year share: months, stretches by verdict, what binds, legends. May not enter: where
//! lanes lie, what is won.

use super::weeks::{Across, Binding};
use crate::grade::Verdict;
use crate::picture::canvas::WHITE;
use crate::picture::drawing::hatch::Density;
use crate::picture::drawing::plate::{Anchor, Fill, PLAIN, Plate, Rect, faint, inked};

/// About the mean width of a letter of the drawing's size.
const LETTER: f64 = 4.7;
/// From one entry of a legend to the next.
pub const ENTRY: f64 = 128.0;

/// The columns: a rule from top to foot and a name for each month.
pub fn months(plate: &mut Plate, across: &Across, top: f64, foot: f64) {
    for (start, [x, next]) in across.months() {
        plate.line([x, top - 12.0, x, foot], faint(0.4));
        let name = start.format("%B").to_string();
        let middle = [(x + next) / 2.0, top - 3.0];
        plate.words(middle, Anchor::Middle, PLAIN, &name);
    }
    let right = across.right;
    plate.line([right, top - 12.0, right, foot], faint(0.4));
}

/// What a verdict is filled with; a fine one is paper.
pub fn fill_of(verdict: Verdict) -> Fill {
    Density::of_verdict(verdict).map_or(Fill::Flat(WHITE), Fill::Hatched)
}

/// A stretch by its verdict; a fine one is paper with an edge.
pub fn filled(plate: &mut Plate, bar: Rect, verdict: Verdict) {
    let thick = if verdict == Verdict::Fine { 0.8 } else { 0.5 };
    plate.edged(bar, fill_of(verdict), inked(thick));
}

/// Weeks on end in which one fault binds: hatched week by week by how much it takes, its name once.
pub fn bound(plate: &mut Plate, binding: &Binding) {
    for (rect, taken) in &binding.taken {
        plate.areas(vec![*rect], fill_of(*taken));
    }
    let Rect { x, y, .. } = binding.rect;
    let (right, foot) = (binding.rect.right(), binding.rect.foot());
    plate.lines(vec![[x, y, x, foot], [right, y, right, foot]], inked(0.8));
    let room = binding.rect.width;
    if room > binding.title.chars().count() as f64 * LETTER * 1.15 + 4.0 {
        let middle = [(x + right) / 2.0, foot - 5.0];
        plate.words(middle, Anchor::Middle, PLAIN, binding.title);
    }
}

/// A row of a legend: its name, and what the fillings mean.
pub fn legend(plate: &mut Plate, [left, y]: [f64; 2], name: &str, list: &[(Verdict, &str)]) {
    plate.words([12.0, y + 9.5], Anchor::Start, PLAIN, name);
    for (n, (verdict, word)) in list.iter().enumerate() {
        let swatch = swatch([left + ENTRY * n as f64, y]);
        filled(plate, swatch, *verdict);
        beside(plate, swatch, word);
    }
}

/// Where a legend's swatch lies.
pub fn swatch([x, y]: [f64; 2]) -> Rect {
    Rect {
        x,
        y,
        width: 26.0,
        height: 12.0,
    }
}

/// A legend's word beside its swatch.
pub fn beside(plate: &mut Plate, swatch: Rect, word: &str) {
    let at = [swatch.right() + 5.0, swatch.y + 9.5];
    plate.words(at, Anchor::Start, PLAIN, word);
}

/// What the strip of binding faults means.
pub const TAKEN: [(Verdict, &str); 3] = [
    (Verdict::Good, "less than a third"),
    (Verdict::Fair, "less than two thirds"),
    (Verdict::Poor, "more"),
];
