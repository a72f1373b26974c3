//! Shipped models as scenes want them: doors open, liveries, and what the sidecar refuses of both. May not
//! enter: sizes (see each model's own tests).

use crate::model_files::{Groups, assert_no_shared_planes};
use glam::DVec3;
use std::path::Path;
use sunside::document::{Document, Problems};
use sunside::mesh::model::{Model, Triangle};
use sunside::mesh::sidecar;
use sunside::mesh::winding::is_closed_and_outward;
use sunside::scene::Scene;
use sunside::scene::machine::Condition;
use sunside::sighting::stage::Stage;

/// File stem, leaves that open, and the greatest distance from the centre line that an open one reaches:
/// the inner edge of the handrail, where there is one beside it.
const MACHINES: [(&str, usize, Option<f64>); 4] = [
    ("hood_six_axle", 46, Some(1.483)),
    ("road_switcher", 44, Some(1.473)),
    ("end_cab_switcher", 28, Some(1.453)),
    ("carbody_unit", 5, None),
];

fn load(stem: &str) -> Model {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("models/{stem}.toml"));
    sidecar::load(&path).unwrap_or_else(|problems| panic!("{problems}"))
}

fn corners(model: &Model, triangle: &Triangle) -> [DVec3; 3] {
    triangle
        .corners
        .map(|corner| model.vertices[corner as usize])
}

/// The greatest face of a door: area vectors of its triangles that look one way, summed.
fn face(model: &Model, triangles: &[u32], way: DVec3) -> DVec3 {
    let area = |t: &u32| {
        let [a, b, c] = corners(model, &model.triangles[*t as usize]);
        (b - a).cross(c - a) / 2.0
    };
    let looks = |area: &DVec3| area.normalize().dot(way) > 0.99;
    triangles.iter().map(area).filter(looks).sum()
}

#[test]
fn every_shipped_model_loads_closed_with_its_doors_on_their_hinges() {
    for (stem, leaves, _) in MACHINES {
        let model = load(stem);
        assert!(model.closed && model.powered, "{stem}");
        assert_eq!(model.double_ended, stem == "end_cab_switcher");
        assert_eq!(model.hinged_doors.len(), leaves, "{stem}");
        assert_eq!(model.gauge_m, 1.435);
        assert_ne!(model.with_doors_open().vertices, model.vertices, "{stem}");
    }
}

#[test]
fn an_open_door_is_turned_by_its_angle_about_its_hinge_and_keeps_its_size() {
    for (stem, ..) in MACHINES {
        let shut = load(stem);
        let open = shut.with_doors_open();
        for door in &shut.hinged_doors {
            let [from, to] = door.hinge_m;
            // Doors of ours hang upright on walls that look sideways, forward or backward.
            let walls = [DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y];
            let before = walls.map(|way| face(&shut, &door.triangles, way));
            let front = before
                .into_iter()
                .max_by(|a, b| a.length().total_cmp(&b.length()));
            let front = front.unwrap();
            assert!(front.length() > 0.2, "{stem}: {}", door.name);
            // Turned by hand: Rodrigues' formula about the upright hinge.
            let angle = door.open_deg.to_radians();
            let axis = (to - from).normalize();
            let wanted = front * angle.cos()
                + axis.cross(front) * angle.sin()
                + axis * axis.dot(front) * (1.0 - angle.cos());
            let after = face(&open, &door.triangles, wanted.normalize());
            assert!(
                (after - wanted).length() < 0.02 * front.length(),
                "{stem}: {}",
                door.name
            );
            // A leaf's points keep their distance from the hinge.
            let reach = |model: &Model| {
                let points = door
                    .triangles
                    .iter()
                    .flat_map(|t| corners(model, &model.triangles[*t as usize]));
                points
                    .map(|p| (p - from).cross(axis).length())
                    .fold(0.0, f64::max)
            };
            assert!((reach(&shut) - reach(&open)).abs() < 1e-9);
        }
    }
}

#[test]
fn open_hood_doors_stay_inside_the_handrail_and_above_the_deck() {
    for (stem, _, limit) in MACHINES {
        let Some(limit) = limit else { continue };
        let open = load(stem).with_doors_open();
        let hood = open
            .hinged_doors
            .iter()
            .filter(|door| door.name.contains("-side"));
        for door in hood {
            for t in &door.triangles {
                for p in corners(&open, &open.triangles[*t as usize]) {
                    assert!(p.y.abs() < limit, "{stem}: {} reaches {p}", door.name);
                    assert!(p.z > 1.6, "{stem}: {} hangs to {p}", door.name);
                }
            }
        }
    }
}

#[test]
fn with_its_doors_open_every_part_is_still_closed_and_nothing_else_has_moved() {
    for (stem, ..) in MACHINES {
        let shut = load(stem);
        let open = shut.with_doors_open();
        assert_eq!(open.triangles.len(), shut.triangles.len());
        for part in 0..open.parts.len() as u32 {
            let of = |model: &Model| -> Vec<[u32; 3]> {
                let mine = model.triangles.iter().filter(|t| t.part == part);
                mine.map(|t| t.corners).collect()
            };
            assert!(
                is_closed_and_outward(&open.vertices, &of(&open)),
                "{stem}: part {part}"
            );
        }
        let swings: std::collections::BTreeSet<u32> = shut
            .hinged_doors
            .iter()
            .flat_map(|door| door.triangles.clone())
            .collect();
        for (index, (a, b)) in shut.triangles.iter().zip(&open.triangles).enumerate() {
            let same = corners(&shut, a) == corners(&open, b);
            assert_eq!(
                same,
                !swings.contains(&(index as u32)),
                "{stem}: triangle {index}"
            );
        }
    }
}

#[test]
fn with_its_doors_open_no_two_faces_lie_in_one_plane() {
    for (stem, ..) in MACHINES {
        let open = load(stem).with_doors_open();
        let mut groups = Groups::new();
        for triangle in &open.triangles {
            let group = open.parts[triangle.part as usize].group.clone();
            groups
                .entry(group)
                .or_default()
                .push(corners(&open, triangle));
        }
        assert_no_shared_planes(&groups);
    }
}

const SITE: &str = "scenes/open_siding.toml";

fn site(extra: &str) -> Result<Scene, Problems> {
    let text = std::fs::read_to_string(SITE).unwrap();
    let text = text.replacen("head_end =", &format!("{extra}\nhead_end ="), 1);
    Scene::read(Document::parse(SITE, text.as_bytes()), Path::new(SITE))
}

#[test]
fn a_scene_opens_doors_and_picks_a_livery() {
    let plain = site("").unwrap().machine.model;
    assert_eq!(plain.vertices, load("hood_six_axle").vertices);
    let open = site("doors_open = true").unwrap().machine.model;
    assert_eq!(
        open.vertices,
        load("hood_six_axle").with_doors_open().vertices
    );
    let color = |model: &Model, name: &str| {
        let material = model
            .materials
            .iter()
            .find(|material| material.name == name);
        material.unwrap().color_srgb
    };
    // The generator's own table: the nose is madder red, and saffron in the second livery.
    assert_eq!(color(&plain, "nose"), [0x8f, 0x33, 0x29]);
    let second = site("livery = \"slate and saffron\"")
        .unwrap()
        .machine
        .model;
    assert_eq!(color(&second, "nose"), [0xdb, 0xa0, 0x2f]);
    assert_eq!(color(&second, "glass"), color(&plain, "glass"));
}

#[test]
fn an_unknown_livery_is_told_with_those_that_there_are() {
    let told = site("livery = \"slate and safron\"")
        .unwrap_err()
        .to_string();
    assert!(
        told.contains("machine.livery: not one of the words allowed here"),
        "{told}"
    );
    let allowed =
        "\"madder and cream\", \"slate and saffron\"; did you mean \"slate and saffron\"?";
    assert!(told.contains(allowed), "{told}");
    assert_eq!(told.lines().count(), 1, "{told}");
}

#[test]
fn a_model_without_liveries_takes_none() {
    let boxes = "tests/scenes/box_siding.toml";
    let text = std::fs::read_to_string(boxes).unwrap();
    let text = text.replacen("head_end =", "livery = \"plain\"\nhead_end =", 1);
    let read = Scene::read(Document::parse(boxes, text.as_bytes()), Path::new(boxes));
    let told = read.unwrap_err().to_string();
    let wanted =
        "machine.livery: this model comes in one livery only: \"plain\" (allowed: no such key)";
    assert!(told.contains(wanted), "{told}");
    assert_eq!(told.lines().count(), 1, "{told}");
}

#[test]
fn a_scene_s_dirt_reaches_the_stage_also_where_patches_are_used_again() {
    let filthy = site("condition = \"filthy\"").unwrap();
    let clean = Stage::of_scene(&site("").unwrap(), None);
    assert_eq!(clean.condition, Condition::Clean);
    let again = Stage::of_scene(&filthy, Some(&clean));
    assert_eq!(again.condition, Condition::Filthy);
}

const BOXES: &str = "tests/models/box_machine";

/// The box machine's sidecar with something added, in a folder with the OBJ beside it.
fn boxes_with(extra: &str) -> Result<Model, Problems> {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(format!("{BOXES}.toml")).unwrap();
    let path = folder.path().join("m.toml");
    std::fs::write(&path, format!("{text}\n{extra}\n")).unwrap();
    std::fs::copy(
        format!("{BOXES}.obj"),
        folder.path().join("box_machine.obj"),
    )
    .unwrap();
    sidecar::load(&path)
}

fn door(low: &str, high: &str, hinge_to: &str, degrees: &str) -> String {
    format!(
        "[[hinged_door]]\nname = \"tank\"\nlow_m = {low}\nhigh_m = {high}\n\
         hinge_from_m = [0, 1, 1]\nhinge_to_m = {hinge_to}\nopen_deg = {degrees}"
    )
}

#[test]
fn any_model_may_hang_its_pieces_on_hinges() {
    let everything = door("[-99, -99, -99]", "[99, 99, 99]", "[0, 1, 2]", "90");
    let model = boxes_with(&everything).unwrap();
    assert_eq!(model.hinged_doors[0].triangles.len(), model.triangles.len());
    // A quarter turn about the upright line through (0, 1): x runs to y, y to −x.
    let open = model.with_doors_open();
    let (shut_at, open_at) = (
        corners(&model, &model.triangles[0]),
        corners(&open, &open.triangles[0]),
    );
    for (p, q) in shut_at.iter().zip(open_at) {
        assert!((q - DVec3::new(1.0 - p.y, 1.0 + p.x, p.z)).length() < 1e-9);
    }
}

#[test]
fn what_is_wrong_with_a_door_or_a_livery_is_told_at_its_key() {
    for (extra, wanted) in [
        (door("[5, 5, 5]", "[6, 6, 6]", "[0, 1, 2]", "90"), "low_m: nothing of the mesh lies in this"),
        (door("[5, 5, 5]", "[4, 6, 6]", "[0, 1, 2]", "90"), "high_m: the box ends before it begins"),
        (door("[-9, -9, -9]", "[9, 9, 9]", "[0, 1, 1]", "90"), "hinge_to_m: the hinge has no length"),
        (door("[-9, -9, -9]", "[9, 9, 9]", "[0, 1, 2]", "nan"), "open_deg: "),
        (door("[-9, -9]", "[9, 9, 9]", "[0, 1, 2]", "90"), "low_m: 2 numbers instead of 3"),
        (
            "[[livery]]\nname = \"a\"\n[[livery.paint]]\nmaterial = \"bleu\"\ncolor_srgb = \"#112233\"".into(),
            "livery[1].paint[1].material: not one of the words",
        ),
        (
            "[[livery]]\nname = \"a\"\n[[livery]]\nname = \"a\"".into(),
            "livery[2].name: a name used twice",
        ),
    ] {
        let told = boxes_with(&extra).unwrap_err().to_string();
        assert!(told.contains(wanted), "{wanted}\n{told}");
        assert_eq!(told.lines().count(), 1, "{told}");
    }
    let twice = door("[-99, -99, -99]", "[99, 99, 99]", "[0, 1, 2]", "90");
    let told = boxes_with(&format!("{twice}\n{twice}"))
        .unwrap_err()
        .to_string();
    assert!(
        told.contains("hinged_door[2].name: a piece of this door hangs on another"),
        "{told}"
    );
}
