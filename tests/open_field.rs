//! A level field with plain things on it under white light, for tests of pictures. May not enter: what is expected of
//! them.

use glam::{DVec2, DVec3};
use std::path::Path;
use std::sync::Arc;
use sunside::mesh::solid::Solid;
use sunside::picture::Light;
use sunside::scene::Scene;
use sunside::scene::coat::Coat;
use sunside::scene::surroundings::Kind;
use sunside::sighting::stage::{Stage, StageKind, StageObject};
use sunside::sky::daylight::SkyCondition;
use sunside::sky::horizon::Horizon;
use sunside::sky::sun::toward;

/// Level ground, one metre below the rail, and things on it, all of one coat. A stage needs a machine: the box stands
/// at the origin, and things stand where its shadow does not matter.
pub fn stage_with(coat: Coat, things: &[(Kind, Solid)]) -> Stage {
    let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
    let mut stage = Stage::of_model(Arc::clone(&scene.machine.model));
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    let ground = Solid::Prism {
        footprint: corners.map(|(x, y)| 500.0 * DVec2::new(x, y)).to_vec(),
        bottom_m: -2.0,
        top_m: -1.0,
    };
    let mut add = |kind, solid: &Solid| {
        stage.add(StageObject {
            name: "made".into(),
            kind,
            opacity: 1.0,
            pieces: vec![solid.convex()],
            coats: vec![coat],
        });
    };
    add(StageKind::Ground, &ground);
    for (kind, solid) in things {
        add(StageKind::Thing(*kind), solid);
    }
    stage
}

/// White light from a clear sky.
pub fn white_light(azimuth_deg: f64, elevation_deg: f64, beam_lx: f64, sky_lx: f64) -> Light {
    Light {
        toward: toward(azimuth_deg, elevation_deg),
        beam_lx,
        sky_lx,
        beam_color: DVec3::ONE,
        sky_color: DVec3::ONE,
        sun_hidden: false,
        condition: SkyCondition::Clear,
        horizon: Horizon::default(),
        forward_bearing_deg: 0.0,
    }
}
