//! \[\[wire]] of a scene file: between named things or between points. May not enter: pixels.

use super::objects::{Hold, Site};
use crate::document::{Table, nearest};
use crate::scene::limits::REACH_M;
use crate::scene::polygon::{CLOSEST_M, middle};
use crate::scene::surroundings::Wire;
use glam::{DVec2, DVec3};

pub fn wires(root: &Table<'_>, site: &Site) -> Vec<Wire> {
    let tables = root.tables("wire");
    let read = |(i, table): (usize, &Table<'_>)| wire(table, site, i);
    tables.iter().enumerate().filter_map(read).collect()
}

fn wire(table: &Table<'_>, site: &Site, number: usize) -> Option<Wire> {
    let name = site.name(table, "wire", number);
    let sag = table.number("sag_m").range(0.0..=50.0).default(0.0);
    let diameter = table.number("diameter_mm").range(0.5..=300.0).required();
    let by_points = table.has("a_m") || table.has("b_m");
    let ends = if by_points {
        for key in ["from", "to", "from_height_m", "to_height_m"] {
            if table.has(key) {
                table.fault(
                    key,
                    "two kinds of ends for one wire",
                    "not beside a_m and b_m",
                );
            }
        }
        let end = |key| table.tuple::<3>(key).range(-REACH_M..=REACH_M).required();
        let (a, b) = (end("a_m"), end("b_m"));
        (a.map(DVec3::from_array), b.map(DVec3::from_array))
    } else {
        named_ends(table, site)
    };
    // As the insulators of an arm stand: level, square to the wire.
    let aside = table.number("aside_m").range(-5.0..=5.0).default(0.0);
    let (a, b) = (ends.0?, ends.1?);
    if a.distance(b) < CLOSEST_M {
        let key = if by_points { "b_m" } else { "to" };
        table.fault(
            key,
            "a wire without length",
            "two ends apart from each other",
        );
        return None;
    }
    let way = (b - a).truncate().normalize_or_zero();
    let shift = (-way.perp() * aside).extend(0.0);
    Some(Wire {
        name,
        a: a + shift,
        b: b + shift,
        sag_m: sag,
        diameter_m: diameter? / 1000.0,
    })
}

fn named_ends(table: &Table<'_>, site: &Site) -> (Option<DVec3>, Option<DVec3>) {
    let holds = site.holds.borrow();
    let from = held(table, "from", "from_height_m", site, &holds);
    let to = held(table, "to", "to_height_m", site, &holds);
    let end = |this: &Option<(&Hold, f64)>, other: &Option<(&Hold, f64)>| {
        let (hold, height_m) = (*this)?;
        let toward = other.map_or(hold.at[0], |(other, _)| middle(&other.at));
        Some(nearest_corner(hold, toward).extend(hold.foot_z_m + height_m))
    };
    (end(&from, &to), end(&to, &from))
}

/// What an end hangs on, and how high over its foot.
fn held<'h>(
    table: &Table<'_>,
    key: &str,
    height_key: &str,
    site: &Site,
    holds: &'h [Hold],
) -> Option<(&'h Hold, f64)> {
    let name = table.text(key).required();
    let height = table.number(height_key).range(0.0..=100.0).required();
    let name = name?;
    // A pole that was refused is still a name: one cause, one problem.
    if site.is_refused(&name) {
        return None;
    }
    let Some(hold) = holds.iter().find(|hold| hold.name == name) else {
        let names: Vec<&str> = holds.iter().map(|hold| hold.name.as_str()).collect();
        let mut allowed = format!("a pole, mast, signal or building: {}", names.join(", "));
        if let Some(near) = nearest(&name, names) {
            allowed = format!("{allowed}; did you mean {near}?");
        }
        table.fault(key, "nothing of this name to hang a wire on", allowed);
        return None;
    };
    let height_m = height?;
    if height_m > hold.height_m {
        let message = format!("higher than {name}");
        table.fault(height_key, message, format!("from 0 to {}", hold.height_m));
        return None;
    }
    Some((hold, height_m))
}

fn nearest_corner(hold: &Hold, toward: DVec2) -> DVec2 {
    hold.at
        .iter()
        .copied()
        .min_by(|a, b| a.distance(toward).total_cmp(&b.distance(toward)))
        .unwrap_or(toward)
}
