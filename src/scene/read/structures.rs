//! Buildings, bridges, canopies and fences of a scene file. May not enter: things that grow or roll.

use super::objects::{Hold, Site, solid_object};
use super::{point, points, polygon};
use crate::document::{COLOR, Table, color_srgb};
use crate::mesh::solid::Solid;
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes;
use crate::scene::surroundings::{Kind, Object};
use glam::DVec2;

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

fn coat(table: &Table<'_>, finish: Finish, usual_srgb: [u8; 3]) -> Coat {
    let color = table.text("color_srgb").map(COLOR, color_srgb);
    Coat::new(finish, color.default(usual_srgb))
}

fn building(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.holding_name(table, "building", number);
    let footprint = polygon(table, "footprint_m");
    let height = table.number("height_m").range(0.5..=200.0).required();
    let base_m = site.base(table);
    let coat = coat(table, Finish::Plain, [0x9a, 0x8e, 0x80]);
    let (footprint, height_m) = (footprint?, height?);
    let solids = shapes::prisms(&footprint, base_m, base_m + height_m);
    site.holds.borrow_mut().push(Hold {
        name: name.clone(),
        at: footprint,
        foot_z_m: base_m,
        height_m,
    });
    Some(solid_object(name, Kind::Building, solids, coat))
}

/// A girder between two points, its underside over the top of rail.
fn bridge(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.name(table, "bridge", number);
    let (from, to) = (point(table, "from_m"), point(table, "to_m"));
    let width = table.number("width_m").range(0.1..=100.0).required();
    let (underside, depth) = underside_and_depth(table);
    let coat = coat(table, Finish::Steel, [0x70, 0x72, 0x74]);
    let (from, to, depth_m) = (from?, to?, depth?);
    if from.distance(to) < 0.1 {
        table.fault(
            "to_m",
            "a bridge without length",
            "a point apart from from_m",
        );
        return None;
    }
    let middle = underside? + depth_m / 2.0;
    let girder = Solid::Beam {
        a: from.extend(middle),
        b: to.extend(middle),
        width_m: width?,
        height_m: depth_m,
    };
    Some(solid_object(name, Kind::Bridge, vec![girder], coat))
}

/// A roof on posts, its underside over the top of rail.
fn canopy(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.name(table, "canopy", number);
    let footprint = polygon(table, "footprint_m");
    let (underside, depth) = underside_and_depth(table);
    let posts = if table.has("posts_m") {
        points(table, "posts_m", 1)
    } else {
        Some(Vec::new())
    };
    let base_m = site.base(table);
    let coat = coat(table, Finish::Plain, [0x6c, 0x66, 0x5c]);
    let (underside_m, depth_m, posts) = (underside?, depth?, posts?);
    let mut solids = shapes::prisms(&footprint?, underside_m, underside_m + depth_m);
    let post = |at: &DVec2| shapes::upright(at.extend(base_m), underside_m - base_m, 0.2, 1.0);
    solids.extend(posts.iter().map(post));
    Some(solid_object(name, Kind::Canopy, solids, coat))
}

fn underside_and_depth(table: &Table<'_>) -> (Option<f64>, Option<f64>) {
    let underside = table.number("underside_m").range(1.0..=60.0).required();
    let depth = table.number("depth_m").range(0.05..=20.0).required();
    (underside, depth)
}

/// Panels of some opacity, and solid posts.
fn fence(table: &Table<'_>, site: &Site, number: usize) -> Option<Vec<Object>> {
    let name = site.name(table, "fence", number);
    let line = points(table, "points_m", 2);
    let height = table.number("height_m").range(0.2..=12.0).required();
    // Common practice: woven wire of 50 mm mesh stops about a tenth of what comes square to it.
    let opacity = table.number("opacity").range(0.01..=1.0).default(0.1);
    let spacing_m = table
        .number("post_spacing_m")
        .range(0.5..=50.0)
        .default(3.0);
    let base_m = site.base(table);
    let coat = coat(table, Finish::Mesh, [0x86, 0x88, 0x88]);
    let (line, height_m) = (line?, height?);
    let panels = shapes::panels(&line, base_m, height_m, 0.01);
    let post = |at: DVec2| shapes::upright(at.extend(base_m), height_m, 0.06, 1.0);
    let posts = shapes::spaced(&line, spacing_m)
        .into_iter()
        .map(post)
        .collect();
    let posts_coat = Coat::new(Finish::Paint, coat.color_srgb);
    Some(vec![
        solid_object(format!("{name} (posts)"), Kind::Fence, posts, posts_coat),
        Object {
            opacity,
            ..solid_object(name, Kind::Fence, panels, coat)
        },
    ])
}
