//! What is counted behind and beside the machine: growths, changes along the roofline, even rows of trees,
//! bars, the band round the outline, uprights, wires. Each with a twin in which the cause is gone. May not
//! enter: what stands before the machine.
//!
//! Expected numbers are similar triangles over the made-up site (see `silhouette_site`).

use crate::silhouette_site::tables::{bridge, house, pole, tree, wire};
use crate::silhouette_site::{
    EYE_UP_M, FRAME_HALF_M, GROUND_M, HALF_LENGTH_M, HEIGHT_M, level_with, look, scale,
};
use sunside::grade::MeasureId::{
    BandBehind, BarsBehind, Growths, Hidden, RooflineChanges, TreeRowChanges, WiresUprights,
};

/// Easting of what stands behind the machine.
const BEHIND_M: f64 = -12.0;

/// Height of something behind the machine whose top looks so high over the roofline, metres on the side.
fn over_roof(by_m: f64) -> f64 {
    level_with(HEIGHT_M + by_m, BEHIND_M) - GROUND_M
}

#[test]
fn a_pole_grows_where_its_top_rises_over_the_roofline_and_nowhere_else() {
    let grown = look(&pole(BEHIND_M, 3.0, over_roof(0.1)));
    assert_eq!(grown.value(Growths), 1.0);
    assert_eq!(grown.named(Growths), "the pole 1");
    assert_eq!(grown.value(Hidden), 0.0);
    // Twin: its top stays a hand's breadth below.
    let hidden = look(&pole(BEHIND_M, 3.0, over_roof(-0.1)));
    assert_eq!(
        (hidden.value(Growths), hidden.value(WiresUprights)),
        (0.0, 0.0)
    );
    // Several are counted one by one, and named.
    let three = [-5.0, 0.0, 5.0].map(|north_m| pole(BEHIND_M, north_m, 12.0));
    let three = look(&three.concat());
    assert_eq!(three.value(Growths), 3.0);
    assert_eq!(three.named(Growths), "the pole 1, the pole 2, the pole 3");
}

/// Common practice: what grows out of the roof reads as a part of the machine, be it a mast, a chimney or the top of a
/// poplar; a broad crown or house is a backdrop. Ours: up to 8 % of the length wide, and higher than wide.
#[test]
fn a_narrow_treetop_or_tower_grows_from_the_roofline_and_a_broad_one_does_not() {
    let share = |on_side: f64| on_side * 2.0 * HALF_LENGTH_M / scale(BEHIND_M);
    let poplar = |width_m: f64, height_m: f64| {
        let tree = tree(BEHIND_M, 3.0, height_m);
        tree.replace("crown_width_m = 4", &format!("crown_width_m = {width_m}"))
    };
    let tower = |width_m: f64, height_m: f64| house(BEHIND_M, [0.0, width_m], height_m);
    let grown = |tables: &str| look(tables).value(Growths);
    // Lobes of a crown and eaves stand out over the stated width, so that limits are not met to the pixel here.
    let (narrow_m, broad_m) = (share(0.04), share(0.12));
    let tall = |on_side: f64| over_roof(on_side * 2.0 * HALF_LENGTH_M);
    assert_eq!(grown(&poplar(narrow_m, tall(0.25))), 1.0);
    assert_eq!(grown(&tower(narrow_m, tall(0.15))), 1.0);
    assert_eq!(
        look(&tower(narrow_m, tall(0.15))).named(Growths),
        "the building 1"
    );
    // Twins: broader; lower than wide; below the roofline; in the sky beside the machine.
    assert_eq!(grown(&poplar(broad_m, tall(0.25))), 0.0);
    assert_eq!(grown(&tower(broad_m, tall(0.2))), 0.0);
    assert_eq!(grown(&tower(narrow_m, tall(0.02))), 0.0);
    assert_eq!(grown(&tower(narrow_m, over_roof(-0.1))), 0.0);
    let beside_m = (HALF_LENGTH_M + 0.5) / scale(BEHIND_M);
    let beside = house(BEHIND_M, [beside_m, beside_m + narrow_m], tall(0.2));
    assert_eq!(grown(&beside), 0.0);
    // Joined to the machine's end, half of it behind that: it grows from there.
    let end_m = HALF_LENGTH_M / scale(BEHIND_M) - narrow_m / 2.0;
    let joined = house(BEHIND_M, [end_m, end_m + narrow_m], tall(0.2));
    assert_eq!(grown(&joined), 1.0);
    // Twin: a long house that begins there and runs out of the picture.
    assert_eq!(
        grown(&house(BEHIND_M, [end_m, end_m + 60.0], tall(0.2))),
        0.0
    );
}

#[test]
fn a_house_behind_changes_the_roofline_at_its_ends_and_only_where_it_rises_over_it() {
    let changes = |tables: &str| look(tables).value(RooflineChanges);
    assert_eq!(changes(""), 0.0);
    assert_eq!(changes(&house(BEHIND_M, [-4.0, 0.0], 9.0)), 2.0);
    let two = [[-8.0, -4.0], [2.0, 6.0]].map(|along| house(BEHIND_M, along, 9.0));
    assert_eq!(changes(&two.concat()), 4.0);
    // It runs out on one side.
    assert_eq!(changes(&house(BEHIND_M, [0.0, 40.0], 9.0)), 1.0);
    // Twins: the whole length alike; below the roofline.
    assert_eq!(changes(&house(BEHIND_M, [-40.0, 40.0], 9.0)), 0.0);
    assert_eq!(changes(&house(BEHIND_M, [-4.0, 0.0], over_roof(-0.1))), 0.0);
    // Narrower than the shortest stretch that counts, 1.5 % of the length.
    let narrow_m = 0.01 * 2.0 * HALF_LENGTH_M / scale(BEHIND_M);
    assert_eq!(changes(&house(BEHIND_M, [0.0, narrow_m], 9.0)), 0.0);
}

#[test]
fn terrain_that_ends_behind_the_machine_is_one_change() {
    // The roofline lies 4.5° over the level; the eye looks west.
    let ridge = |to_deg: f64| {
        look(&format!(
            "[horizon]\nprofile_deg = [[0, 0], [180, 0], [180.1, 10], [{to_deg}, 10], [{}, 0]]\n",
            to_deg + 0.1
        ))
    };
    assert_eq!(ridge(270.0).value(RooflineChanges), 1.0);
    // Twins: a ridge behind all of it, and none.
    assert_eq!(ridge(350.0).value(RooflineChanges), 0.0);
    assert_eq!(ridge(200.0).value(RooflineChanges), 0.0);
}

#[test]
fn an_even_row_of_trees_is_told_as_one_and_an_uneven_one_as_a_changing_backdrop() {
    let row = |heights: [f64; 4]| {
        let trees = [-9.0, -3.0, 3.0, 9.0].into_iter().zip(heights);
        trees
            .map(|(north_m, height_m)| tree(BEHIND_M, north_m, height_m))
            .collect::<String>()
    };
    // Sky, tree, sky …: two changes for each of four trees.
    let even = look(&row([9.0; 4]));
    assert!(even.applies(TreeRowChanges) && !even.applies(RooflineChanges));
    assert_eq!(even.value(TreeRowChanges), 8.0);
    assert_eq!(even.value(Growths), 0.0, "trunks end within their crowns");
    // Twins: one tree twice as high; a house among the trees; no trees.
    for other in [
        row([9.0, 9.0, 18.0, 9.0]),
        row([9.0; 4]) + &house(BEHIND_M, [-0.6, 0.6], 9.0),
        String::new(),
    ] {
        let other = look(&other);
        assert!(other.applies(RooflineChanges) && !other.applies(TreeRowChanges));
    }
    let uneven = look(&row([9.0, 9.0, 18.0, 9.0]));
    assert_eq!(uneven.value(RooflineChanges), 8.0);
}

/// Rulebook: a structure is a bar when it meets the roofline along a fifth of the machine's length.
#[test]
fn a_bridge_cuts_through_where_it_meets_a_fifth_of_the_roofline() {
    let half_m = HALF_LENGTH_M / scale(BEHIND_M);
    let underside_m = level_with(HEIGHT_M, BEHIND_M) - 0.7;
    // A bridge from beyond one end of the machine along so much of its length.
    let along = |share: f64| [-40.0, half_m * (2.0 * share - 1.0)];
    let bars = |share: f64, underside_m: f64| {
        look(&bridge(BEHIND_M, along(share), underside_m)).value(BarsBehind)
    };
    assert_eq!(bars(1.0, underside_m), 1.0);
    assert_eq!(bars(0.22, underside_m), 1.0);
    assert_eq!(bars(0.18, underside_m), 0.0);
    // Twins: wholly above the roofline, wholly behind the machine.
    assert_eq!(bars(1.0, level_with(HEIGHT_M + 0.1, BEHIND_M)), 0.0);
    assert_eq!(bars(1.0, level_with(HEIGHT_M - 0.1, BEHIND_M) - 1.5), 0.0);
    let named = look(&bridge(BEHIND_M, along(1.0), underside_m));
    assert_eq!(named.named(BarsBehind), "the bridge 1");
}

/// The band is 3 % of the frame's width all round the outline (rulebook), a rectangle round a rectangle. A
/// house behind fills what lies over the far rail's top (it hides the house's foot).
#[test]
fn a_long_house_fills_the_band_over_the_rails_and_a_bridge_does_not() {
    let band_m = 0.03 * 2.0 * FRAME_HALF_M.x;
    let far_rail_m = EYE_UP_M - EYE_UP_M * scale(-0.76);
    let outer_m2 = (2.0 * HALF_LENGTH_M + 2.0 * band_m) * (HEIGHT_M + 2.0 * band_m);
    let ring_m2 = outer_m2 - 2.0 * HALF_LENGTH_M * HEIGHT_M;
    let beside_m2 = 2.0 * band_m * (HEIGHT_M - far_rail_m);
    let over_m2 = (2.0 * HALF_LENGTH_M + 2.0 * band_m) * band_m;

    let percent = |filled_m2: f64| 100.0 * filled_m2 / ring_m2;
    let near = |found: f64, expected: f64| {
        // The band is whole pixels wide: half of one of 42 is a percent of its area.
        assert!(
            (found - expected).abs() < 1.0,
            "{found}, {expected} by closed form"
        );
    };
    let tall = look(&house(BEHIND_M, [-100.0, 100.0], 60.0));
    near(tall.value(BandBehind), percent(beside_m2 + over_m2));
    assert_eq!(tall.named(BandBehind), "the building 1");
    // As high as the roofline looks: the sides alone.
    let low = look(&house(BEHIND_M, [-100.0, 100.0], over_roof(0.0)));
    near(low.value(BandBehind), percent(beside_m2));
    // Twins: far aside; something that is neither house nor equipment.
    let aside = look(&house(BEHIND_M, [30.0, 100.0], 60.0));
    assert_eq!(aside.value(BandBehind), 0.0);
    let bar = look(&bridge(
        BEHIND_M,
        [-40.0, 40.0],
        level_with(HEIGHT_M, BEHIND_M) - 0.7,
    ));
    assert_eq!(bar.value(BandBehind), 0.0);
}

#[test]
fn a_car_on_the_next_track_fills_the_band_and_a_coupled_one_is_no_backdrop() {
    let next = "[[track]]\nname = \"next\"\npoints_m = [[-5, -200], [-5, 200]]\n";
    let car = |chainage_m: f64| {
        let table = format!(
            "[[equipment]]\nkind = \"boxcar\"\ntrack = \"next\"\nchainage_m = {chainage_m}\n"
        );
        look(&(next.to_string() + &table))
    };
    // Its middle beyond the machine's nose: half of it shows beside.
    let beside = car(212.0);
    assert!(
        beside.value(BandBehind) > 3.0,
        "{}",
        beside.value(BandBehind)
    );
    assert_eq!(beside.named(BandBehind), "the boxcar 1");
    // Twins: the same car far down its track; one that is coupled to the machine.
    assert_eq!(car(300.0).value(BandBehind), 0.0);
    let coupled = look("coupled_front = \"boxcar\"\n");
    assert_eq!(coupled.value(BandBehind), 0.0);
}

#[test]
fn an_upright_beside_the_machine_is_counted_as_far_as_the_frame_reaches() {
    let at = |on_side_m: f64| look(&pole(BEHIND_M, on_side_m / scale(BEHIND_M), 12.0));
    // Beside the machine in the eye's own view, and where no pixel was drawn.
    for on_side_m in [HALF_LENGTH_M + 0.5, FRAME_HALF_M.x - 0.5] {
        let beside = at(on_side_m);
        assert_eq!(beside.value(WiresUprights), 1.0, "{on_side_m}");
        assert_eq!(beside.named(WiresUprights), "the pole 1");
        assert_eq!(beside.value(Growths), 0.0);
    }
    assert_eq!(at(FRAME_HALF_M.x + 0.5).value(WiresUprights), 0.0);
}

#[test]
fn a_wire_is_counted_where_it_crosses_the_frame_over_the_machine() {
    let at = |on_side_m: f64, along_m: [f64; 2]| {
        let up_m = level_with(on_side_m, BEHIND_M);
        look(&wire(BEHIND_M, along_m, up_m))
    };
    let across = [-60.0, 60.0];
    let top_m = EYE_UP_M + FRAME_HALF_M.y;
    for on_side_m in [HEIGHT_M + 0.2, top_m - 0.2] {
        let seen = at(on_side_m, across);
        assert_eq!(seen.value(WiresUprights), 1.0, "{on_side_m}");
        assert_eq!(seen.named(WiresUprights), "a wire");
    }
    // Twins: over the frame's edge; hidden behind the machine; beside it.
    assert_eq!(at(top_m + 0.2, across).value(WiresUprights), 0.0);
    assert_eq!(at(HEIGHT_M - 0.5, across).value(WiresUprights), 0.0);
    assert_eq!(at(HEIGHT_M + 0.2, [20.0, 60.0]).value(WiresUprights), 0.0);
    // Before the machine it is seen against its upper half.
    let front_m = 20.0;
    let before = look(&wire(front_m, across, level_with(HEIGHT_M - 0.5, front_m)));
    assert_eq!(before.value(WiresUprights), 1.0);
    let two = wire(BEHIND_M, across, 7.0) + &wire(BEHIND_M, across, 8.0);
    assert_eq!(look(&two).named(WiresUprights), "2 wires");
}
