//! Rules of thumb of the trade, through the command line: each with a twin in which the cause is gone.
//! All of them are common practice among railroad photographers, from memory; limits are the default
//! rulebook's. May not enter: other things' shadows (see `thumb_shadows`).

use crate::thumb_site::Site;

/// Mid-May morning at 40° N: sun about 100° and 40° high (checked below).
const MORNING: &str = "2027-05-14 10:00";
const AFTERNOON: &str = "2027-05-14 17:00";

/// A site whose photographer, 40° off the nose on the right side, has the morning sun at the back.
fn sun_at_the_back() -> Site {
    let mut site = Site::facing(0.0, MORNING);
    site.nose_bearing_deg = site.sun(MORNING).azimuth_deg - 40.0;
    site
}

/// Common practice: "sun behind the photographer".
#[test]
fn with_the_sun_behind_the_photographer_nose_and_side_are_lit() {
    let site = sun_at_the_back();
    let front = site.grade_from(40.0, 29.0, &[]);
    assert_eq!(front.value_of("shadow_line_deg"), 0.0);
    assert_eq!(front.grade_of("nose_lit_percent"), "clean");
    assert_eq!(front.grade_of("side_lit_percent"), "clean");
    assert_eq!(front.findings("light"), Vec::<String>::new());
    assert_eq!(front.status, 0);
    // Twin: the sun has gone round to the other side of the machine; nothing else has changed.
    let back = site.grade_from(40.0, 29.0, &["--at", AFTERNOON]);
    assert_eq!(back.grade_of("side_lit_percent"), "ruinous");
    assert_eq!(back.grade_of("shadow_line_deg"), "ruinous");
    assert_eq!((back.verdict(), back.status), ("lost", 1));
    assert_eq!(back.findings("composition"), Vec::<String>::new());
}

/// Common practice: no summer noon. Profile angle 73° (rulebook, *what the limits imply*).
#[test]
fn a_june_noon_on_an_east_west_track_fails_the_high_sun_rule() {
    // Local solar noon at 98° W by daylight time: 12:00 + 1 h + 4 min × 8° + 2 min equation of time.
    let site = Site::facing(90.0, "2027-06-21 13:34");
    let sun = site.sun(&site.at);
    assert!((sun.elevation_deg - 73.4).abs() < 0.1, "{sun:?}");
    assert!((sun.azimuth_deg - 180.0).abs() < 1.0, "{sun:?}");
    let noon = site.grade_from(40.0, 29.0, &[]);
    assert_eq!(noon.grade_of("handrail_shadow_m"), "ruinous");
    assert_eq!(noon.verdict(), "lost");
    // Twin: the same date's morning. The sun is then north of east, so the north side is the lit one.
    let morning = site.grade_from(-40.0, 29.0, &["--at", "2027-06-21 07:45"]);
    assert_eq!(morning.grade_of("handrail_shadow_m"), "clean");
    // Twin: the same noon and spot in October.
    let october = site.grade_from(40.0, 29.0, &["--at", "2027-10-21 13:17"]);
    assert_eq!(october.grade_of("handrail_shadow_m"), "clean");
}

/// Geometry: at 40° N the June sun's profile angle on an east–west track never falls below its noon
/// value while the south side is lit, so no hour of that day passes from there.
#[test]
fn no_hour_of_the_june_day_passes_the_high_sun_rule_from_the_south() {
    let site = Site::facing(90.0, "2027-06-21 13:34");
    for hour in ["10:00", "11:30", "15:30", "17:00"] {
        let frame = site.grade_from(40.0, 29.0, &["--at", &format!("2027-06-21 {hour}")]);
        assert_eq!(frame.grade_of("handrail_shadow_m"), "ruinous", "{hour}");
    }
}

/// Common practice: a normal lens, level, three-quarter view, from some 30 m.
#[test]
fn fifty_millimetres_level_45_degrees_off_the_nose_at_30_m_frames_a_21_m_machine_clean() {
    let site = sun_at_the_back();
    let frame = site.grade_from(45.0, 30.0, &["--lens", "50"]);
    assert_eq!(frame.findings("composition"), Vec::<String>::new());
    assert!((frame.value_of("off_nose_deg") - 45.0).abs() < 1e-6);
    // Twins: too near, and too far.
    let near = site.grade_from(45.0, 20.0, &["--lens", "50"]);
    assert_eq!(near.grade_of("side_margin_percent"), "ruinous");
    let far = site.grade_from(45.0, 60.0, &["--lens", "50"]);
    assert_ne!(far.grade_of("size_percent"), "clean");
}

/// Common practice: a barely visible tilt is lived with, a machine that seems to topple is not.
#[test]
fn one_degree_of_roll_is_slight_and_four_are_ruinous() {
    let site = sun_at_the_back();
    let level = site.grade_from(40.0, 29.0, &["--roll", "0"]);
    assert_eq!(level.findings(""), Vec::<String>::new());
    for (roll, grade, verdict) in [
        ("1", "slight", "good"),
        ("-1", "slight", "good"),
        ("4", "ruinous", "lost"),
        ("-4", "ruinous", "lost"),
    ] {
        let frame = site.grade_from(40.0, 29.0, &["--roll", roll]);
        assert_eq!(frame.grade_of("roll_deg"), grade, "{roll}");
        assert_eq!(frame.verdict(), verdict, "{roll}: {:?}", frame.findings(""));
    }
}

/// Common practice: a view of the trailing end shows the wrong end.
#[test]
fn the_trailing_end_is_lost() {
    // The same place, aim and minute; the machine alone is turned about.
    let right = sun_at_the_back();
    let spot = right.spot(40.0, 29.0);
    let mut wrong = right.clone();
    wrong.nose_bearing_deg += 180.0;
    let spot = format!("{},{}", spot.x, spot.y);
    let head = right.grade(&["--spot", &spot]);
    let tail = wrong.grade(&["--spot", &spot]);
    assert_eq!(head.verdict(), "fine", "{:?}", head.findings(""));
    assert_eq!(tail.grade_of("end_shown"), "ruinous");
    assert_eq!((tail.verdict(), tail.status), ("lost", 1));
}
