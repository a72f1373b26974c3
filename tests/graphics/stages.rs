//! Stages and views that tests of the GPU draw. May not enter: what is expected of them.

use crate::reference_scene::toward;
use glam::{DVec2, DVec3};
use std::path::Path;
use std::sync::Arc;
use sunside::mesh::sidecar;
use sunside::mesh::solid::Solid;
use sunside::scene::Scene;
use sunside::scene::surroundings::Kind;
use sunside::sighting::frame::{Frame, Id, Sighting};
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::{Stage, StageKind, StageObject};
use sunside::sighting::view::View;

pub fn machine(name: &str) -> Stage {
    let path = format!("models/{name}.toml");
    Stage::of_model(Arc::new(sidecar::load(Path::new(&path)).unwrap()))
}

pub fn scene(name: &str) -> Stage {
    let path = format!("scenes/{name}.toml");
    Stage::of_scene(&Scene::load(Path::new(&path)).unwrap(), None)
}

/// A stage that is drawn in no time: the tests' box machine with a wall before it.
pub fn boxes() -> Stage {
    let mut stage = Stage::of_model(Arc::new(
        sidecar::load(Path::new("tests/models/box_machine.toml")).unwrap(),
    ));
    stage.add(wall(-6.0));
    stage
}

pub fn wall(y_m: f64) -> StageObject {
    let footprint = [(-3.0, y_m - 0.2), (3.0, y_m - 0.2), (3.0, y_m), (-3.0, y_m)];
    let solid = Solid::Prism {
        footprint: footprint.map(DVec2::from).to_vec(),
        bottom_m: -1.0,
        top_m: 2.0,
    };
    StageObject {
        name: "wall".into(),
        kind: StageKind::Thing(Kind::Building),
        opacity: 1.0,
        pieces: vec![solid.convex()],
        coats: vec![],
    }
}

pub fn camera(stage: &Stage, at: (f64, f64, f64), width: usize) -> View {
    View::canonical(DVec3::from(at), &stage.hull, width, 100.0).unwrap()
}

/// Three corners, a side and a bank, and three suns.
pub fn views(stage: &Stage, width: usize, sun_width: usize) -> Vec<View> {
    let eyes = [
        (24.0, -15.0, 0.6),
        (-21.0, 13.0, 0.8),
        (14.0, 19.0, 1.2),
        (1.0, -26.0, 0.4),
        (9.0, 30.0, 6.0),
    ];
    let suns = [(150.0, 20.0), (301.0, 47.0), (60.0, 8.0)];
    let cameras = eyes.into_iter().map(|at| camera(stage, at, width));
    cameras
        .chain(suns.map(|(az, el)| View::of_sun(toward(az, el), &stage.hull, sun_width)))
        .collect()
}

pub fn sight(rasterizer: &dyn Rasterizer, stage: &Stage, view: &View, around: Around) -> Sighting {
    let mut sighting = Sighting::default();
    rasterizer.sight(stage, view, around, &mut sighting);
    sighting
}

/// Pixels that show something else.
pub fn differing(wanted: &Frame, drawn: &Frame) -> usize {
    let pairs = wanted.ids.iter().zip(&drawn.ids);
    pairs.filter(|(a, b)| a != b).count()
}

pub fn of_machine(id: Id) -> bool {
    id.as_patch().is_some()
}
