//! Scenes: what is read, how the machine is placed, and what the two shipped sites are for.
//! May not enter: pictures.

use glam::DVec2;
use std::path::Path;
use sunside::document::{Document, Problems};
use sunside::mesh::solid::Solid;
use sunside::scene::Scene;
use sunside::scene::machine::HeadEnd;
use sunside::scene::surroundings::{Kind, Object};
use sunside::units::wrap_180;

/// A shipped scene with the box machine in place of its own, so that sites are tested without models.
fn with_box_machine(file: &str) -> Scene {
    let text = std::fs::read_to_string(file).unwrap();
    let text = text.replace(
        "../models/hood_six_axle.toml",
        "../tests/models/box_machine.toml",
    );
    read(&text, file).unwrap_or_else(|problems| panic!("{problems}"))
}

fn read(text: &str, file: &str) -> Result<Scene, Problems> {
    Scene::read(Document::parse(file, text.as_bytes()), Path::new(file))
}

const BOX_SIDING: &str = "tests/scenes/box_siding.toml";

/// The box siding with a piece of text put in place of another.
fn box_siding(from: &str, to: &str) -> Result<Scene, Problems> {
    let text = std::fs::read_to_string(BOX_SIDING).unwrap();
    assert!(text.contains(from));
    read(&text.replacen(from, to, 1), BOX_SIDING)
}

fn told(from: &str, to: &str) -> String {
    box_siding(from, to).unwrap_err().to_string()
}

/// Distance ahead of the machine's centre and to its side, and degrees off the nose.
fn seen_from(scene: &Scene, spot: DVec2) -> (f64, f64, f64) {
    let local = scene.machine.frame().to_machine(spot.extend(0.0));
    (local.x, local.y, local.y.atan2(local.x).to_degrees().abs())
}

/// The angle over which a machine of this length and 3.1 m width spreads from a spot.
fn spread_deg(scene: &Scene, spot: DVec2) -> f64 {
    let frame = scene.machine.frame();
    let eye = frame.to_machine(spot.extend(0.0)).truncate();
    let half = scene.machine.model.length_over_couplers_m() / 2.0;
    let corners = [(half, 1.5), (half, -1.5), (-half, 1.5), (-half, -1.5)];
    let toward = (-eye).y.atan2((-eye).x).to_degrees();
    let turns = corners.map(|(x, y)| {
        let ray = DVec2::new(x, y) - eye;
        wrap_180(ray.y.atan2(ray.x).to_degrees() - toward)
    });
    turns.iter().fold(f64::MIN, |a, b| a.max(*b)) - turns.iter().fold(f64::MAX, |a, b| a.min(*b))
}

/// Allowed spots on a half-metre grid whose view lies 28 to 45 degrees off the nose.
fn good_spots(scene: &Scene) -> Vec<DVec2> {
    let steps = || (-160..=160).map(|i| f64::from(i) * 0.5);
    let grid = steps().flat_map(|e| steps().map(move |n| DVec2::new(e, n)));
    grid.filter(|spot| scene.ground.may_stand(&scene.tracks, *spot).is_ok())
        .filter(|spot| (28.0..=45.0).contains(&seen_from(scene, *spot).2))
        .collect()
}

/// How wide a lens sees across the 36 mm of the frame, less 4 % margin on each side.
fn usable_deg(lens_mm: f64) -> f64 {
    2.0 * (18.0 * 0.92 / lens_mm).atan().to_degrees()
}

#[test]
fn from_the_open_siding_s_ground_a_normal_lens_holds_the_machine() {
    let scene = with_box_machine("scenes/open_siding.toml");
    let fits = |spot: &&DVec2| spread_deg(&scene, **spot) < usable_deg(50.0);
    assert!(good_spots(&scene).iter().filter(fits).count() > 100);
    for side in [1.0, -1.0] {
        let on_side = |spot: &DVec2| seen_from(&scene, *spot).1 * side > 0.0;
        assert!(
            good_spots(&scene).iter().any(on_side),
            "ground on both sides"
        );
    }
}

#[test]
fn the_crowded_shop_s_sidewalk_forces_a_wide_lens() {
    let scene = with_box_machine("scenes/crowded_shop.toml");
    let spots = good_spots(&scene);
    assert!(spots.len() > 10, "{}", spots.len());
    for spot in &spots {
        let (ahead, aside, _) = seen_from(&scene, *spot);
        assert!(
            ahead < 15.5 && (11.0..15.0).contains(&aside),
            "{ahead} {aside}"
        );
        assert!(
            spread_deg(&scene, *spot) > usable_deg(50.0),
            "50 mm at {spot}"
        );
    }
    let wide = |spot: &&DVec2| spread_deg(&scene, **spot) < usable_deg(35.0);
    assert!(spots.iter().any(|spot| wide(&spot)), "35 mm fits somewhere");
}

#[test]
fn nothing_but_the_storage_track_and_the_lead_s_own_cars_stands_near_the_crowded_machine() {
    let scene = with_box_machine("scenes/crowded_shop.toml");
    let count = |kind: Kind| {
        scene
            .surroundings
            .iter()
            .filter(|one| one.kind == kind)
            .count()
    };
    assert_eq!(count(Kind::Equipment), 3);
    assert_eq!(count(Kind::Pole), 3);
    assert_eq!(scene.wires.len(), 2);
    // The shop's footprint is angled: it falls into convex pieces.
    let shop = scene
        .surroundings
        .iter()
        .find(|one| one.name == "shop")
        .unwrap();
    let is_wall = |one: &&Solid| matches!(one, Solid::Prism { bottom_m, .. } if *bottom_m < 0.0);
    assert!(shop.solids.iter().filter(is_wall).count() > 1);
}

/// Least and greatest distance along the machine's axis of what an object is made of.
fn along_machine(scene: &Scene, object: &Object) -> (f64, f64) {
    let frame = scene.machine.frame();
    let ends = object.solids.iter().flat_map(|solid| match solid {
        Solid::Beam { a, b, .. } => [frame.to_machine(*a).x, frame.to_machine(*b).x],
        _ => [f64::NAN; 2],
    });
    ends.fold((f64::MAX, f64::MIN), |(low, high), x| {
        (low.min(x), high.max(x))
    })
}

#[test]
fn what_is_coupled_stands_at_the_coupler_face_and_turns_with_the_machine() {
    let coupled = "head_end = \"second\"\ncoupled_front = \"flat-car\"\ncoupled_rear = \"boxcar\"";
    let scene = box_siding("head_end = \"second\"", coupled).unwrap();
    assert!(scene.machine.coupled_front && scene.machine.coupled_rear);
    for head_end in [HeadEnd::First, HeadEnd::Second, HeadEnd::Unknown] {
        let turned = scene.with_head_end(head_end);
        let car = |front| {
            let is = |one: &&Object| one.coupled_front == Some(front);
            let cars: Vec<&Object> = turned.surroundings.iter().filter(is).collect();
            assert_eq!(cars.len(), 1);
            along_machine(&turned, cars[0])
        };
        assert!(
            (car(true).0 - 10.5).abs() < 1e-9,
            "{head_end:?} {:?}",
            car(true)
        );
        assert!(
            (car(false).1 + 10.5).abs() < 1e-9,
            "{head_end:?} {:?}",
            car(false)
        );
    }
    let alone = scene.uncoupled();
    assert!(
        alone
            .surroundings
            .iter()
            .all(|one| one.coupled_front.is_none())
    );
    assert_eq!(alone.surroundings.len(), scene.surroundings.len() - 2);
}

#[test]
fn a_moved_machine_takes_its_centre_along_and_stays_on_its_track() {
    let scene = box_siding("head_end", "head_end").unwrap();
    assert_eq!(scene.machine.centre_m, DVec2::ZERO);
    assert_eq!(scene.machine.forward_bearing_deg(), 180.0);
    let moved = scene.with_chainage(110.0).unwrap();
    assert_eq!(moved.machine.centre_m, DVec2::new(0.0, -10.0));
    assert!(scene.with_chainage(190.0).is_none());
    assert_eq!(
        scene
            .with_head_end(HeadEnd::First)
            .machine
            .forward_bearing_deg(),
        0.0
    );
}

#[test]
fn objects_stand_on_the_ground_below_the_rails_unless_they_say_otherwise() {
    let foot = |scene: &Scene| match scene.surroundings[0].solids[0] {
        Solid::Bar { a, .. } => a.z,
        _ => panic!("a pole is a bar"),
    };
    assert_eq!(foot(&box_siding("head_end", "head_end").unwrap()), -0.5);
    assert_eq!(
        foot(&box_siding("height_m = 9", "height_m = 9\nbase_m = 2").unwrap()),
        2.0
    );
}

#[test]
fn a_default_frame_inside_the_stand_off_or_off_the_ground_is_told() {
    let near = told("spot_m = [22, -22]", "spot_m = [8, -22]");
    assert!(
        near.contains("frame.spot_m: 7.21 m from the nearest rail of siding"),
        "{near}"
    );
    let outside = told("spot_m = [22, -22]", "spot_m = [-22, -22]");
    assert!(
        outside.contains("frame.spot_m: outside the ground"),
        "{outside}"
    );
    let less = told("stand_off_m = 7.6", "stand_off_m = 4");
    assert!(
        less.contains("ground.stand_off_m: out of range: 4 (allowed: a number from 4.6"),
        "{less}"
    );
}

#[test]
fn names_that_nothing_bears_and_names_borne_twice_are_told_with_the_nearest() {
    let text = told("track = \"siding\"", "track = \"sidng\"");
    assert!(
        text.contains(
            "machine.track: no track of this name: \"sidng\" (allowed: siding; did you mean"
        ),
        "{text}"
    );
    let wire = "[[wire]]\nfrom = \"pole\"\nto = \"pool\"\nfrom_height_m = 12\nto_height_m = 8\ndiameter_mm = 10\n\n[ground]";
    let text = told("[ground]", wire);
    assert!(
        text.contains("wire[1].from_height_m: higher than pole: 12"),
        "{text}"
    );
    assert!(
        text.contains("wire[1].to: nothing of this name to hang a wire on: \"pool\""),
        "{text}"
    );
    let twice = "[[pole]]\nname = \"pole\"\nposition_m = [1, 40]\nheight_m = 5\n\n[ground]";
    assert!(told("[ground]", twice).contains("pole[2].name: a name used twice: \"pole\""));
}

#[test]
fn equipment_may_not_stand_in_the_machine() {
    let car = "[[equipment]]\nkind = \"boxcar\"\ntrack = \"siding\"\nchainage_m = 115\n\n[ground]";
    assert!(
        told("[ground]", car)
            .contains("equipment[1].chainage_m: it stands within the machine: 115")
    );
}

#[test]
fn a_refused_pole_does_not_make_its_wire_a_second_problem() {
    let text = std::fs::read_to_string(BOX_SIDING).unwrap();
    let wire = "[[wire]]\nfrom = \"pole\"\nto = \"pole\"\nfrom_height_m = 8\nto_height_m = 8\ndiameter_mm = 10\n\n[ground]";
    let text = text
        .replace("height_m = 9", "height_m = -9")
        .replace("[ground]", wire);
    assert_eq!(read(&text, BOX_SIDING).unwrap_err().len(), 1);
}

#[test]
fn a_tree_is_a_crown_and_a_trunk_and_a_bare_one_only_a_trunk() {
    let tree = |opacity: &str| {
        let text = format!(
            "[[tree]]\nposition_m = [-20, 0]\nheight_m = 10\ncrown_width_m = 6\ncrown_base_m = 2\n\
             crown_opacity = {opacity}\ntrunk_diameter_m = 0.4\n\n[ground]"
        );
        let scene = box_siding("[ground]", &text).unwrap();
        scene
            .surroundings
            .iter()
            .map(|one| (one.kind, one.opacity))
            .collect::<Vec<_>>()
    };
    assert_eq!(tree("0.7")[1..], [(Kind::Trunk, 1.0), (Kind::Crown, 0.7)]);
    assert_eq!(tree("0")[1..], [(Kind::Trunk, 1.0)]);
}
