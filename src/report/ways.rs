//! The ways that a machine may face, as reports go through them: one, or two where nobody knows which end leads; then
//! both are told, and the better one counts. May not enter: grading, what is told of either.

use crate::grade::{Rulebook, Sheet, Studio};
use crate::scene::Scene;
use crate::scene::machine::HeadEnd;
use crate::sighting::rasterizer::Rasterizer;
use crate::units::compass_word;

/// A studio for each way that the machine may face, as far as anybody knows which end leads.
pub fn studios<'a>(
    scene: &Scene,
    head_end: HeadEnd,
    rulebook: &'a Rulebook,
    rasterizer: &'a dyn Rasterizer,
) -> Vec<Studio<'a>> {
    let ends = match head_end {
        HeadEnd::Unknown => vec![HeadEnd::First, HeadEnd::Second],
        known => vec![known],
    };
    let mut studios: Vec<Studio> = Vec::new();
    for end in ends {
        let turned = scene.with_head_end(end);
        studios.push(Studio::new(turned, rulebook, rasterizer, studios.first()));
    }
    studios
}

/// What stands over a block where nobody knows which end leads.
pub fn line(studio: &Studio) -> String {
    let nose_deg = studio.scene.machine.forward_bearing_deg();
    let word = compass_word(nose_deg);
    format!("If it faces {word} ({nose_deg:.0}°), which nobody knows:\n")
}

/// What a report makes of one facing.
pub trait Way {
    /// The facing's studio.
    fn studio(&self) -> &Studio<'_>;

    /// Its best sheet; none where nothing could be graded.
    fn best(&self) -> Option<&Sheet>;

    /// All of it as text.
    fn text(&self) -> String;

    /// All of it as data.
    fn data(&self) -> serde_json::Value;
}

/// Every facing's text, in the scene's order.
pub fn text<W: Way>(ways: &[W]) -> String {
    let with_line = |way: &W| match ways.len() {
        1 => way.text(),
        _ => line(way.studio()) + &way.text(),
    };
    ways.iter().map(with_line).collect()
}

/// Puts the better facing first, as sheets rank; of equals the scene's first end.
pub fn better_first<W: Way>(ways: &mut [W]) {
    ways.sort_by(|a, b| match (a.best(), b.best()) {
        (Some(a), Some(b)) => b.rank(a),
        (a, b) => b.is_some().cmp(&a.is_some()),
    });
}

/// The first facing's data, and below them the other's.
pub fn data<W: Way>(ways: &[W]) -> serde_json::Value {
    let mut data = ways[0].data();
    if let Some(other) = ways.get(1) {
        data["other_end"] = other.data();
    }
    data
}
