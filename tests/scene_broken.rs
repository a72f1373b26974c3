//! `sunside check` on files that are broken on purpose: each told with its place, none a panic.
//! May not enter: sound files but one.

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
        text.contains("no_such.toml: cannot read this file"),
        "{text}"
    );
}

#[test]
fn a_file_of_another_kind_is_told_so_and_nothing_else() {
    use sunside::grade::Rulebook;
    use sunside::mesh::sidecar;
    use sunside::scene::Scene;
    let one = |told: String, wanted: &str| assert_eq!(told, wanted);
    let scene = Path::new("tests/scenes/box_siding.toml");
    let model = Path::new("tests/models/box_machine.toml");
    let rules = Path::new("src/grade/rulebooks/roster.toml");
    one(
        Rulebook::load(scene).unwrap_err().to_string(),
        "tests/scenes/box_siding.toml:1:1: this looks like a scene (allowed: a rulebook)",
    );
    one(
        sidecar::load(rules).unwrap_err().to_string(),
        "src/grade/rulebooks/roster.toml:1:1: this looks like a rulebook (allowed: a model)",
    );
    one(
        Scene::load(model).unwrap_err().to_string(),
        "tests/models/box_machine.toml:1:1: this looks like a model (allowed: a scene)",
    );
}

/// The box siding with another model file.
fn with_model(model: &str) -> String {
    let path = Path::new("tests/scenes/box_siding.toml");
    let text = std::fs::read_to_string(path).unwrap();
    let text = text.replacen("../models/box_machine.toml", model, 1);
    let document = sunside::document::Document::parse("site.toml", text.as_bytes());
    let read = sunside::scene::Scene::read(document, path);
    read.unwrap_err().to_string()
}

#[test]
fn a_model_that_is_a_folder_a_scene_or_not_there_is_told_as_what_it_is() {
    let told = with_model("../models");
    assert!(
        told.contains(
            "site.toml:20:9: machine.model: this is a folder, not a model file: tests/models"
        ),
        "{told}"
    );
    let told = with_model("box_siding.toml");
    assert_eq!(
        told,
        "tests/scenes/box_siding.toml:1:1: this looks like a scene (allowed: a model)"
    );
    let told = with_model("../models/none.toml");
    assert!(
        told.contains("machine.model: no such model file: "),
        "{told}"
    );
}

/// A name may not steer the terminal that it is printed on, wherever it stands.
#[test]
fn no_control_character_of_a_file_reaches_the_terminal() {
    let dir = tempfile::tempdir().unwrap();
    let scene = std::fs::read_to_string("tests/scenes/box_siding.toml").unwrap();
    let named = |name: &str| scene.replacen("name = \"pole\"", &format!("name = \"{name}\""), 1);
    let sidecar = std::fs::read_to_string("tests/models/box_machine.toml").unwrap();
    let mesh = std::fs::read_to_string("tests/models/box_machine.obj").unwrap();
    let write = |name: &str, text: &str| {
        let path = dir.path().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_string()
    };
    write(
        "box_machine.obj",
        &mesh.replacen("g tank", "g tank\x1b[2J\u{9b}1m", 1),
    );
    for file in [
        write("escaped.toml", &named("po\\u001b[2Jle")),
        write("raw.toml", &named("po\x1b[2Jle")),
        write("key.toml", &format!("\"\\u001b[2J\" = 1\n{scene}")),
        write("model.toml", &sidecar),
    ] {
        let (status, text) = check(&[&file]);
        assert_eq!(status, 2, "{text}");
        assert!(!text.contains(['\x1b', '\u{9b}']), "{text:?}");
        assert!(text.contains("[2J"), "{text}");
    }
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
