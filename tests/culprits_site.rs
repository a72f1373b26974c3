//! What is to blame, on the made-up site whose pictures have closed forms (see `silhouette_site`): the camera's own
//! frame is the side's plane, 50 mm on 36 x 24 mm film, so a pixel stands for a known piece of it. May not enter:
//! limits, shipped scenes.

use crate::silhouette_site::tables::{house, person, pole};
use crate::silhouette_site::{EYE_UP_M, FRAME_HALF_M, HALF_LENGTH_M, HEIGHT_M, scale, studio_of};
use chrono::{DateTime, Utc};
use sunside::camera::framing::margins;
use sunside::grade::{
    Composed, Culprits, MeasureId, Minute, Reading, Rulebook, Studio, WIDEST_GRADED_DEG,
};
use sunside::sighting::cpu::Cpu;

const WIDTH_PX: usize = 720;

/// An hour after noon by the sun, which has left the east side for good.
fn afternoon() -> DateTime<Utc> {
    "2027-06-21T19:30:00Z".parse().unwrap()
}

/// Asks about a measure of the site with these tables, after the stand was changed.
fn asked<T>(
    extra: &str,
    turn: impl Fn(&mut sunside::grade::Stand),
    then: impl Fn(&Studio, &Composed, &Minute) -> T,
) -> T {
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = studio_of(extra, &rulebook, &cpu);
    let mut stand = studio.default_stand();
    turn(&mut stand);
    let capture = studio.default_capture();
    let composed = studio.compose(&stand, &capture, &rulebook.proof, WIDEST_GRADED_DEG);
    let minute = studio.minute(afternoon());
    then(&studio, &composed, &minute)
}

fn culprits(extra: &str, measure: MeasureId) -> Culprits {
    asked(
        extra,
        |_| {},
        |studio, composed, minute| studio.culprits(composed, minute, measure, WIDTH_PX),
    )
}

fn value(composed: &Composed, measure: MeasureId) -> f64 {
    let one = composed
        .measured
        .iter()
        .find(|one| one.id == measure)
        .unwrap();
    match one.reading {
        Reading::Value(value) => value,
        _ => panic!("{measure:?} has no value"),
    }
}

/// Where a pixel's ray meets the side's plane: metres right and up of the eye.
fn on_side(mask: &sunside::grade::Mask, pixel: usize) -> [f64; 2] {
    let (column, row) = (pixel % mask.width, pixel / mask.width);
    let u = (column as f64 + 0.5) / mask.width as f64;
    let v = (row as f64 + 0.5) / mask.height as f64;
    [
        (2.0 * u - 1.0) * FRAME_HALF_M.x,
        (1.0 - 2.0 * v) * FRAME_HALF_M.y,
    ]
}

/// A wall 0.2 m thick and higher than the machine looks: to the right of the axis it is seen from its far face's left
/// edge to its near face's right edge.
#[test]
fn a_wall_before_the_machine_lights_up_exactly_where_rays_meet_both() {
    let found = culprits(&house(20.0, [2.0, 4.0], 12.0), MeasureId::Hidden);
    let mut lit = 0;
    for (pixel, blame) in found.mask.values.iter().enumerate() {
        let [right_m, up_m] = on_side(&found.mask, pixel);
        let machine = right_m.abs() < HALF_LENGTH_M && (0.0..HEIGHT_M).contains(&(up_m + EYE_UP_M));
        let wall = right_m >= 2.0 * scale(19.8) && right_m < 4.0 * scale(20.0);
        assert_eq!(
            *blame,
            if machine && wall { 255 } else { 0 },
            "{right_m} {up_m}"
        );
        lit += usize::from(*blame > 0);
    }
    assert!(lit > 5000, "{lit}");
    assert_eq!(found.label.as_deref(), Some("the building 1"));
    let anchor = found.anchor.unwrap();
    let at = (anchor[1] * found.mask.height as f64) as usize * found.mask.width
        + (anchor[0] * found.mask.width as f64) as usize;
    assert_eq!(found.mask.values[at], 255, "the anchor lies on a lit pixel");
}

/// The share of the machine's pixels that are lit is the measure's own value.
#[test]
fn what_is_lit_adds_up_to_the_measure() {
    let wall = house(20.0, [2.0, 4.0], 12.0);
    asked(
        &wall,
        |_| {},
        |studio, composed, minute| {
            let found = studio.culprits(composed, minute, MeasureId::Hidden, 1152);
            let machine = 2.0 * HALF_LENGTH_M * HEIGHT_M;
            let pixel_m2 = (2.0 * FRAME_HALF_M.x / 1152.0).powi(2);
            let sum: f64 = found
                .mask
                .values
                .iter()
                .map(|v| f64::from(*v) / 255.0)
                .sum();
            let share = 100.0 * sum * pixel_m2 / machine;
            let measured = value(composed, MeasureId::Hidden);
            assert!((share / measured - 1.0).abs() < 0.01, "{share} {measured}");
        },
    );
    // Side and running gear: unlit pixels of all that are counted.
    asked(
        "",
        |_| {},
        |studio, composed, minute| {
            let graded = studio.grade_at(composed, minute);
            let row = graded.sheet.row(MeasureId::SideLit).unwrap();
            let unlit = 100.0 - row.value.unwrap();
            let found = studio.culprits(composed, minute, MeasureId::SideLit, 1152);
            let lit = found.mask.values.iter().filter(|v| **v > 0).count() as f64;
            let pixel_m2 = (2.0 * FRAME_HALF_M.x / 1152.0).powi(2);
            let share = 100.0 * lit * pixel_m2 / (2.0 * HALF_LENGTH_M * HEIGHT_M);
            assert!((share - unlit).abs() < 1.0, "{share} {unlit}");
            assert!(unlit > 99.0, "the sun has left the east side: {unlit}");
        },
    );
}

/// The band of a tight margin ends where the hull's projected edge lies.
#[test]
fn a_margin_is_lit_up_to_the_hull_within_a_pixel() {
    for turn_deg in [4.0, -4.0] {
        asked(
            "",
            |stand| stand.heading_deg += turn_deg,
            |studio, composed, minute| {
                let hull = margins(&composed.camera, &studio.stage.hull).unwrap();
                let found = studio.culprits(composed, minute, MeasureId::SideMargin, WIDTH_PX);
                let row = &found.mask.values[..WIDTH_PX];
                let lit: Vec<usize> = (0..WIDTH_PX).filter(|i| row[*i] > 0).collect();
                let (first, last) = (lit[0], lit[lit.len() - 1]);
                // Turned to the right the machine moves left.
                let margin = if turn_deg > 0.0 {
                    hull.left
                } else {
                    hull.right
                };
                assert_eq!(
                    if turn_deg > 0.0 {
                        first
                    } else {
                        WIDTH_PX - 1 - last
                    },
                    0
                );
                assert_eq!(lit.len(), last - first + 1, "one band");
                assert!((lit.len() as f64 - margin * WIDTH_PX as f64).abs() <= 1.0);
                assert_eq!(margin, hull.smaller_side());
                let balance = studio.culprits(composed, minute, MeasureId::Balance, WIDTH_PX);
                let lit = balance.mask.values[..WIDTH_PX]
                    .iter()
                    .filter(|v| **v > 0)
                    .count();
                let expected = (hull.left - hull.right).abs() * WIDTH_PX as f64;
                assert!((lit as f64 - expected).abs() <= 1.0, "{lit} {expected}");
            },
        );
    }
}

/// A pole's shadow on the side: weighed pixel by pixel it is as large as the measure says, and lies where the pole's
/// points fall along the sun's rays.
#[test]
fn a_foreign_shadow_lights_up_as_large_as_it_is_measured() {
    let (east_m, north_m) = (6.0, 3.0);
    asked(
        &pole(east_m, north_m, 8.0),
        |_| {},
        |studio, composed, _| {
            let minute = studio.minute("2027-06-21T13:00:00Z".parse().unwrap());
            let sheet = studio.grade_at(composed, &minute).sheet;
            let area_m2 = sheet.row(MeasureId::ForeignBody).unwrap().value.unwrap();
            assert!(area_m2 > 0.3, "{area_m2}");
            let found = studio.culprits(composed, &minute, MeasureId::ForeignBody, 1152);
            assert_eq!(found.label.as_deref(), Some("the pole 1"));
            // The machine heads north, so x is north and y west.
            let toward = minute.toward;
            let inward_m = east_m - 1.5;
            let falls_m = north_m - inward_m * toward.x / -toward.y;
            let pixel_m2 = (2.0 * FRAME_HALF_M.x / 1152.0).powi(2);
            let mut sum_m2 = 0.0;
            for (pixel, blame) in found
                .mask
                .values
                .iter()
                .enumerate()
                .filter(|(_, v)| **v > 0)
            {
                let [right_m, _] = on_side(&found.mask, pixel);
                let pole_m = north_m * scale(east_m);
                if (right_m - pole_m).abs() < 0.3 {
                    continue; // the pole itself
                }
                assert!((right_m - falls_m).abs() < 0.3, "{right_m} {falls_m}");
                sum_m2 += f64::from(*blame) / 255.0 * pixel_m2;
            }
            assert!((sum_m2 / area_m2 - 1.0).abs() < 0.02, "{sum_m2} {area_m2}");
            let core = studio.culprits(composed, &minute, MeasureId::ForeignCore, 1152);
            assert!(core.mask.values.contains(&255));
        },
    );
}

/// A machine cut off lights up at the edge that cuts it, and the label says how much is lost.
#[test]
fn what_is_cut_off_lights_up_at_its_edge() {
    asked(
        "",
        |stand| stand.heading_deg += 9.0,
        |studio, composed, minute| {
            let hull = margins(&composed.camera, &studio.stage.hull).unwrap();
            assert!(hull.left < 0.0);
            let found = studio.culprits(composed, minute, MeasureId::SideMargin, WIDTH_PX);
            let columns = found
                .mask
                .values
                .iter()
                .enumerate()
                .filter(|(_, v)| **v > 0);
            let columns: Vec<usize> = columns.map(|(i, _)| i % WIDTH_PX).collect();
            assert!(!columns.is_empty() && columns.iter().all(|column| *column < WIDTH_PX / 40));
            assert!(found.label.unwrap().contains("cut off, left"));
        },
    );
}

/// A pole behind grows from the roofline: all of it that is seen lights up, between its two edges.
#[test]
fn a_growth_lights_up_between_its_edges_and_over_the_roof() {
    let found = culprits(&pole(-12.0, 3.0, 12.0), MeasureId::Growths);
    let middle_m = 3.0 * scale(-12.0);
    let mut lit = 0;
    for (pixel, blame) in found.mask.values.iter().enumerate() {
        let [right_m, up_m] = on_side(&found.mask, pixel);
        if *blame > 0 {
            lit += 1;
            assert!(
                (right_m - middle_m).abs() < 0.3 * scale(-12.0) + 0.05,
                "{right_m}"
            );
            assert!(up_m + EYE_UP_M > HEIGHT_M - 0.05, "{up_m}");
        }
    }
    assert!(lit > 20, "{lit}");
    // The anchor is where it meets the roof.
    let [u, v] = found.anchor.unwrap();
    assert!(((2.0 * u - 1.0) * FRAME_HALF_M.x - middle_m).abs() < 0.3);
    assert!(((1.0 - 2.0 * v) * FRAME_HALF_M.y + EYE_UP_M - HEIGHT_M).abs() < 0.1);
    // Twin: without it nothing lights up, and a sentence says so.
    let clear = culprits("", MeasureId::Growths);
    assert!(clear.mask.is_empty() && clear.marks.is_empty() && clear.anchor.is_none());
    assert_eq!(
        clear.nothing.as_deref(),
        Some("nothing grows from the roofline")
    );
}

/// A house behind the front half: its stretch and the sky's are told apart, with a line at each change.
#[test]
fn each_change_of_the_backdrop_has_its_line() {
    let found = culprits(&house(-30.0, [0.0, 8.0], 16.0), MeasureId::RooflineChanges);
    let at: Vec<f64> = found.marks.iter().map(|mark| mark.points[0][0]).collect();
    let edges_m = [0.0, 8.0].map(|north_m| north_m * scale(-30.0));
    assert_eq!(at.len(), 2);
    for (u, edge_m) in at.iter().zip(edges_m) {
        let found_m = (2.0 * u - 1.0) * FRAME_HALF_M.x;
        assert!((found_m - edge_m).abs() < 0.1, "{found_m} {edge_m}");
    }
    assert_eq!(found.marks[0].label.as_deref(), Some("building"));
    assert_eq!(found.marks[1].label.as_deref(), Some("sky"));
}

/// Closed form: a camera rolled by r shows the level turned by r the other way.
#[test]
fn the_level_line_is_turned_by_the_roll() {
    for roll_deg in [2.0f64, -3.5] {
        asked(
            "",
            |stand| stand.roll_deg = roll_deg,
            |studio, composed, minute| {
                let found = studio.culprits(composed, minute, MeasureId::Roll, WIDTH_PX);
                let level = found
                    .marks
                    .iter()
                    .find(|m| m.label.as_deref() == Some("level"))
                    .unwrap();
                let [a, b] = [level.points[0], level.points[1]];
                let rise_mm = -(b[1] - a[1]) * 24.0;
                let run_mm = (b[0] - a[0]) * 36.0;
                let turned_deg = (rise_mm / run_mm).atan().to_degrees();
                assert!(
                    (turned_deg - roll_deg).abs() < 1e-9,
                    "{turned_deg} {roll_deg}"
                );
            },
        );
    }
}

#[test]
fn somebody_beside_the_machine_lights_up() {
    let found = culprits(&person(1.5, 11.0), MeasureId::People);
    let lit = found
        .mask
        .values
        .iter()
        .enumerate()
        .filter(|(_, v)| **v > 0);
    let places: Vec<[f64; 2]> = lit.map(|(i, _)| on_side(&found.mask, i)).collect();
    assert!(places.len() > 100);
    assert!(
        places
            .iter()
            .all(|[right_m, _]| (right_m - 11.0).abs() < 0.5)
    );
}
