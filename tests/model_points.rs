//! The named points of shipped models, and what a sidecar is told of wrong ones. May not enter: photographs.

use crate::model_files::{committed, obj_groups};
use glam::DVec3;
use parry3d_f64::math::Vector;
use parry3d_f64::query::PointQuery;
use parry3d_f64::shape::Triangle;
use std::collections::BTreeSet;
use std::path::Path;
use sunside::document::Document;
use sunside::mesh::model::Model;
use sunside::mesh::sidecar;

const STEMS: [&str; 4] = [
    "hood_six_axle",
    "road_switcher",
    "end_cab_switcher",
    "carbody_unit",
];

fn load(stem: &str) -> Model {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("models/{stem}.toml"));
    sidecar::load(&path).unwrap_or_else(|problems| panic!("{problems}"))
}

/// Against an independent library's distance from a point to a triangle.
#[test]
fn every_named_point_lies_on_the_mesh() {
    for stem in STEMS {
        let groups = obj_groups(&format!("{stem}.obj"));
        let triangles: Vec<Triangle> = (groups.values().flatten())
            .map(|corners| corners.map(|p| Vector::new(p.x, p.y, p.z)))
            .map(|[a, b, c]| Triangle::new(a, b, c))
            .collect();
        for point in load(stem).points {
            let at = point.position_m;
            let away_m = (triangles.iter())
                .map(|one| one.distance_to_local_point(Vector::new(at.x, at.y, at.z), false))
                .fold(f64::INFINITY, f64::min);
            assert!(away_m < 0.02, "{stem} {}: {away_m}", point.name);
        }
    }
}

#[test]
fn named_points_are_many_and_lie_on_both_sides_and_ends_high_and_low() {
    for stem in STEMS {
        let model = load(stem);
        let names: BTreeSet<&str> = model.points.iter().map(|one| one.name.as_str()).collect();
        let words: BTreeSet<&str> = model.points.iter().map(|one| one.words.as_str()).collect();
        assert!(names.len() >= 16, "{stem}: {}", names.len());
        assert_eq!(
            (names.len(), words.len()),
            (model.points.len(), model.points.len())
        );
        // From either side six or more can be seen, at either end and at heights 2 m apart.
        for side in [-1.0, 1.0] {
            let own: Vec<DVec3> = (model.points.iter())
                .map(|one| one.position_m)
                .filter(|at| at.y * side > 0.5)
                .collect();
            for end in [-1.0, 1.0] {
                let there = own.iter().filter(|at| at.x * end > 0.0).count();
                assert!(there >= 5, "{stem} side {side} end {end}: {there}");
            }
            let heights = own.iter().map(|at| at.z);
            let low = heights.clone().fold(f64::INFINITY, f64::min);
            assert!(heights.fold(0.0, f64::max) - low > 2.0, "{stem}");
        }
        for (one, sided) in model.points.iter().map(|one| (one, one.position_m.y)) {
            assert!(!one.name.ends_with("_left") || sided > 0.0, "{}", one.name);
            assert!(!one.name.ends_with("_right") || sided < 0.0, "{}", one.name);
        }
    }
}

#[test]
fn a_sidecar_is_told_of_points_off_the_mesh_and_of_names_used_twice() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("models/road_switcher.toml");
    let text = committed("road_switcher.toml")
        + "\n[[point]]\nname = \"deck_front_left\"\nwords = \"again\"\nposition_m = [0.0, 9.0, 1.0]\n\
           \n[[point]]\nname = \"Deck\"\nwords = \"\"\nposition_m = [0.0, 1.0]\n";
    let document = Document::parse("own.toml", text.as_bytes());
    let told = sidecar::read(document, &path).unwrap_err().to_string();
    for wanted in [
        "a name used twice",
        "a name that other files could not write",
        "words",
        "2 numbers",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    let text = committed("road_switcher.toml")
        + "\n[[point]]\nname = \"far\"\nwords = \"far\"\nposition_m = [0.0, 9.0, 1.0]\n";
    let document = Document::parse("own.toml", text.as_bytes());
    let told = sidecar::read(document, &path).unwrap_err().to_string();
    assert!(
        told.contains("m off the mesh") && told.contains("position_m"),
        "{told}"
    );
}
