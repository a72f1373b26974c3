//! What is counted before the machine: the share of it that is hidden, the part that loses most, by what.
//! Each with a twin in which the cause is gone. May not enter: backdrops.
//!
//! Expected numbers are similar triangles over the made-up site (see `silhouette_site`): the machine is a
//! rectangle of 20 x 4 m, so what hides its whole height hides the share of its length that it spans. A pixel
//! of the proof's view is 20 mm on the side, a tenth of a percent of its length.

use crate::silhouette_site::tables::{house, person, pole};
use crate::silhouette_site::{HALF_LENGTH_M, look, scale};
use sunside::grade::MeasureId;

/// Two edges, each at most a pixel off.
const TOLERANCE_PERCENT: f64 = 0.25;

#[track_caller]
fn near(found: f64, expected: f64) {
    let off = (found - expected).abs();
    assert!(
        off < TOLERANCE_PERCENT,
        "{found}, {expected} by closed form"
    );
}

#[test]
fn a_wall_hides_the_share_of_the_length_that_it_spans_and_most_of_the_part_behind_it() {
    // Before the front half alone.
    let wall = look(&house(20.0, [2.0, 4.0], 12.0));
    let spanned_m = 2.0 * scale(20.0);
    near(
        wall.value(MeasureId::Hidden),
        100.0 * spanned_m / (2.0 * HALF_LENGTH_M),
    );
    near(
        wall.value(MeasureId::WorstHiddenPart) / 2.0,
        50.0 * spanned_m / HALF_LENGTH_M,
    );
    assert_eq!(wall.named(MeasureId::Hidden), "the building 1");
    assert_eq!(wall.named(MeasureId::WorstHiddenPart), "the front half");
    // Before the rear half: the other part loses as much.
    let moved = look(&house(20.0, [-4.0, -2.0], 12.0));
    near(
        moved.value(MeasureId::Hidden),
        wall.value(MeasureId::Hidden),
    );
    assert_eq!(moved.named(MeasureId::WorstHiddenPart), "the rear half");
    // Twin: the same wall beside the machine, and no wall.
    for clear in [look(&house(20.0, [6.0, 8.0], 12.0)), look("")] {
        assert_eq!(clear.value(MeasureId::Hidden), 0.0);
        assert_eq!(clear.value(MeasureId::WorstHiddenPart), 0.0);
        assert_eq!(clear.named(MeasureId::Hidden), "");
    }
}

/// A low wall hides the share of the height that its top covers, and what lies across both parts is shared.
#[test]
fn a_low_wall_along_the_whole_machine_hides_the_lower_part_of_both_halves() {
    // Its top looks 1.6 m high on the side: 40 % of the height.
    let height_m = 0.5 + crate::silhouette_site::level_with(1.6, 20.0);
    let wall = look(&house(20.0, [-30.0, 30.0], height_m));
    // One row of pixels is half a percent of the height.
    assert!((wall.value(MeasureId::Hidden) - 40.0).abs() < 0.6);
    assert!((wall.value(MeasureId::WorstHiddenPart) - 40.0).abs() < 0.6);
    // Twin: it ends below the eye's line to the lower edge of the machine.
    let low = look(&house(
        20.0,
        [-30.0, 30.0],
        0.5 + crate::silhouette_site::level_with(-0.05, 20.0),
    ));
    assert_eq!(low.value(MeasureId::Hidden), 0.0);
}

/// Half-open mesh stops half of the pixels behind it: its posts stop all.
#[test]
fn a_fence_hides_its_opacity_of_what_it_spans() {
    let fence = |opacity: f64| {
        look(&format!(
            "[[fence]]\npoints_m = [[20, 2], [20, 4]]\nheight_m = 12\nopacity = {opacity}\npost_spacing_m = 50\n"
        ))
    };
    for opacity in [0.25, 0.5] {
        // Two posts 0.06 m thick stand half beyond the ends of the mesh.
        let spanned_m = (2.0 * 0.06 + opacity * (2.0 - 0.06)) * scale(20.0);
        let found = fence(opacity).value(MeasureId::Hidden);
        let expected = 100.0 * spanned_m / (2.0 * HALF_LENGTH_M);
        assert!(
            (found - expected).abs() < 0.4,
            "{found}, {expected} by closed form"
        );
    }
}

#[test]
fn what_stands_before_the_machine_is_told_as_foreground_alone() {
    let front = look(&pole(20.0, 0.0, 12.0));
    assert!(front.value(MeasureId::Hidden) > 1.0);
    assert_eq!(front.value(MeasureId::Growths), 0.0);
    assert_eq!(front.value(MeasureId::WiresUprights), 0.0);
    // Twin: behind the machine it hides nothing and grows.
    let behind = look(&pole(-12.0, 0.0, 12.0));
    assert_eq!(behind.value(MeasureId::Hidden), 0.0);
    assert_eq!(behind.value(MeasureId::Growths), 1.0);
}

#[test]
fn somebody_in_the_frame_is_told_and_somebody_behind_the_machine_or_outside_is_not() {
    // Beside the machine within the eye's own view, and farther out where no pixel was drawn.
    for north_m in [11.0, 13.5] {
        let beside = look(&person(1.5, north_m));
        assert_eq!(beside.value(MeasureId::People), 1.0, "{north_m}");
        assert_eq!(beside.named(MeasureId::People), "the person 1");
    }
    for (east_m, north_m) in [(1.5, 14.5), (-3.0, 0.0)] {
        let clear = look(&person(east_m, north_m));
        assert_eq!(clear.value(MeasureId::People), 0.0, "{east_m}, {north_m}");
    }
}
