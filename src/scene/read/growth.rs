//! Trees, bushes and weeds of a scene file. May not enter: their solids (see `shapes`).

use super::objects::{Site, coat};
use crate::document::Table;
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::build::Build;
use crate::scene::shapes::growth::{self as shapes, TreeKind};
use crate::scene::surroundings::{Kind, Object};

const BARK: Coat = Coat::new(Finish::Bark, [0x58, 0x4a, 0x3e]);
const LEAVES: Coat = Coat::new(Finish::Leaves, [0x50, 0x62, 0x38]);
const WEEDS: Coat = Coat::new(Finish::Weeds, [0x72, 0x74, 0x42]);

/// Bushes and weeds: whether weeds.
const BUSHES: [(&str, bool); 2] = [("bush", false), ("weeds", true)];

pub fn growth(root: &Table<'_>, site: &Site) -> Vec<Object> {
    let mut all = Vec::new();
    for (i, table) in root.tables("tree").iter().enumerate() {
        all.extend(tree(table, site, i).into_iter().flatten());
    }
    for (i, table) in root.tables("bush").iter().enumerate() {
        all.extend(bush(table, site, i));
    }
    all
}

/// Crown and trunk; a crown of no opacity is no crown.
fn tree(table: &Table<'_>, site: &Site, number: usize) -> Option<Vec<Object>> {
    let name = site.name(table, "tree", number);
    let kind = table.choice("kind", &TreeKind::WORDS);
    let kind = kind.default(TreeKind::Broadleaf);
    let foot = site.foot(table);
    let height = table.number("height_m").range(0.5..=100.0).required();
    let width = table.number("crown_width_m").range(0.2..=60.0).required();
    let crown_base = table.number("crown_base_m").range(0.0..=80.0).required();
    let opacity = table.number("crown_opacity").range(0.0..=1.0).required();
    let trunk = table
        .number("trunk_diameter_m")
        .range(0.02..=5.0)
        .required();
    let leaves = coat(table, kind.coat());
    if let (Some(height), Some(base)) = (height, crown_base)
        && base >= height
    {
        table.fault(
            "crown_base_m",
            "the crown begins above the tree",
            format!("below {height}"),
        );
        return None;
    }
    let (foot, height_m, base_m, opacity) = (foot?, height?, crown_base?, opacity?);
    let (width_m, trunk_m) = (width?, trunk?);
    let is_bare = opacity == 0.0;
    let trunk = shapes::trunk(foot, trunk_m, [base_m, height_m], width_m, is_bare, BARK);
    let mut objects = vec![Object::of(format!("{name} (trunk)"), Kind::Trunk, trunk)];
    if !is_bare {
        let mut build = Build::default();
        build.all(leaves, kind.crown(foot, width_m, base_m, height_m));
        objects.push(Object {
            opacity,
            ..Object::of(name, Kind::Crown, build)
        });
    }
    Some(objects)
}

fn bush(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.name(table, "bush", number);
    let is_weeds = table.choice("kind", &BUSHES).default(false);
    let foot = site.foot(table);
    let width = table.number("width_m").range(0.1..=30.0).required();
    let height = table.number("height_m").range(0.1..=10.0).required();
    // Between blades of weeds one sees through as it is; leaves are not drawn one by one.
    let usual = if is_weeds { 1.0 } else { 0.9 };
    let opacity = table.number("opacity").range(0.01..=1.0).default(usual);
    let coat = coat(table, if is_weeds { WEEDS } else { LEAVES });
    let (foot, width_m, height_m) = (foot?, width?, height?);
    let mut build = Build::default();
    build.all(
        coat,
        if is_weeds {
            shapes::weeds(foot, width_m, height_m)
        } else {
            shapes::bush(foot, width_m, height_m)
        },
    );
    Some(Object {
        opacity,
        ..Object::of(name, Kind::Bush, build)
    })
}
