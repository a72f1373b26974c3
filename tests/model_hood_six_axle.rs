//! The shipped six-axle hood unit: regenerated, measured against general literature, closed, complete.
//! May not enter: other machines.

use crate::model_files::{
    Groups, assert_closed_and_outward, assert_corner, assert_handrail, assert_hood_doors,
    assert_no_shared_planes, assert_parts, assert_running_gear, assert_stated_sizes, bounds,
    committed, extent, fact, inside, obj_groups, sidecar, within_2_percent, workshop,
};

fn groups() -> Groups {
    obj_groups("hood_six_axle.obj")
}

fn toml() -> toml::Table {
    sidecar("hood_six_axle.toml")
}

fn literature(what: &str) -> (f64, f64) {
    fact(&format!("six-axle hood unit, 1970s size: {what}"))
}

#[test]
fn the_committed_files_are_what_the_generator_writes() {
    let machine = workshop::hood_six_axle::build();
    let same = machine.obj() == committed("hood_six_axle.obj");
    assert!(same, "run `cargo run --example build_models`");
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
    within_2_percent(high.x - low.x, literature("length over coupler faces"));
    within_2_percent(
        high.y - low.y,
        literature("overall width over cab/handrails"),
    );
    within_2_percent(high.z, literature("height over rail"));
    assert_stated_sizes(&all, &toml());
}

#[test]
fn its_parts_have_the_sizes_of_the_literature() {
    let all = groups();
    assert_running_gear(&all, literature("truck centre distance"), 3);
    inside(
        extent(&all, "hood_lower").1.y,
        fact("hood width, long hood"),
        1.0,
    );
    inside(
        bounds(&all["deck"]).1.z,
        fact("walkway height above rail"),
        1.0,
    );
}

#[test]
fn every_group_has_one_part_with_a_known_role_and_paint() {
    assert_parts(&groups(), &toml());
}

#[test]
fn handrail_doors_and_corners_are_where_the_sidecar_says() {
    let (all, sidecar) = (groups(), toml());
    assert_handrail(&all, &sidecar);
    assert_hood_doors(&all, &sidecar, 18);
    assert_corner(&all, &sidecar, "head", "nose");
    assert_corner(&all, &sidecar, "rear", "hood_lower");
}

#[test]
fn every_part_is_closed_and_wound_outward() {
    assert_closed_and_outward(&groups());
}

#[test]
fn no_two_faces_that_look_the_same_way_lie_in_one_plane() {
    assert_no_shared_planes(&groups());
}
