//! \[ground] of a scene file. May not enter: where one should stand.

use super::{keep_name, objects::coat, polygon};
use crate::document::Table;
use crate::scene::coat::Coat;
use crate::scene::ground::{
    Access, Area, DEFAULT_STAND_OFF_M, Ground, LEAST_STAND_OFF_M, SURFACES, Surface, USUAL_SURFACE,
};

const ACCESS: [(&str, Access); 2] = [
    ("public", Access::Public),
    ("permission", Access::Permission),
];

pub fn ground(root: &Table<'_>) -> Option<Ground> {
    let table = root.table("ground").required()?;
    let stand_off = table
        .number("stand_off_m")
        .range(LEAST_STAND_OFF_M..=200.0)
        .default(DEFAULT_STAND_OFF_M);
    let areas = table.tables("area");
    if areas.is_empty() && !table.has("area") {
        table.fault("area", "nowhere to stand", "at least one [[ground.area]]");
    }
    let mut names = Vec::new();
    let areas: Vec<Option<Area>> = areas.iter().map(|one| area(one, &mut names)).collect();
    let surfaces = root.tables("surface");
    let surfaces: Vec<Option<Surface>> = (surfaces.iter().enumerate())
        .map(|(i, one)| surface(one, i, &mut names))
        .collect();
    Some(Ground {
        surfaces: surfaces.into_iter().collect::<Option<_>>()?,
        areas: areas.into_iter().collect::<Option<_>>()?,
        stand_off_m: stand_off,
    })
}

fn area(table: &Table<'_>, names: &mut Vec<String>) -> Option<Area> {
    let name = table.text("name").required();
    if let Some(name) = &name {
        keep_name(table, names, name);
    }
    let note = table.prose("note").optional();
    let access = table.choice("access", &ACCESS).required();
    let polygon = polygon(table, "polygon_m");
    let below = table.number("below_rail_m").range(-4.0..=6.0).required();
    let coat = covering(table);
    Some(Area {
        name: name?,
        note: note.unwrap_or_default(),
        access: access?,
        polygon_m: polygon?,
        below_rail_m: below?,
        coat,
    })
}

fn surface(table: &Table<'_>, number: usize, names: &mut Vec<String>) -> Option<Surface> {
    let usual = format!("surface {}", number + 1);
    let name = table.text("name").default(usual);
    keep_name(table, names, &name);
    let polygon = polygon(table, "polygon_m");
    let rise_m = table.number("rise_m").range(0.0..=2.0).default(0.0);
    Some(Surface {
        name,
        polygon_m: polygon?,
        rise_m,
        coat: covering(table),
    })
}

/// What ground is covered with, in its usual colour or the one stated.
fn covering(table: &Table<'_>) -> Coat {
    let usual = SURFACES[USUAL_SURFACE].1;
    let of_word = table.choice("surface", &SURFACES).default(usual);
    coat(table, of_word)
}
