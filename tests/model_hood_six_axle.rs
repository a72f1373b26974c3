//! The shipped six-axle hood unit: regenerated, measured against general literature, closed, complete.
//! The files are read here independently of the program's loader, which is asked once. May not enter: other
//! machines.

use crate::model_files::{
    Groups, assert_closed_and_outward, assert_no_shared_planes, bounds, committed, normal,
    obj_groups,
};
use glam::DVec3;
use std::collections::BTreeSet;
use std::path::Path;
use sunside::mesh::part::Role;

#[path = "../examples/build_models/workshop/mod.rs"]
mod workshop;

fn groups() -> Groups {
    obj_groups("hood_six_axle.obj")
}

fn sidecar() -> toml::Table {
    committed("hood_six_axle.toml").parse().expect("TOML")
}

fn figure(sidecar: &toml::Table, table: &str, key: &str) -> f64 {
    sidecar[table][key].as_float().expect("a number")
}

/// A figure, or the ends of a range, from the reference table (general literature, from memory).
fn fact(quantity: &str) -> (f64, f64) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/facts.csv");
    let mut reader = csv::Reader::from_path(path).expect("facts.csv");
    let row = reader
        .records()
        .map(|row| row.expect("a row"))
        .find(|row| row[0] == *quantity)
        .unwrap_or_else(|| panic!("no fact {quantity}"));
    let numbers: Vec<f64> = row[1]
        .split(" to ")
        .map(|n| n.parse().expect("a number"))
        .collect();
    (numbers[0], numbers[numbers.len() - 1])
}

fn hood_unit(what: &str) -> f64 {
    fact(&format!("six-axle hood unit, 1970s size: {what}")).0
}

fn within_2_percent(value: f64, wanted: f64) {
    assert!(
        (value / wanted - 1.0).abs() <= 0.02,
        "{value} is not within 2 % of {wanted}"
    );
}

#[test]
fn the_committed_files_are_what_the_generator_writes() {
    let machine = workshop::hood_six_axle::build();
    assert!(
        machine.obj() == committed("hood_six_axle.obj"),
        "run `cargo run --example build_models`"
    );
    assert_eq!(machine.sidecar(), committed("hood_six_axle.toml"));
}

#[test]
fn it_is_detailed_and_still_fit_for_counting() {
    let count: usize = groups().values().map(Vec::len).sum();
    assert!((8_000..=20_000).contains(&count), "{count} triangles");
}

#[test]
fn its_overall_dimensions_are_those_of_the_literature() {
    let all = groups();
    let (low, high) = bounds(all.values().flatten());
    let size = high - low;
    let sidecar = sidecar();
    within_2_percent(size.x, hood_unit("length over coupler faces"));
    within_2_percent(size.y, hood_unit("overall width over cab/handrails"));
    within_2_percent(high.z, hood_unit("height over rail"));
    for (value, key) in [
        (size.x, "length_over_couplers_m"),
        (size.y, "width_m"),
        (high.z, "height_m"),
    ] {
        approx::assert_abs_diff_eq!(value, figure(&sidecar, "dimensions", key), epsilon = 1e-3);
    }
    approx::assert_abs_diff_eq!(
        high.x,
        figure(&sidecar, "head", "coupler_x_m"),
        epsilon = 1e-4
    );
    approx::assert_abs_diff_eq!(
        low.x,
        figure(&sidecar, "rear", "coupler_x_m"),
        epsilon = 1e-4
    );
}

#[test]
fn its_parts_have_the_sizes_of_the_literature() {
    let all = groups();
    let middle = |group: &str| {
        let (low, high) = bounds(&all[group]);
        (0.5 * (low + high), high - low)
    };
    let (front, rear) = (middle("wheels_front"), middle("wheels_rear"));
    within_2_percent(front.0.x - rear.0.x, hood_unit("truck centre distance"));
    let inside = |value: f64, range: (f64, f64), scale: f64| {
        let (from, to) = (range.0 * scale, range.1 * scale);
        assert!(
            from - 1e-9 <= value && value <= to + 1e-9,
            "{value} not in {from}–{to}"
        );
    };
    let tread_diameter = 2.0 * axle_height(&all["wheels_front"]);
    inside(tread_diameter, fact("locomotive wheel diameter, new"), 1e-3);
    let flange_diameter = front.1.z;
    within_2_percent(
        front.1.x - flange_diameter,
        fact("truck wheelbase three-axle").0,
    );
    inside(
        middle("coupler_front").0.z,
        fact("coupler centre height above rail"),
        1e-3,
    );
    inside(middle("hood_lower").1.y, fact("hood width, long hood"), 1.0);
    inside(
        bounds(&all["deck"]).1.z,
        fact("walkway height above rail"),
        1.0,
    );
}

/// Height of the axles over the rails: the middle of the wheels' extent.
fn axle_height(wheels: &[[DVec3; 3]]) -> f64 {
    let (low, high) = bounds(wheels);
    0.5 * (low.z + high.z)
}

#[test]
fn the_gauge_is_exact_where_flange_meets_tread() {
    let all = groups();
    assert_eq!(figure(&sidecar(), "dimensions", "gauge_m"), 1.435);
    for group in ["wheels_front", "wheels_rear"] {
        let wheels = &all[group];
        let radius = axle_height(wheels);
        for side in [1.0, -1.0] {
            let on_rail = wheels
                .iter()
                .flatten()
                .filter(|p| p.z.abs() < 1e-4 && (p.y * side - 0.7175).abs() < 1e-4)
                .map(|p| (p.x * 1e4).round() as i64)
                .collect::<BTreeSet<_>>();
            assert_eq!(on_rail.len(), 3, "three wheels stand on each rail");
            let back = wheels
                .iter()
                .flatten()
                .filter(|p| p.y * side > 0.0 && (p.z - radius).abs() > radius)
                .map(|p| p.y * side)
                .fold(f64::INFINITY, f64::min);
            approx::assert_abs_diff_eq!(back, 0.68, epsilon = 1e-4);
        }
    }
}

#[test]
fn every_group_has_one_part_with_a_known_role_and_paint() {
    let sidecar = sidecar();
    let rows = |key: &str| sidecar[key].as_array().expect("a list").clone();
    let word = |row: &toml::Value, key: &str| row[key].as_str().expect("text").to_owned();
    let paints: BTreeSet<String> = rows("material")
        .iter()
        .map(|row| word(row, "name"))
        .collect();
    let parts = rows("part");
    let named: Vec<String> = parts.iter().map(|row| word(row, "group")).collect();
    let unique: BTreeSet<String> = named.iter().cloned().collect();
    assert_eq!(unique.len(), named.len(), "a group is mapped twice");
    assert_eq!(unique, groups().into_keys().collect::<BTreeSet<_>>());
    assert!((40..=90).contains(&named.len()), "{} groups", named.len());
    let used: BTreeSet<String> = parts.iter().map(|row| word(row, "material")).collect();
    assert_eq!(used, paints, "paints used and paints listed");
    let roles: BTreeSet<Role> = parts
        .iter()
        .map(|row| Role::from_word(&word(row, "role")).expect("a known role"))
        .collect();
    assert_eq!(
        roles,
        Role::ALL.into_iter().collect(),
        "every role is there"
    );
}

#[test]
fn the_handrail_is_straight_and_level_where_the_sidecar_says() {
    let (all, sidecar) = (groups(), sidecar());
    let [height, offset, from, to] =
        ["height_m", "offset_m", "from_x_m", "to_x_m"].map(|key| figure(&sidecar, "handrail", key));
    for (group, side) in [("handrail_left", 1.0), ("handrail_right", -1.0)] {
        // The rail's own long faces, from end to end.
        let rail: Vec<&[DVec3; 3]> = all[group]
            .iter()
            .filter(|t| {
                let (low, high) = bounds([*t]);
                high.x - low.x > 0.9 * (to - from)
            })
            .collect();
        assert!(rail.len() >= 12, "{group} is not one straight bar");
        let (low, high) = bounds(rail);
        assert!(low.x <= from + 1e-3 && high.x >= to - 1e-3);
        approx::assert_abs_diff_eq!(0.5 * (low.z + high.z), height, epsilon = 1e-3);
        approx::assert_abs_diff_eq!(0.5 * (low.y + high.y), side * offset, epsilon = 1e-3);
        let thickness = (high.z - low.z).max(high.y - low.y);
        assert!(
            (0.028..=0.042).contains(&thickness),
            "{group} is {thickness} m thick"
        );
    }
}

#[test]
fn the_doors_are_flat_where_the_sidecar_says() {
    let (all, sidecar) = (groups(), sidecar());
    let [bottom, top, offset, from, to] = ["bottom_m", "top_m", "offset_m", "from_x_m", "to_x_m"]
        .map(|key| figure(&sidecar, "doors", key));
    for (group, side) in [("hood_doors_left", 1.0), ("hood_doors_right", -1.0)] {
        let faces: Vec<&[DVec3; 3]> = all[group]
            .iter()
            .filter(|t| {
                normal(t).y * side > 0.999 && t.iter().all(|p| (p.y * side - offset).abs() < 1e-4)
            })
            .collect();
        assert_eq!(faces.len(), 36, "18 leaves of two triangles");
        let (low, high) = bounds(faces);
        for (value, wanted) in [(low.x, from), (high.x, to), (low.z, bottom), (high.z, top)] {
            approx::assert_abs_diff_eq!(value, wanted, epsilon = 1e-3);
        }
    }
}

#[test]
fn the_ends_corners_are_where_the_sidecar_says() {
    let (all, sidecar) = (groups(), sidecar());
    let (_, nose) = bounds(&all["nose"]);
    approx::assert_abs_diff_eq!(
        nose.x,
        figure(&sidecar, "head", "corner_x_m"),
        epsilon = 1e-4
    );
    approx::assert_abs_diff_eq!(
        nose.y,
        figure(&sidecar, "head", "corner_half_width_m"),
        epsilon = 1e-4
    );
    let (hood, _) = bounds(&all["hood_lower"]);
    approx::assert_abs_diff_eq!(
        hood.x,
        figure(&sidecar, "rear", "corner_x_m"),
        epsilon = 1e-4
    );
    approx::assert_abs_diff_eq!(
        -hood.y,
        figure(&sidecar, "rear", "corner_half_width_m"),
        epsilon = 1e-4
    );
}

#[test]
fn at_a_profile_angle_of_52_degrees_the_rails_shadow_still_lies_on_the_doors() {
    // Common practice, as in the rulebook: drop = stand-off · tan(profile angle), at least 0.10 m left.
    let sidecar = sidecar();
    let stand_off =
        figure(&sidecar, "handrail", "offset_m") - figure(&sidecar, "doors", "offset_m");
    let line = figure(&sidecar, "handrail", "height_m") - stand_off * 52_f64.to_radians().tan();
    assert!(line - figure(&sidecar, "doors", "bottom_m") >= 0.10);
    assert!(line < figure(&sidecar, "doors", "top_m"));
}

#[test]
fn every_part_is_closed_and_wound_outward() {
    assert_closed_and_outward(&groups());
}

#[test]
fn no_two_faces_that_look_the_same_way_lie_in_one_plane() {
    assert_no_shared_planes(&groups());
}

#[test]
fn the_programs_own_loader_takes_it_as_closed() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("models/hood_six_axle.toml");
    let model = sunside::mesh::sidecar::load(&path).expect("the shipped model loads");
    assert!(model.closed);
    assert!(model.powered && !model.double_ended);
    let count: usize = groups().values().map(Vec::len).sum();
    assert_eq!(model.triangles.len(), count);
    assert_eq!(model.gauge_m, 1.435);
}
