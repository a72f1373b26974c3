//! Buildings, bridges, canopies and fences of a scene file. May not enter: things that grow or roll.

use super::objects::{Hold, Site, coat};
use super::{line, point, points, polygon};
use crate::document::Table;
use crate::scene::coat::{Coat, Finish};
use crate::scene::polygon::{is_convex, outside_m};
use crate::scene::shapes::build::Build;
use crate::scene::shapes::building::{Look, Roof, building as built};
use crate::scene::shapes::structures::{Bridge, FenceKind, canopy as roofed, canopy_posts};
use crate::scene::surroundings::{Kind, Object};
use glam::DVec2;

/// What walls are made of, in their usual colour.
const WALLS: [(&str, Coat); 5] = [
    ("plain", Coat::new(Finish::Plain, [0x9a, 0x8e, 0x80])),
    ("brick", Coat::new(Finish::Brick, [0x8a, 0x54, 0x42])),
    (
        "corrugated",
        Coat::new(Finish::Corrugated, [0x93, 0x97, 0x98]),
    ),
    ("board", Coat::new(Finish::Boards, [0x8e, 0x7e, 0x68])),
    ("concrete", Coat::new(Finish::Concrete, [0xa3, 0x9e, 0x94])),
];

const ROOFS: [(&str, Roof); 3] = [
    ("flat", Roof::Flat),
    ("gable", Roof::Gable),
    ("saw-tooth", Roof::SawTooth),
];

pub fn structures(root: &Table<'_>, site: &Site) -> Vec<Object> {
    let mut all = Vec::new();
    for (i, table) in root.tables("building").iter().enumerate() {
        all.extend(building(table, site, i));
    }
    for (i, table) in root.tables("bridge").iter().enumerate() {
        all.extend(bridge(table, site, i));
    }
    for (i, table) in root.tables("canopy").iter().enumerate() {
        all.extend(canopy(table, site, i));
    }
    for (i, table) in root.tables("fence").iter().enumerate() {
        all.extend(fence(table, site, i).into_iter().flatten());
    }
    all
}

/// Points, if the key stands there.
fn points_or_none(table: &Table<'_>, key: &str) -> Option<Option<Vec<DVec2>>> {
    if table.has(key) {
        points(table, key, 1).map(Some)
    } else {
        Some(None)
    }
}

/// A door is put into the nearest wall; one that is stated farther from the building is a slip.
const DOOR_REACH_M: f64 = 2.0;
/// The same of what carries a bridge or a roof, which has some thickness.
const PROP_REACH_M: f64 = 0.5;

/// Tells every point that lies farther from a footprint than that.
fn hold_within(table: &Table<'_>, key: &str, at: &[DVec2], footprint: &[DVec2], reach_m: f64) {
    for (i, point) in at.iter().enumerate() {
        let outside_m = outside_m(footprint, *point);
        if outside_m > reach_m {
            let message = format!("{outside_m:.1} m away from what it belongs to");
            let allowed = format!("points over its footprint, or at most {reach_m} m outside");
            table.fault_item(key, i, message, allowed);
        }
    }
}

fn building(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.holding_name(table, "building", number);
    let footprint = polygon(table, "footprint_m");
    let height = table.number("height_m").range(0.5..=200.0).required();
    let base_m = site.base(table);
    let walls = coat(table, table.choice("walls", &WALLS).default(WALLS[0].1));
    let roof = table.choice("roof", &ROOFS).default(Roof::Flat);
    let rise = table.number("roof_rise_m").range(0.1..=30.0).optional();
    let storeys = table.number("storeys").range(0.0..=60.0).whole().optional();
    let doors = points_or_none(table, "doors_m");
    let door_width_m = table.number("door_width_m").range(0.6..=12.0).default(3.6);
    if roof == Roof::Flat && rise.is_some() {
        table.fault(
            "roof_rise_m",
            "a flat roof does not rise",
            "roof = \"gable\" or \"saw-tooth\"",
        );
        return None;
    }
    let (footprint, height_m) = (footprint?, height?);
    if roof != Roof::Flat && (footprint.len() != 4 || !is_convex(&footprint)) {
        let message = match footprint.len() {
            4 => "a roof of this kind over a corner that looks inward".to_string(),
            corners => format!("a roof of this kind over {corners} corners"),
        };
        let allowed = "a footprint of four corners that look outward, or roof = \"flat\"";
        table.fault("roof", message, allowed);
        return None;
    }
    let doors = doors?.unwrap_or_default();
    hold_within(table, "doors_m", &doors, &footprint, DOOR_REACH_M);
    let look = Look {
        walls,
        roof,
        // Common practice: a slope of about 1 : 2.
        roof_rise_m: rise.unwrap_or_else(|| match roof {
            Roof::SawTooth => 2.2,
            _ => narrower_m(&footprint) * 0.25,
        }),
        storeys: storeys.map_or_else(|| usual_storeys(walls.finish, height_m), |n| n as usize),
        doors_m: doors,
        door_width_m,
    };
    let build = built(&footprint, base_m, height_m, &look, site.machine_m);
    site.holds.borrow_mut().push(Hold {
        name: name.clone(),
        at: footprint,
        foot_z_m: base_m,
        height_m,
    });
    Some(Object::of(name, Kind::Building, build))
}

/// The shorter of a footprint's first two edges.
fn narrower_m(footprint: &[DVec2]) -> f64 {
    let edge = |i: usize| footprint[i].distance(footprint[i + 1]);
    edge(0).min(edge(1))
}

/// Rows of windows where none are stated: walls of no particular kind are blank.
fn usual_storeys(walls: Finish, height_m: f64) -> usize {
    match walls {
        Finish::Plain => 0,
        Finish::Corrugated => 1,
        _ => (height_m / 4.0).floor().max(1.0) as usize,
    }
}

/// A girder bridge between two points, its underside over the top of rail.
fn bridge(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.name(table, "bridge", number);
    let (from, to) = (point(table, "from_m"), point(table, "to_m"));
    let width = table.number("width_m").range(0.1..=100.0).required();
    let base_m = site.base(table);
    let (underside, depth) = underside_and_depth(table, base_m);
    let piers = points_or_none(table, "piers_m");
    let abutments = table.flag("abutments").default(true);
    let steel = coat(table, Coat::new(Finish::Steel, [0x70, 0x72, 0x74]));
    let (from_m, to_m) = (from?, to?);
    if from_m.distance(to_m) < 0.1 {
        table.fault(
            "to_m",
            "a bridge without length",
            "a point apart from from_m",
        );
        return None;
    }
    let (width_m, piers_m) = (width?, piers?.unwrap_or_default());
    let aside_m = (to_m - from_m).normalize().perp() * (width_m / 2.0);
    let under = [
        from_m - aside_m,
        to_m - aside_m,
        to_m + aside_m,
        from_m + aside_m,
    ];
    hold_within(table, "piers_m", &piers_m, &under, PROP_REACH_M);
    let bridge = Bridge {
        from_m,
        to_m,
        width_m,
        underside_m: underside?,
        depth_m: depth?,
        piers_m,
        abutments,
        base_m,
    };
    Some(Object::of(name, Kind::Bridge, bridge.build(steel)))
}

/// A roof on posts, its underside over the top of rail.
fn canopy(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.name(table, "canopy", number);
    let footprint = polygon(table, "footprint_m");
    let base_m = site.base(table);
    let (underside, depth) = underside_and_depth(table, base_m);
    let posts = points_or_none(table, "posts_m");
    let roof = coat(table, Coat::new(Finish::Roofing, [0x6c, 0x66, 0x5c]));
    let (underside_m, depth_m, footprint) = (underside?, depth?, footprint?);
    let posts = posts?.unwrap_or_else(|| canopy_posts(&footprint));
    hold_within(table, "posts_m", &posts, &footprint, PROP_REACH_M);
    let levels_m = [base_m, underside_m, underside_m + depth_m];
    let build = roofed(&footprint, &posts, levels_m, roof);
    Some(Object::of(name, Kind::Canopy, build))
}

/// An underside that lies in the ground would be a bank, which nobody stated.
fn underside_and_depth(table: &Table<'_>, base_m: f64) -> (Option<f64>, Option<f64>) {
    let underside = table.number("underside_m").range(1.0..=60.0).required();
    if underside.is_some_and(|underside_m| underside_m <= base_m) {
        let allowed = format!("more than {base_m}, where its ground is");
        table.fault("underside_m", "it lies in the ground", allowed);
    }
    let depth = table.number("depth_m").range(0.05..=20.0).required();
    (underside, depth)
}

/// Posts and rails that stop all light, and panels of some opacity.
fn fence(table: &Table<'_>, site: &Site, number: usize) -> Option<Vec<Object>> {
    let name = site.name(table, "fence", number);
    let kind = table.choice("kind", &FenceKind::WORDS);
    let kind = kind.default(FenceKind::ChainLink);
    let line = line(table, "points_m");
    let height = table.number("height_m").range(0.2..=12.0).required();
    let opacity = table.number("opacity").range(0.01..=1.0);
    let opacity = opacity.default(kind.usual_opacity());
    let spacing_m = table
        .number("post_spacing_m")
        .range(0.5..=50.0)
        .default(3.0);
    let base_m = site.base(table);
    let coat = coat(table, kind.coat());
    let (line, height_m) = (line?, height?);
    let posts = kind.frame(&line, base_m, height_m, spacing_m, coat);
    let mut panels = Build::default();
    panels.all(coat, kind.panels(&line, base_m, height_m, opacity));
    // A rail stops all light; how much of the height rails fill is their opacity.
    let of_sheet = if kind == FenceKind::Rail {
        1.0
    } else {
        opacity
    };
    Some(vec![
        Object::of(format!("{name} (posts)"), Kind::Fence, posts),
        Object {
            opacity: of_sheet,
            ..Object::of(name, Kind::Fence, panels)
        },
    ])
}
