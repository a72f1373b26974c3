//! Liveries: sets of paints that a sidecar offers. May not enter: which one a scene wants.

use super::model::Livery;
use crate::document::{COLOR, Table, color_srgb};

/// A material's name and colour as far as they could be read.
pub(super) type Paint = (Option<String>, Option<[u8; 3]>);

/// Reads `[[livery]]`: each gives the colours in which it differs from the materials' own.
pub(super) fn read(root: &Table<'_>, materials: &[Paint]) -> Option<Vec<Livery>> {
    let words: Vec<(&str, usize)> = materials
        .iter()
        .enumerate()
        .filter_map(|(index, (name, _))| Some((name.as_deref()?, index)))
        .collect();
    // A material without a colour has been told, and gives no model.
    let own: Vec<[u8; 3]> = materials
        .iter()
        .map(|one| one.1.unwrap_or_default())
        .collect();
    let mut names: Vec<String> = Vec::new();
    let mut liveries = Vec::new();
    for table in root.tables("livery") {
        let name = table.text("name").required();
        table.prose("note").optional();
        if let Some(name) = &name {
            if names.contains(name) {
                table.fault("name", "a name used twice", "each livery once");
            }
            names.push(name.clone());
        }
        let mut colors = own.clone();
        for paint in table.tables("paint") {
            let material = paint.choice("material", &words).required();
            let color = paint.text("color_srgb").map(COLOR, color_srgb).required();
            if let (Some(material), Some(color)) = (material, color) {
                colors[material] = color;
            }
        }
        liveries.push(name.map(|name| Livery {
            name,
            colors_srgb: colors,
        }));
    }
    liveries.into_iter().collect()
}
