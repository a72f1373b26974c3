//! Rules of thumb on other things' shadows, through the command line: poles and wires, and the values of
//! the rulebook's *what the limits imply*. Common practice, from memory. May not enter: the
//! machine's own shadows.

use crate::thumb_site::{Frame, Site};
use glam::DVec2;

/// Half the hood's width at the doors, metres (the model's sidecar: `offset_m`).
const HOOD_M: f64 = 0.933;

/// A table of a pole or mast.
fn upright(kind: &str, at: DVec2, diameter_m: f64, height_m: f64) -> String {
    format!(
        "[[{kind}]]\nname = \"the culprit\"\nposition_m = [{}, {}]\ndiameter_m = {diameter_m}\nheight_m = {height_m}\n",
        at.x, at.y
    )
}

/// A wire that hangs straight down, so that its shadow crosses an upright side at one distance.
fn hanging_wire(at: DVec2, diameter_mm: f64, top_m: f64) -> String {
    format!(
        "[[wire]]\nname = \"the culprit\"\na_m = [{x}, {y}, 0]\nb_m = [{x}, {y}, {top_m}]\ndiameter_mm = {diameter_mm}\n",
        x = at.x,
        y = at.y
    )
}

/// An early morning, the sun some 28° high, 40° off the nose on the right: behind the photographer.
fn early() -> Site {
    let mut site = Site::facing(0.0, "2027-05-14 08:55");
    site.nose_bearing_deg = site.sun(&site.at).azimuth_deg - 45.0;
    site
}

/// Common practice: one stripe across the hood ends a frame's career. The pole stands behind the
/// photographer, so that nothing but its shadow is in the frame.
#[test]
fn a_pole_s_shadow_across_the_hood_loses_the_frame_and_a_wire_s_does_not() {
    let site = early();
    let sun = site.sun(&site.at);
    let hood = site.beside(-3.0, HOOD_M);
    let behind = hood + site.toward(sun.azimuth_deg) * 30.0;
    let top_m = 30.0 * sun.elevation_deg.to_radians().tan() + 6.0;
    let frame = |table: &str| site.with(table).grade_from(45.0, 28.0, &[]);

    let pole = frame(&upright("pole", behind, 0.3, top_m));
    assert_eq!(pole.verdict(), "lost");
    assert_eq!(pole.status, 1);
    let worst = |measure: &str| pole.grade_of(measure) == "ruinous";
    assert!(worst("foreign_core") || worst("foreign_body_m2"));
    let others = pole.findings("");
    assert!(
        others.iter().all(|one| one.contains("foreign_")),
        "its shadow alone is to blame: {others:?}"
    );
    // Twin: the same pole 6 m aside, across the sun's rays: its shadow falls behind the machine.
    let aside = site.toward(sun.azimuth_deg + 90.0) * 6.0;
    let moved = frame(&upright("pole", behind + aside, 0.3, top_m));
    assert_eq!(moved.value_of("foreign_body_m2"), 0.0);
    assert_eq!(moved.verdict(), "fine", "{:?}", moved.findings(""));
    // Twin: a wire in the pole's place.
    let wire = frame(&hanging_wire(behind, 10.0, top_m));
    assert_eq!(wire.grade_of("foreign_body_m2"), "clean");
    assert_eq!(wire.grade_of("foreign_core"), "clean");
    assert_ne!(wire.verdict(), "lost", "{:?}", wire.findings(""));
}

/// A morning at which the sun stands 35° high, square to the right side.
fn sun_at_35_square_to_the_side() -> Site {
    let mut site = Site::facing(0.0, "2027-05-14 09:30");
    let sun = site.sun(&site.at);
    assert!((sun.elevation_deg - 35.0).abs() < 0.5, "{sun:?}");
    site.nose_bearing_deg = sun.azimuth_deg - 90.0;
    site
}

/// What stands `distance_m` from the middle of the hood toward the sun, measured on the ground. (Along
/// the sun's rays, 35° high, 40 m are 49 m; a mast 40 m off along the rays, 33 m on the ground, is 0.142 m²
/// on 2.6 m by the same closed form, which is marked.)
fn frame_with(table: impl Fn(&Site, DVec2, f64) -> String, distance_m: f64) -> Frame {
    let site = sun_at_35_square_to_the_side();
    let sun = site.sun(&site.at);
    let at = site.beside(-3.0, HOOD_M) + site.toward(sun.azimuth_deg) * distance_m;
    let top_m = distance_m * sun.elevation_deg.to_radians().tan() + 6.0;
    site.with(&table(&site, at, top_m))
        .grade_from(45.0, 28.0, &[])
}

/// The worse of the two measures.
fn shadow_grade(frame: &Frame) -> &str {
    ["ruinous", "marked", "slight", "clean"]
        .into_iter()
        .find(|grade| {
            [
                frame.grade_of("foreign_body_m2"),
                frame.grade_of("foreign_core"),
            ]
            .contains(grade)
        })
        .unwrap()
}

fn told(frame: &Frame) -> String {
    format!(
        "{} m², core {}",
        frame.value_of("foreign_body_m2"),
        frame.value_of("foreign_core")
    )
}

/// Rulebook, *what the limits imply*: shadows on a hood side with the sun at 35°.
#[test]
fn wires_and_thin_cables_leave_the_hood_clean() {
    for (diameter_mm, distance_m) in [(10.0, 8.0), (30.0, 10.0)] {
        let frame = frame_with(
            |_, at, top_m| hanging_wire(at, diameter_mm, top_m),
            distance_m,
        );
        assert_eq!(
            shadow_grade(&frame),
            "clean",
            "{diameter_mm} mm: {}",
            told(&frame)
        );
    }
    // Twin: the same cable so near that its shadow is dark.
    let near = frame_with(|_, at, top_m| hanging_wire(at, 30.0, top_m), 1.5);
    assert_ne!(shadow_grade(&near), "clean", "{}", told(&near));
}

/// Rulebook, *what the limits imply*.
#[test]
fn a_mast_s_shadow_is_slight_from_afar_and_ruinous_from_near() {
    let mast = |_: &Site, at, top_m| upright("mast", at, 0.15, top_m);
    let far = frame_with(mast, 40.0);
    assert_eq!(shadow_grade(&far), "slight", "{}", told(&far));
    // A strip 0.15 m wide before a uniform disc of 0.53°, 48.8 m along the rays, on a side 2.6 m high:
    // 0.0872 m² by integration of the circle's segments. This hood's side is 2.46 m high and partly shaded
    // by its own fittings.
    let area_m2 = far.value_of("foreign_body_m2");
    assert!((0.062..0.0872).contains(&area_m2), "{area_m2}");
    let near = frame_with(mast, 6.0);
    assert_eq!(shadow_grade(&near), "ruinous", "{}", told(&near));
    let pole = frame_with(|_, at, top_m| upright("pole", at, 0.3, top_m), 10.0);
    assert_eq!(shadow_grade(&pole), "ruinous", "{}", told(&pole));
}
