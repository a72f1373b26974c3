//! Surroundings as files state them: what each kind is made of, what it keeps to, and what is told of a wrong
//! one. The yard with one of everything is `tests/scenes/sampler_yard.toml`. May not enter: pictures, grades.

use glam::DVec3;
use std::path::Path;
use sunside::document::{Document, Problems};
use sunside::scene::Scene;
use sunside::scene::coat::Finish;
use sunside::scene::surroundings::{Kind, Object};
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::Sighting;
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::{Stage, StageKind};
use sunside::sighting::view::View;

const YARD: &str = "tests/scenes/sampler_yard.toml";

fn read(text: &str) -> Result<Scene, Problems> {
    Scene::read(Document::parse(YARD, text.as_bytes()), Path::new(YARD))
}

/// The yard with a piece of text put in place of another.
fn yard(from: &str, to: &str) -> Result<Scene, Problems> {
    let text = std::fs::read_to_string(YARD).unwrap();
    assert!(text.contains(from), "{from}");
    read(&text.replacen(from, to, 1))
}

fn sound() -> Scene {
    Scene::load(Path::new(YARD)).unwrap_or_else(|problems| panic!("{problems}"))
}

fn named<'a>(scene: &'a Scene, name: &str) -> &'a Object {
    let found = scene.surroundings.iter().find(|one| one.name == name);
    found.unwrap_or_else(|| panic!("no {name}"))
}

/// Least and greatest coordinates.
fn bounds(object: &Object) -> (DVec3, DVec3) {
    let corners = object.solids.iter().flat_map(|one| one.convex().corners);
    corners.fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), p| {
        (low.min(p), high.max(p))
    })
}

#[test]
fn every_piece_of_every_kind_is_closed_looks_outward_and_has_a_coat() {
    let scene = sound();
    let mut kinds: Vec<Kind> = scene.surroundings.iter().map(|one| one.kind).collect();
    kinds.sort();
    kinds.dedup();
    assert_eq!(kinds.len(), 13, "one of everything: {kinds:?}");
    for object in &scene.surroundings {
        assert_eq!(object.solids.len(), object.coats.len(), "{}", object.name);
        for solid in &object.solids {
            let volume_m3 = solid.convex().volume_m3();
            assert!(volume_m3 > 0.0, "{}: {solid:?}", object.name);
        }
    }
}

#[test]
fn what_a_thing_is_made_of_is_what_its_file_says() {
    let scene = sound();
    let made_of = |name: &str, finish: Finish| {
        let coats = &named(&scene, name).coats;
        assert!(coats.iter().any(|coat| coat.finish == finish), "{name}");
    };
    for (name, finish) in [
        ("brick shop", Finish::Brick),
        ("sheet-metal shed", Finish::Corrugated),
        ("board shed", Finish::Boards),
        ("concrete store", Finish::Concrete),
        ("works", Finish::Brick),
        ("oak", Finish::Leaves),
        ("spruce", Finish::Needles),
        ("weeds", Finish::Weeds),
        ("mesh fence", Finish::Mesh),
        ("board fence", Finish::Boards),
        ("rail fence", Finish::Timber),
        ("road bridge", Finish::Steel),
        ("bystander", Finish::Skin),
    ] {
        made_of(name, finish);
    }
    for windowed in ["brick shop", "board shed", "works"] {
        made_of(windowed, Finish::Glass);
    }
}

#[test]
fn things_keep_to_the_heights_that_their_file_states() {
    let scene = sound();
    let ground = -0.5;
    for (name, height_m) in [
        ("north pole", 10.0),
        ("yard lamp", 9.0),
        ("radio mast", 14.0),
        ("lead signal", 6.0),
        ("switch stand", 1.4),
        ("oak", 12.0),
        ("spruce", 14.0),
        ("poplar", 16.0),
        ("bystander", 1.75),
        ("brick shop", 8.0),
        ("concrete store", 6.0),
        ("rail fence", 1.2),
        ("board fence", 1.8),
        ("bush", 1.4),
        ("weeds", 0.9),
    ] {
        let (_, high) = bounds(named(&scene, name));
        // A round bar's polygon may reach a few millimetres past it.
        let over_m = high.z - ground - height_m;
        assert!(
            over_m.abs() < 0.01,
            "{name} ends {over_m} m over its height"
        );
    }
    let (low, high) = bounds(named(&scene, "oak"));
    assert!(
        (low.z - ground - 3.0).abs() < 1e-9,
        "the crown's base: {}",
        low.z
    );
    assert!(high.x - low.x <= 10.0 && high.y - low.y <= 10.0);
}

#[test]
fn a_fence_stops_by_its_kind_and_as_much_as_it_says() {
    let opacity = |scene: &Scene, name: &str| named(scene, name).opacity;
    let scene = sound();
    assert_eq!(opacity(&scene, "mesh fence"), 0.1);
    assert_eq!(opacity(&scene, "board fence"), 1.0);
    assert_eq!(opacity(&scene, "mesh fence (posts)"), 1.0);
    // A rail stops all light; the rails' heights together are the stated share of the fence's.
    let share = |scene: &Scene| {
        let rails = &named(scene, "rail fence").solids;
        // Ten metres in two pieces would count twice: this fence is one piece long.
        let tall = rails.iter().map(|rail| {
            let corners = rail.convex().corners;
            let ends =
                |pick: fn(f64, f64) -> f64| corners.iter().map(|p| p.z).reduce(pick).unwrap();
            ends(f64::max) - ends(f64::min)
        });
        tall.sum::<f64>() / 1.2
    };
    assert!((share(&scene) - 0.3).abs() < 1e-9);
    let dense = yard("kind = \"rail\"", "kind = \"rail\"\nopacity = 0.6").unwrap();
    assert!((share(&dense) - 0.6).abs() < 1e-9);
    assert_eq!(opacity(&dense, "rail fence"), 1.0);
}

#[test]
fn a_wire_beside_its_poles_hangs_to_the_right_of_the_line_between_them() {
    let scene = sound();
    // From (8, 35) to (8, −35): right of that way is west.
    let [right, left] = [0, 1].map(|i| &scene.wires[i]);
    for end in [right.a, right.b] {
        assert!((end.x - (8.0 - 1.05)).abs() < 1e-9, "{end}");
    }
    assert!((left.a.x - (8.0 + 1.05)).abs() < 1e-9);
    assert_eq!((right.a.y, right.a.z), (35.0, 9.4));
}

#[test]
fn ground_at_its_own_level_lies_on_the_plain_and_shows() {
    let scene = sound();
    let stage = Stage::of_scene(&scene, None);
    let top = |name: &str| {
        let object = (stage.objects.iter())
            .find(|one| one.name == name && one.kind == StageKind::Ground)
            .unwrap_or_else(|| panic!("no ground called {name}"));
        let corners = object.pieces.iter().flat_map(|piece| &piece.corners);
        let top = corners.map(|p| p.z).fold(f64::NEG_INFINITY, f64::max);
        (top, object.coats[0].finish)
    };
    let (plain, grass) = top("ground");
    assert_eq!((plain, grass), (-0.5, Finish::Grass));
    for (name, finish) in [
        ("sidewalk", Finish::Concrete),
        ("yard", Finish::Gravel),
        ("street", Finish::Asphalt),
    ] {
        let (top, found) = top(name);
        assert!(top > plain && top < plain + 0.03, "{name}: {top}");
        assert_eq!(found, finish, "{name}");
    }
    assert!((top("platform").0 - (plain + 0.3)).abs() < 1e-9);
}

/// Passing objects by whole must change no pixel: the twin has no bounds, so that every triangle is drawn.
#[test]
fn what_is_passed_by_for_its_bounds_would_not_have_shown() {
    let stage = Stage::of_scene(&sound(), None);
    let mut unbounded = stage.clone();
    unbounded.bounds.clear();
    let sun =
        |x: f64, y: f64, z: f64| View::of_sun(DVec3::new(x, y, z).normalize(), &stage.hull, 400);
    let eye = |x: f64, y: f64| {
        let eye = DVec3::new(x, y, 1.1);
        View::canonical(eye, &stage.hull, 400, 120.0).expect("the machine lies before the eye")
    };
    let views = [
        sun(0.3, 0.8, 0.4),
        sun(-0.7, -0.5, 0.1),
        eye(14.0, 22.0),
        eye(20.0, -3.0),
        eye(-16.0, -30.0),
    ];
    let cpu = Cpu::default();
    let (mut one, mut other) = (Sighting::default(), Sighting::default());
    for (i, view) in views.iter().enumerate() {
        cpu.sight(&stage, view, Around::Everything, &mut one);
        cpu.sight(&unbounded, view, Around::Everything, &mut other);
        let drawn = one.all.ids.iter().filter(|id| id.as_object().is_some());
        assert!(drawn.count() > 1000, "view {i}");
        assert!(one.all.ids == other.all.ids, "view {i}");
    }
}

#[test]
fn a_wrong_surrounding_is_told_with_its_place_and_what_is_allowed() {
    for (from, to, told) in [
        (
            "kind = \"conifer\"",
            "kind = \"palm\"",
            "tree[2].kind: not one of the words allowed here: \"palm\" (allowed: \"broadleaf\", \"conifer\", \"poplar\")",
        ),
        (
            "kind = \"rail\"",
            "kind = \"hedge\"",
            "fence[3].kind: not one of the words allowed here: \"hedge\" (allowed: \"chain-link\", \"board\", \"rail\")",
        ),
        (
            "walls = \"brick\"",
            "walls = \"brick\"\nroof_rise_m = 2",
            "building[1].roof_rise_m: a flat roof does not rise: 2",
        ),
        (
            "footprint_m = [[-32, 6], ",
            "footprint_m = [[-33, 9], [-32, 6], ",
            "building[3].roof: a roof of this kind over 5 corners: \"gable\"",
        ),
        (
            "heads = 2",
            "heads = 4",
            "signal[1].heads: out of range: 4 (allowed: ",
        ),
        (
            "surface = \"asphalt\"",
            "surface = \"ice\"",
            "surface[1].surface: not one of the words allowed here: \"ice\" (allowed: \"grass\", \"gravel\", \"asphalt\", \"concrete\")",
        ),
        (
            "rise_m = 0.3",
            "rise_m = 3",
            "surface[2].rise_m: out of range: 3 (allowed: a number from 0 to 2)",
        ),
        (
            "lamp = false",
            "lamp = \"no\"",
            "mast[2].lamp: wrong type: text: \"no\"",
        ),
        (
            "piers_m = [[-4, -95]]",
            "piers_m = [[-4, -95, 3]]",
            "bridge[1].piers_m",
        ),
    ] {
        let problems = yard(from, to).unwrap_err();
        let text = problems.to_string();
        assert_eq!(problems.len(), 1, "{text}");
        assert!(
            text.starts_with(YARD) && text.contains(told),
            "{told}\n{text}"
        );
    }
}
