//! Poles, masts, signals and switch stands of a scene file. May not enter: their solids (see `shapes`).

use super::objects::{Hold, Site, bearing_deg, coat};
use crate::document::Table;
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::build::Build;
use crate::scene::shapes::uprights as shapes;
use crate::scene::surroundings::{Kind, Object};
use glam::{DVec2, DVec3};

/// Every upright: its key, its kind, and its usual coat.
const UPRIGHTS: [(&str, Kind, Coat); 4] = [
    (
        "pole",
        Kind::Pole,
        Coat::new(Finish::Timber, [0x6a, 0x58, 0x48]),
    ),
    (
        "mast",
        Kind::Mast,
        Coat::new(Finish::Paint, [0x8c, 0x90, 0x92]),
    ),
    (
        "signal",
        Kind::Signal,
        Coat::new(Finish::Paint, [0x2a, 0x2c, 0x2e]),
    ),
    (
        "switch_stand",
        Kind::SwitchStand,
        Coat::new(Finish::Paint, [0x9a, 0x2a, 0x20]),
    ),
];

pub fn uprights(root: &Table<'_>, site: &Site) -> Vec<Object> {
    let mut all = Vec::new();
    for (key, kind, usual) in UPRIGHTS {
        for (i, table) in root.tables(key).iter().enumerate() {
            let name = site.holding_name(table, &key.replace('_', " "), i);
            all.extend(upright(table, site, kind, usual, name));
        }
    }
    all
}

fn upright(
    table: &Table<'_>,
    site: &Site,
    kind: Kind,
    usual: Coat,
    name: String,
) -> Option<Object> {
    let foot = site.foot(table);
    let height = table.number("height_m").range(0.2..=80.0).required();
    let coat = coat(table, usual);
    // Common practice: a wooden pole's foot, a lamp or signal mast's tube.
    let usual_m = if kind == Kind::Pole { 0.30 } else { 0.15 };
    let diameter_m = match kind {
        Kind::SwitchStand => usual_m,
        _ => table
            .number("diameter_m")
            .range(0.02..=3.0)
            .default(usual_m),
    };
    let shape = shape(table, site, kind, foot);
    let (foot, height_m) = (foot?, height?);
    site.holds.borrow_mut().push(Hold {
        name: name.clone(),
        at: vec![foot.truncate()],
        foot_z_m: foot.z,
        height_m,
    });
    Some(Object::of(
        name,
        kind,
        shape(foot, height_m, diameter_m, coat),
    ))
}

/// Reads the keys of a kind's own; what comes back builds the thing at a foot, in its height, diameter, coat.
fn shape(
    table: &Table<'_>,
    site: &Site,
    kind: Kind,
    foot: Option<DVec3>,
) -> Box<dyn Fn(DVec3, f64, f64, Coat) -> Build> {
    let along = site.track_bearing_deg;
    let whole = |key: &str, limits, usual: f64| {
        let number = table.number(key).range(limits).whole();
        number.default(usual) as usize
    };
    match kind {
        Kind::Pole => {
            let arms = whole("crossarms", 0.0..=6.0, 0.0);
            let arms_deg = site.bearing(table, "crossarm_bearing_deg", along + 90.0);
            Box::new(move |foot, height_m, diameter_m, coat| {
                shapes::pole(foot, height_m, diameter_m, arms, arms_deg, coat)
            })
        }
        Kind::Mast => {
            let at_m = foot.map_or(DVec2::ZERO, |foot| foot.truncate());
            let toward_deg = bearing_deg(at_m, site.machine_m);
            let lamp = table.flag("lamp").default(true);
            let lamp_deg = site.bearing(table, "lamp_bearing_deg", toward_deg);
            Box::new(move |foot, height_m, diameter_m, coat| {
                shapes::mast(foot, height_m, diameter_m, lamp.then_some(lamp_deg), coat)
            })
        }
        Kind::Signal => {
            let heads = whole("heads", 1.0..=3.0, 1.0);
            let facing_deg = site.bearing(table, "facing_deg", along);
            Box::new(move |foot, height_m, diameter_m, coat| {
                shapes::signal(foot, height_m, diameter_m, heads, facing_deg, coat)
            })
        }
        _ => {
            let facing_deg = site.bearing(table, "facing_deg", along);
            Box::new(move |foot, height_m, _, coat| {
                shapes::switch_stand(foot, height_m, facing_deg, coat)
            })
        }
    }
}
