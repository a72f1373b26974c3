//! Depth of field against the outside table. May not enter: exposure.

use crate::table::{assert_relative, rows};
use proptest::prelude::*;
use serde::Deserialize;
use sunside::camera::focus::{Focus, focus_for};

#[derive(Deserialize)]
struct Depth {
    focal_length_mm: f64,
    f_number: f64,
    circle_of_confusion_mm: f64,
    focus_distance_m: f64,
    hyperfocal_m: f64,
    near_limit_m: f64,
    far_limit_m: f64,
    #[serde(rename = "blur_disc_at_0.8_focus_distance_mm")]
    blur_nearer_mm: f64,
    #[serde(rename = "blur_disc_at_1.25_focus_distance_mm")]
    blur_farther_mm: f64,
    blur_disc_at_infinity_mm: f64,
}

/// Source: handbook formulas, confirmed there by solving the Gaussian thin-lens blur disc for c;
/// tolerance 1e-9 relative.
#[test]
fn limits_and_blur_are_those_of_the_table() {
    let rows: Vec<Depth> = rows("depth_of_field");
    assert_eq!(rows.len(), 512);
    for row in rows {
        let focus = Focus {
            focal_mm: row.focal_length_mm,
            f_number: row.f_number,
            circle_mm: row.circle_of_confusion_mm,
            distance_m: row.focus_distance_m,
        };
        assert_relative(focus.hyperfocal_m(), row.hyperfocal_m, 1e-9);
        assert_relative(focus.near_limit_m(), row.near_limit_m, 1e-9);
        assert_relative(focus.far_limit_m(), row.far_limit_m, 1e-9);
        let s = row.focus_distance_m;
        for (depth_m, expected) in [
            (0.8 * s, row.blur_nearer_mm),
            (1.25 * s, row.blur_farther_mm),
            (f64::INFINITY, row.blur_disc_at_infinity_mm),
        ] {
            assert_relative(focus.blur_disc_mm(depth_m), expected, 1e-9);
        }
    }
}

proptest! {
    /// Theory: at the harmonic mean both depths are blurred alike, so both lie inside the depth of
    /// field or neither does, and they lie inside exactly when the blur is below the circle.
    #[test]
    fn focus_between_two_depths_covers_both_or_neither(
        near_m in 5.0..60.0, longer_m in 0.5..30.0, focal_mm in 24.0..200.0, f_number in 2.0..32.0,
    ) {
        let far_m = near_m + longer_m;
        let circle_mm = 0.030;
        let focus = Focus { focal_mm, f_number, circle_mm, distance_m: focus_for(near_m, far_m) };
        let blur_mm = focus.blur_disc_mm(near_m);
        assert_relative(focus.blur_disc_mm(far_m), blur_mm, 1e-9);
        prop_assume!((blur_mm - circle_mm).abs() > 1e-9);
        for depth_m in [near_m, far_m] {
            prop_assert_eq!(focus.outside_depth_of_field_m(depth_m) > 0.0, blur_mm > circle_mm);
        }
    }
}
