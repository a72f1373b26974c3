//! The shipped carbody cab unit: regenerated, measured, closed, complete. May not enter: other machines.
//!
//! The reference table has no row for such a machine: its length (15.44 m) and truck centres (9.144 m, 30 ft)
//! are general literature of the 1940s and 1950s, from memory; plate B, trucks and wheels are in the table.

use crate::model_files::{
    Groups, assert_closed_and_outward, assert_corner, assert_no_shared_planes, assert_parts,
    assert_running_gear, assert_stated_sizes, bounds, committed, fact, figure, obj_groups, sidecar,
    within_2_percent, workshop,
};

const LENGTH_M: f64 = 15.44;
const TRUCK_CENTRES_M: f64 = 9.144;

fn groups() -> Groups {
    obj_groups("carbody_unit.obj")
}

fn toml() -> toml::Table {
    sidecar("carbody_unit.toml")
}

#[test]
fn the_committed_files_are_what_the_generator_writes() {
    let machine = workshop::carbody_unit::build();
    let same = machine.obj() == committed("carbody_unit.obj");
    assert!(same, "run `cargo run --example build_models`");
    assert_eq!(machine.sidecar(), committed("carbody_unit.toml"));
}

#[test]
fn it_is_detailed_and_still_fit_for_counting() {
    let count: usize = groups().values().map(Vec::len).sum();
    assert!((8_000..=20_000).contains(&count), "{count} triangles");
}

#[test]
fn it_fits_plate_b_and_fills_most_of_it() {
    let all = groups();
    let (low, high) = bounds(all.values().flatten());
    within_2_percent(high.x - low.x, (LENGTH_M, LENGTH_M));
    let (width_m, height_m) = fact("clearance plate B width x height");
    let width = high.y - low.y;
    assert!(width <= width_m && width > 0.95 * width_m, "{width} m wide");
    assert!(
        high.z <= height_m && high.z > 0.95 * height_m,
        "{} m high",
        high.z
    );
    assert_stated_sizes(&all, &toml());
    assert_running_gear(&all, (TRUCK_CENTRES_M, TRUCK_CENTRES_M), 2);
}

#[test]
fn every_group_has_one_part_with_a_known_role_and_paint() {
    assert_parts(&groups(), &toml());
}

#[test]
fn it_has_no_side_handrail_and_no_hood_doors_and_says_so() {
    let sidecar = toml();
    assert!(!sidecar.contains_key("handrail") && !sidecar.contains_key("doors"));
    assert_eq!(figure(&sidecar, "dimensions", "gauge_m"), 1.435);
}

#[test]
fn its_corners_are_where_the_sidecar_says() {
    let (all, sidecar) = (groups(), toml());
    assert_corner(&all, &sidecar, "rear", "carbody");
    // The nose is round: its foremost level reaches the corner's x, and half-way round its plan it is as wide
    // as the corner.
    let nose = &all["nose"];
    let (_, high) = bounds(nose);
    approx::assert_abs_diff_eq!(
        high.x,
        figure(&sidecar, "head", "corner_x_m"),
        epsilon = 1e-4
    );
    let half = figure(&sidecar, "head", "corner_half_width_m");
    assert!(half < high.y && half > 0.6 * high.y);
}

#[test]
fn every_part_is_closed_and_wound_outward() {
    assert_closed_and_outward(&groups());
}

#[test]
fn no_two_faces_that_look_the_same_way_lie_in_one_plane() {
    assert_no_shared_planes(&groups());
}
