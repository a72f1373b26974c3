//! `sunside check` on files that are broken on purpose: each told with its place, none a panic.

use assert_cmd::Command;
use std::path::Path;

fn check(files: &[&str]) -> (i32, String) {
    let output = Command::cargo_bin("sunside")
        .unwrap()
        .arg("check")
        .args(files)
        .output()
        .unwrap();
    assert!(
        output.stderr.is_empty(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let text = String::from_utf8(output.stdout).unwrap();
    (
        output.status.code().expect("an exit status, not a signal"),
        text,
    )
}

/// File, what is told with its place, and what is said to be allowed.
const BROKEN: [(&str, &str, &str); 12] = [
    (
        "wrong_key",
        ":10:1: place.temperatur_c: unknown key: temperatur_c",
        "lat_deg, lon_deg, elevation_m, zone, pressure_hpa, temperature_c; did you mean",
    ),
    (
        "wrong_type",
        ":28:12: pole[1].height_m: wrong type: text: \"nine\"",
        "a number from 0.2 to 80",
    ),
    (
        "not_a_number",
        ":8:15: place.elevation_m: not a finite number: nan",
        "a number from -450 to 6000",
    ),
    (
        "crossed_polygon",
        ":36:13: ground.area[1].polygon_m: a crossed polygon",
        "a simple polygon: corners in order, no edge crossing another",
    ),
    (
        "missing_obj_group",
        ":149:9: part[17].group: missing OBJ group: \"fuel_tank\"",
        "tank, walkway",
    ),
    (
        "latitude_91",
        ":6:11: place.lat_deg: out of range: 91",
        "a number from -90 to 90",
    ),
    (
        "unknown_zone",
        ":9:8: place.zone: ",
        "a zone of the time-zone database",
    ),
    (
        "off_the_track",
        ":22:14: machine.chainage_m: the machine stands off its track, which is 200.00 m long: 195",
        "from 10.50 to 189.50",
    ),
    (
        "zero_focal_length",
        ":40:14: kit.lenses_mm[1]: out of range: 0",
        "numbers from 5 to 2000",
    ),
    (
        "ground_above_rails",
        ":17:23: track[1].ground_below_rail_m: out of range: -0.2",
        "a number from 0 to 6",
    ),
    ("empty", ":1:1: the file is empty", "a TOML file"),
    (
        "binary",
        ":1:4: not a text file: a byte that is no text: byte 0x00",
        "UTF-8 text",
    ),
];

#[test]
fn every_broken_file_is_told_with_file_line_column_key_value_and_what_is_allowed() {
    for (name, told, allowed) in BROKEN {
        let file = format!("tests/broken/{name}.toml");
        let (status, text) = check(&[&file]);
        assert_eq!(status, 2, "{text}");
        assert!(
            text.contains(&format!("{file}{told}")),
            "{told}\n---\n{text}"
        );
        let help = text.split("help: allowed:").nth(1).unwrap_or_default();
        let help = help.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(help.contains(allowed), "{allowed}\n---\n{help}");
        if name != "empty" {
            assert!(
                text.lines().any(|line| line.contains('^')),
                "a caret\n{text}"
            );
        }
    }
}

#[test]
fn each_broken_file_has_its_one_cause_and_no_more() {
    for (name, ..) in BROKEN {
        let (_, text) = check(&[&format!("tests/broken/{name}.toml")]);
        // A group that is not there leaves the one that is there without a part.
        let causes = if name == "missing_obj_group" {
            "2 problems"
        } else {
            "1 problem"
        };
        assert!(
            text.ends_with(&format!("{causes} in 1 file\n")),
            "{name}\n{text}"
        );
    }
}

#[test]
fn all_twelve_at_once_are_all_told() {
    let files: Vec<String> = BROKEN
        .iter()
        .map(|(name, ..)| format!("tests/broken/{name}.toml"))
        .collect();
    let (status, text) = check(&files.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!(status, 2);
    assert!(text.ends_with("13 problems in 12 files\n"), "{text}");
}

#[test]
fn the_sound_twin_passes() {
    let (status, text) = check(&[
        "tests/scenes/box_siding.toml",
        "tests/models/box_machine.toml",
    ]);
    assert_eq!(status, 0, "{text}");
    assert!(
        text.contains("a sound scene, Box Siding: box machine on siding"),
        "{text}"
    );
    assert!(text.contains("closed, windings outward"), "{text}");
}

#[test]
fn a_file_that_is_none_of_the_kinds_and_one_that_is_not_there_are_told() {
    let (status, text) = check(&["Cargo.toml", "no_such.toml"]);
    assert_eq!(status, 2);
    assert!(
        text.contains("Cargo.toml:1:1: neither scene nor model nor rulebook"),
        "{text}"
    );
    assert!(
        text.contains("no_such.toml:0:0: cannot read this file"),
        "{text}"
    );
}

/// Cut anywhere, a scene is sound or told: never a panic.
#[test]
fn a_scene_cut_short_anywhere_never_panics() {
    let whole = std::fs::read("tests/scenes/box_siding.toml").unwrap();
    let path = Path::new("tests/scenes/cut.toml");
    for length in (0..whole.len()).step_by(3) {
        let document = sunside::document::Document::parse("cut.toml", &whole[..length]);
        let read = sunside::scene::Scene::read(document, path);
        if let Err(problems) = read {
            assert!(!problems.is_empty());
            assert!(!sunside::document::render(&problems, false).is_empty());
        }
    }
}

/// What makes numbers, tables and text into something else.
const REPLACEMENTS: &[u8] = b"0-9.e+[]{}=\"\n#x, \xff\0";

/// Bytes changed at random (a fixed sequence): sound or told, never a panic.
#[test]
fn a_scene_with_bytes_changed_at_random_never_panics() {
    let whole = std::fs::read("tests/scenes/box_siding.toml").unwrap();
    let path = Path::new("tests/scenes/changed.toml");
    // Knuth's MMIX generator (The Art of Computer Programming 2, 3.3.4).
    let mut state = 1_u64;
    let mut next = |below: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    for _ in 0..300 {
        let mut changed = whole.clone();
        for _ in 0..1 + next(4) {
            let at = next(changed.len());
            changed[at] = REPLACEMENTS[next(REPLACEMENTS.len())];
        }
        let document = sunside::document::Document::parse("changed.toml", &changed);
        if let Err(problems) = sunside::scene::Scene::read(document, path) {
            assert!(!sunside::document::render(&problems, false).is_empty());
        }
    }
}
