//! The default rulebook against the project's table of limits, row by row. The table is common practice
//! from memory; it is transcribed here by hand, apart from the file that ships. May not enter: scenes.

use std::collections::BTreeSet;
use sunside::grade::Grade::{self, Clean, Marked, Ruinous, Slight};
use sunside::grade::{MeasureId, Rulebook, Unit};

/// Which way out of the clean range.
#[derive(Clone, Copy, Debug)]
enum Way {
    Low,
    High,
}
use Way::{High, Low};

/// A measure, a way out, a clean value, and per limit the grade that lies just beyond it.
type Row = (&'static str, Way, f64, &'static [(f64, Grade)]);

#[rustfmt::skip]
const TABLE: &[Row] = &[
    ("off_nose_deg", Low, 40.0, &[(28.0, Slight), (18.0, Marked), (10.0, Ruinous)]),
    ("off_nose_deg", High, 40.0, &[(55.0, Slight), (62.0, Marked), (72.0, Ruinous)]),
    ("end_shown", High, 0.0, &[(0.0, Slight), (1.0, Ruinous)]),
    ("eye_over_rail_m", Low, 1.0, &[(0.5, Slight), (0.1, Marked), (-0.5, Ruinous)]),
    ("eye_over_rail_m", High, 1.0, &[(2.0, Slight), (3.0, Marked), (4.2, Ruinous)]),
    ("focal_equivalent_mm", Low, 50.0, &[(42.0, Slight), (35.0, Marked), (26.0, Marked), (22.0, Ruinous)]),
    ("focal_equivalent_mm", High, 50.0, &[(65.0, Slight), (90.0, Marked), (150.0, Marked)]),
    ("near_far_ratio", Low, 1.5, &[(1.25, Slight), (1.12, Marked), (1.05, Marked)]),
    ("near_far_ratio", High, 1.5, &[(2.1, Slight), (2.6, Marked), (3.3, Ruinous)]),
    ("roll_deg", High, 0.0, &[(0.5, Slight), (1.5, Marked), (3.0, Ruinous)]),
    ("lean_deg", High, 0.0, &[(0.3, Slight), (0.8, Marked), (1.6, Ruinous)]),
    ("side_margin_percent", Low, 9.0, &[(4.0, Slight), (2.0, Marked), (0.2, Ruinous)]),
    ("top_bottom_margin_percent", Low, 9.0, &[(5.0, Slight), (3.0, Marked), (0.2, Ruinous)]),
    ("balance_percent", High, 0.0, &[(5.0, Slight), (10.0, Marked)]),
    ("size_percent", Low, 70.0, &[(58.0, Slight), (45.0, Marked), (33.0, Ruinous)]),
    ("hidden_percent", High, 0.0, &[(0.3, Slight), (1.5, Marked), (4.0, Ruinous)]),
    ("worst_hidden_part_percent", High, 0.0, &[(3.0, Slight), (12.0, Marked)]),
    ("growths_count", High, 0.0, &[(0.0, Slight), (2.0, Marked), (4.0, Marked)]),
    ("roofline_changes_count", High, 0.0, &[(2.0, Slight), (5.0, Marked), (10.0, Marked)]),
    ("tree_row_changes_count", High, 0.0, &[(2.0, Slight)]),
    ("bars_behind_count", High, 0.0, &[(0.0, Marked)]),
    ("band_behind_percent", High, 0.0, &[(15.0, Slight)]),
    ("wires_uprights_count", High, 0.0, &[(0.0, Slight)]),
    ("shadow_line_deg", High, 0.0, &[(12.0, Slight), (25.0, Marked), (45.0, Ruinous)]),
    ("nose_lit_percent", Low, 99.0, &[(90.0, Slight), (75.0, Marked), (50.0, Ruinous)]),
    ("side_lit_percent", Low, 99.0, &[(90.0, Slight), (80.0, Marked), (60.0, Ruinous)]),
    ("nose_side_ratio", Low, 1.0, &[(0.55, Slight), (0.40, Marked), (0.25, Ruinous)]),
    ("nose_side_ratio", High, 1.0, &[(1.8, Slight), (2.3, Marked), (3.6, Ruinous)]),
    ("handrail_shadow_m", Low, 0.4, &[(0.1, Slight), (0.0, Marked), (-0.3, Ruinous)]),
    ("profile_angle_deg", High, 30.0, &[(52.0, Slight), (56.0, Marked), (63.0, Ruinous)]),
    ("sun_elevation_deg", Low, 35.0, &[(22.0, Slight), (15.0, Marked), (8.0, Ruinous)]),
    ("sun_behind_terrain", High, 0.0, &[(0.0, Ruinous)]),
    ("running_gear_lit_percent", Low, 60.0, &[(35.0, Slight), (22.0, Marked), (12.0, Marked)]),
    ("beam_strength_ratio", Low, 1.0, &[(0.85, Slight), (0.65, Marked), (0.35, Ruinous)]),
    ("foreign_body_m2", High, 0.0, &[(0.02, Slight), (0.12, Marked), (0.30, Ruinous)]),
    ("foreign_core", High, 0.0, &[(0.0, Ruinous)]),
    ("foreign_gear_percent", High, 0.0, &[(3.0, Slight), (12.0, Marked)]),
    ("own_shadow", High, 0.0, &[(0.0, Slight)]),
    ("coupled_front", High, 0.0, &[(0.0, Ruinous)]),
    ("coupled_rear", High, 0.0, &[(0.0, Slight)]),
    ("doors_open", High, 0.0, &[(0.0, Marked)]),
    ("people", High, 0.0, &[(0.0, Marked)]),
    ("dirt", High, 0.0, &[(0.0, Slight), (1.0, Marked)]),
    ("focus_outside_m", High, 0.0, &[(0.0, Slight), (1.0, Marked), (3.0, Ruinous)]),
    ("exposure_error_stops", High, 0.0, &[(0.5, Slight), (1.0, Marked), (1.7, Ruinous)]),
    ("clipped_percent", High, 0.0, &[(1.0, Slight), (4.0, Marked), (12.0, Ruinous)]),
    ("blocked_percent", High, 0.0, &[(6.0, Slight), (15.0, Marked), (30.0, Marked)]),
];

/// Which measures the table's bold headings hold together; the subject's are faults of their own.
const FAULTS: &[(&str, &[&str])] = &[
    (
        "viewpoint",
        &["off_nose_deg", "end_shown", "eye_over_rail_m"],
    ),
    ("perspective", &["focal_equivalent_mm", "near_far_ratio"]),
    ("level", &["roll_deg", "lean_deg"]),
    (
        "framing",
        &[
            "side_margin_percent",
            "top_bottom_margin_percent",
            "balance_percent",
            "size_percent",
        ],
    ),
    (
        "foreground",
        &["hidden_percent", "worst_hidden_part_percent"],
    ),
    (
        "backdrop",
        &[
            "growths_count",
            "roofline_changes_count",
            "tree_row_changes_count",
            "bars_behind_count",
            "band_behind_percent",
            "wires_uprights_count",
        ],
    ),
    (
        "sun_bearing",
        &[
            "shadow_line_deg",
            "nose_lit_percent",
            "side_lit_percent",
            "nose_side_ratio",
        ],
    ),
    (
        "sun_height",
        &[
            "handrail_shadow_m",
            "profile_angle_deg",
            "sun_elevation_deg",
            "sun_behind_terrain",
            "running_gear_lit_percent",
        ],
    ),
    ("clarity", &["beam_strength_ratio"]),
    (
        "foreign_shadow",
        &["foreign_body_m2", "foreign_core", "foreign_gear_percent"],
    ),
    ("own_shadow", &["own_shadow"]),
    ("coupled_front", &["coupled_front"]),
    ("coupled_rear", &["coupled_rear"]),
    ("doors", &["doors_open"]),
    ("people", &["people"]),
    ("dirt", &["dirt"]),
    ("focus", &["focus_outside_m"]),
    (
        "exposure",
        &["exposure_error_stops", "clipped_percent", "blocked_percent"],
    ),
];

fn grade(book: &Rulebook, key: &str, value: f64) -> Grade {
    let id = MeasureId::from_key(key).expect(key);
    book.rule(id).expect(key).penalty(value).0
}

#[test]
fn every_row_has_its_grades_at_inside_and_beyond_each_limit() {
    let book = Rulebook::roster();
    for &(key, way, clean, limits) in TABLE {
        assert_eq!(grade(&book, key, clean), Clean, "{key} at {clean}");
        let step = match way {
            Low => -1e-9,
            High => 1e-9,
        };
        let mut inside = Clean;
        for &(limit, beyond) in limits {
            assert_eq!(
                grade(&book, key, limit),
                inside,
                "{key} at its limit {limit}"
            );
            assert_eq!(
                grade(&book, key, limit - step),
                inside,
                "{key} inside {limit}"
            );
            assert_eq!(
                grade(&book, key, limit + step),
                beyond,
                "{key} beyond {limit}"
            );
            inside = beyond;
        }
        // However far out, it becomes no worse than the last limit says.
        for far in [1e3, 1e9, f64::INFINITY] {
            assert_eq!(
                grade(&book, key, step.signum() * far),
                inside,
                "{key} far out"
            );
        }
    }
}

#[test]
fn penalties_are_0_1_3_at_the_limits_and_10_at_the_far_end() {
    let book = Rulebook::roster();
    let at = |key: &str, value| {
        book.rule(MeasureId::from_key(key).unwrap())
            .unwrap()
            .penalty(value)
            .1
    };
    for (value, penalty) in [
        (0.0, 0.0),
        (0.5, 0.0),
        (1.0, 0.5),
        (1.5, 1.0),
        (3.0, 3.0),
        (8.0, 10.0),
    ] {
        assert!(
            (at("roll_deg", value) - penalty).abs() < 1e-12,
            "roll {value}"
        );
    }
    // Beyond the far end by half the slope: 7 per 5°, so 0.7 per degree.
    assert!((at("roll_deg", 10.0) - 11.4).abs() < 1e-12);
    // Capped by the worst permitted grade.
    assert_eq!(at("wires_uprights_count", 50.0), 1.0);
    assert_eq!(at("balance_percent", 90.0), 3.0);
    assert_eq!(at("near_far_ratio", 1.0), 3.0);
    assert_eq!(at("focal_equivalent_mm", 24.0), 3.0);
    assert!(at("focal_equivalent_mm", 21.0) > 10.0);
    // A limit that follows at once: nothing, then the whole of it.
    assert_eq!(at("foreign_core", 0.0), 0.0);
    assert_eq!(at("foreign_core", 1.0), 10.0);
    assert_eq!(at("doors_open", 1.0), 3.0);
}

#[test]
fn the_roster_has_a_rule_for_every_measure_but_that_of_the_lettering() {
    let book = Rulebook::roster();
    let tabled: BTreeSet<&str> = TABLE.iter().map(|row| row.0).collect();
    let ruled: BTreeSet<&str> = book.rules().map(|rule| rule.id.key()).collect();
    assert_eq!(tabled, ruled);
    let all: BTreeSet<&str> = MeasureId::ALL.iter().map(|id| id.key()).collect();
    let without: Vec<&&str> = all.difference(&ruled).collect();
    assert_eq!(without, [&"lettering_shaded_percent"]);
}

#[test]
fn measures_belong_to_the_faults_of_the_tables() {
    let book = Rulebook::roster();
    let faults: Vec<&str> = book.faults.iter().map(|fault| fault.key.as_str()).collect();
    let expected: Vec<&str> = FAULTS.iter().map(|fault| fault.0).collect();
    assert_eq!(faults, expected);
    for rule in book.rules() {
        let fault = &book.faults[rule.fault].key;
        let (_, measures) = FAULTS.iter().find(|(key, _)| key == fault).unwrap();
        assert!(
            measures.contains(&rule.id.key()),
            "{} in {fault}",
            rule.id.key()
        );
    }
}

#[test]
fn headroom_is_whole_in_the_middle_and_nothing_at_a_limit() {
    let book = Rulebook::roster();
    let at = |key: &str, value| {
        book.rule(MeasureId::from_key(key).unwrap())
            .unwrap()
            .headroom(value)
    };
    assert_eq!(at("off_nose_deg", 41.5), Some(1.0));
    assert_eq!(at("off_nose_deg", 28.0), Some(0.0));
    assert_eq!(at("off_nose_deg", 27.9), None);
    assert_eq!(at("roll_deg", 0.25), Some(0.5));
    assert_eq!(at("nose_lit_percent", 95.0), Some(0.5));
    assert_eq!(at("sun_elevation_deg", 60.0), Some(1.0));
    // Where clean means none at all there is no room to measure.
    assert_eq!(at("growths_count", 0.0), None);
}

#[test]
fn both_rulebooks_that_ship_are_whole() {
    for book in [Rulebook::roster(), Rulebook::record()] {
        assert_eq!(
            (book.search.width_px, book.search.sun_px),
            (384, 512),
            "{}",
            book.name
        );
        assert_eq!(
            (book.proof.width_px, book.proof.sun_px),
            (1152, 2048),
            "{}",
            book.name
        );
        for rule in book.rules() {
            assert!(rule.weight > 0.0 && !rule.reason.is_empty() && !rule.source.is_empty());
            // What is not counted or yes-or-no has room to be comfortable in.
            if !matches!(rule.id.unit(), Unit::Code | Unit::Count)
                && rule.id.key() != "focus_outside_m"
            {
                let middle = match (&rule.low, &rule.high) {
                    (Some(low), Some(high)) => 0.5 * (low.limits[0] + high.limits[0]),
                    _ => rule.best,
                };
                assert_eq!(rule.headroom(middle), Some(1.0), "{}", rule.id.key());
            }
        }
    }
}

#[test]
fn a_record_shot_obeys_no_rule_of_light_or_viewpoint() {
    let book = Rulebook::record();
    for key in FAULTS.iter().flat_map(|(fault, measures)| {
        let free = [
            "viewpoint",
            "level",
            "backdrop",
            "sun_bearing",
            "sun_height",
            "clarity",
        ];
        let measures: &[&str] = if free.contains(fault) { measures } else { &[] };
        measures.iter()
    }) {
        assert!(
            book.rule(MeasureId::from_key(key).unwrap()).is_none(),
            "{key}"
        );
    }
    assert_eq!(grade(&book, "lettering_shaded_percent", 1.0), Clean);
    assert_eq!(grade(&book, "lettering_shaded_percent", 50.0), Marked);
    assert_eq!(grade(&book, "side_margin_percent", -1.0), Ruinous);
    assert_eq!(grade(&book, "near_far_ratio", 1.0), Clean);
    assert_eq!(grade(&book, "focus_outside_m", 0.2), Slight);
}
