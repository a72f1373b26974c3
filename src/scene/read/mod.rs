//! Scene files: every key, its unit and its limits, and what must hold between them. May not enter:
//! what a scene is used for.

mod ground;
mod growth;
mod kit;
mod machine;
mod objects;
mod place;
mod structures;
mod tracks;
mod uprights;
mod wires;

use super::Scene;
use super::limits::REACH_M;
use super::machine::Machine;
use super::polygon::CLOSEST_M;
use super::track::Track;
use crate::document::{Document, FileKind, Problems, Table};
use glam::DVec2;
use objects::Site;
use std::path::Path;

/// Reads a whole scene, telling every problem of the scene and of the model that it names.
pub fn scene(document: Document, path: &Path) -> Result<Scene, Problems> {
    let document = document.wanted_as(FileKind::Scene)?;
    let root = document.root();
    let mut problems = Problems::new();
    let scene = assemble(&root, path, &mut problems);
    match document.finish() {
        Ok(()) => problems.or(scene),
        Err(mut all) => {
            all.extend(problems);
            Err(all)
        }
    }
}

/// Reads every section before giving up on any, so that all problems are told.
fn assemble(root: &Table<'_>, path: &Path, problems: &mut Problems) -> Option<Scene> {
    let about = root.table("scene").required();
    let name = about.as_ref().and_then(|t| t.text("name").required());
    let note = about.as_ref().and_then(|t| t.prose("note").optional());
    let place = place::place(root);
    let sky = place::sky(root);
    let tracks = tracks::tracks(root);
    let machine = machine::machine(root, &tracks, path, problems);
    let site = Site::new(base_z_m(&machine, &tracks), &machine);
    let surroundings = objects::objects(root, &site, &tracks, machine.as_ref());
    let wires = wires::wires(root, &site);
    let cleared = objects::cleared(root);
    let ground = ground::ground(root);
    let kit = kit::kit(root);
    let zone = place.as_ref().map(|place| &place.zone);
    let frame = kit::frame(root, zone, ground.as_ref(), &tracks);
    let mut scene = Scene {
        name: name?,
        note: note.unwrap_or_default(),
        place: place?,
        tracks: tracks.into_iter().collect::<Option<_>>()?,
        machine: machine?,
        surroundings,
        cleared,
        aside: vec![],
        wires,
        ground: ground?,
        kit: kit?,
        frame: frame?,
        sky: sky?,
    };
    scene.place_machine();
    scene.set_aside();
    Some(scene)
}

/// The site's ground: that of the machine's track.
fn base_z_m(machine: &Option<Machine>, tracks: &[Option<Track>]) -> f64 {
    let track = machine
        .as_ref()
        .and_then(|machine| tracks[machine.track].as_ref());
    -track.map_or(tracks::DEFAULT_GROUND_BELOW_RAIL_M, |track| {
        track.ground_below_rail_m
    })
}

/// A point east, north.
fn point(table: &Table<'_>, key: &str) -> Option<DVec2> {
    table
        .tuple::<2>(key)
        .range(-REACH_M..=REACH_M)
        .required()
        .map(DVec2::from_array)
}

/// A polyline or polygon with at least so many points.
fn points(table: &Table<'_>, key: &str, at_least: usize) -> Option<Vec<DVec2>> {
    let points = table
        .tuples::<2>(key)
        .items(at_least)
        .range(-REACH_M..=REACH_M)
        .required()?;
    Some(points.into_iter().map(DVec2::from_array).collect())
}

/// A polyline whose points lie apart.
fn line(table: &Table<'_>, key: &str) -> Option<Vec<DVec2>> {
    let line = points(table, key, 2)?;
    let repeated = line
        .windows(2)
        .position(|pair| pair[0].distance(pair[1]) < CLOSEST_M);
    if let Some(i) = repeated {
        let allowed = "points apart from each other";
        table.fault_item(key, i + 1, "the same point twice", allowed);
        return None;
    }
    Some(line)
}

/// A simple polygon.
fn polygon(table: &Table<'_>, key: &str) -> Option<Vec<DVec2>> {
    let polygon = points(table, key, 3)?;
    match super::polygon::fault(&polygon) {
        Some(message) => {
            let allowed = "a simple polygon: corners in order, no edge crossing another";
            table.fault(key, message, allowed);
            None
        }
        None => Some(polygon),
    }
}

/// Tells a name that stands in the list already; keeps it otherwise.
fn keep_name(table: &Table<'_>, names: &mut Vec<String>, name: &str) {
    if names.iter().any(|one| one == name) {
        table.fault("name", "a name used twice", "each name once");
    } else {
        names.push(name.to_string());
    }
}
