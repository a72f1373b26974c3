//! The command line's exit statuses and what it leaves behind: 0 for fair or better, 1 for less, 2 for an
//! error; nothing half written. May not enter: what a frame's numbers are.

use crate::thumb_site::Site;
use assert_cmd::Command;
use std::path::Path;
use tempfile::TempDir;

const BROKEN: [&str; 12] = [
    "binary",
    "crossed_polygon",
    "empty",
    "ground_above_rails",
    "latitude_91",
    "missing_obj_group",
    "not_a_number",
    "off_the_track",
    "unknown_zone",
    "wrong_key",
    "wrong_type",
    "zero_focal_length",
];

/// What a command answered.
pub struct Answer {
    pub status: i32,
    pub out: String,
    pub err: String,
}

/// Runs the command.
pub fn sunside(args: &[&str]) -> Answer {
    let output = Command::cargo_bin("sunside")
        .unwrap()
        .args(args)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    let answer = Answer {
        status: output.status.code().expect("an exit status, not a signal"),
        out: text(output.stdout),
        err: text(output.stderr),
    };
    assert!(!answer.err.contains("panicked"), "{}", answer.err);
    answer
}

/// TOML files of a folder.
fn toml_files(folder: &str) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut files: Vec<String> = entries
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .map(|path| path.to_str().unwrap().to_string())
        .collect();
    files.sort();
    files
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect()
}

#[test]
fn help_is_given_for_every_command_with_status_0() {
    for args in [
        &["--help"][..],
        &["grade", "--help"],
        &["plan", "--help"],
        &["year", "--help"],
        &["lenses", "--help"],
        &["light", "--help"],
        &["export", "--help"],
        &["check", "--help"],
        &["--version"],
    ] {
        let answer = sunside(args);
        assert_eq!(answer.status, 0, "{args:?}");
        assert!(answer.out.contains("unside"), "{}", answer.out);
    }
    assert_eq!(sunside(&[]).status, 2, "no command");
}

#[test]
fn every_file_that_ships_is_sound() {
    let folders = ["scenes", "models", "src/grade/rulebooks"];
    let files: Vec<String> = folders.iter().flat_map(|f| toml_files(f)).collect();
    assert!(files.len() >= 5, "{files:?}");
    let mut args = vec!["check"];
    args.extend(files.iter().map(String::as_str));
    let answer = sunside(&args);
    assert_eq!(answer.status, 0, "{}", answer.out);
    assert_eq!(answer.out.lines().count(), files.len());
    assert!(answer.out.lines().all(|line| line.contains(": a sound ")));
}

/// Each with file, line and column; the file that lacks an OBJ group has two problems by its nature.
#[test]
fn twelve_broken_files_give_twelve_located_messages_and_status_2() {
    let files = BROKEN.map(|name| format!("tests/broken/{name}.toml"));
    assert_eq!(toml_files("tests/broken"), files);
    let mut args = vec!["check"];
    args.extend(files.iter().map(String::as_str));
    let answer = sunside(&args);
    assert_eq!(answer.status, 2);
    for file in &files {
        let located = answer.out.lines().any(|line| {
            let Some((_, rest)) = line.split_once(&format!("{file}:")) else {
                return false;
            };
            let mut parts = rest.splitn(3, ':');
            let mut number = || parts.next().and_then(|part| part.parse::<usize>().ok());
            let (line_number, column) = (number(), number());
            let message = parts.next().unwrap_or_default();
            line_number.is_some_and(|n| n > 0)
                && column.is_some_and(|n| n > 0)
                && message.trim().len() > 8
        });
        assert!(located, "{file}\n{}", answer.out);
    }
    assert!(answer.out.ends_with(" in 12 files\n"), "{}", answer.out);
}

#[test]
fn grade_ends_with_0_for_a_good_frame_1_for_a_lost_one_and_2_for_an_error() {
    let scene = "scenes/open_siding.toml";
    let good = sunside(&["grade", scene]);
    assert_eq!(good.status, 0, "{}", good.out);
    let night = sunside(&["grade", scene, "--at", "2027-05-14 23:30"]);
    assert_eq!(night.status, 1, "{}{}", night.out, night.err);
    assert!(night.out.contains("Verdict: lost"), "{}", night.out);
    let none = sunside(&["grade", "scenes/no_such_scene.toml"]);
    assert_eq!(none.status, 2);
    assert!(none.err.contains("no_such_scene.toml"), "{}", none.err);
    let broken = sunside(&["grade", "tests/broken/latitude_91.toml"]);
    assert_eq!(broken.status, 2);
    assert!(broken.err.contains(":6:11"), "{}", broken.err);
    assert!(broken.out.is_empty());
}

/// Clock changes of 2027 in the United States: 14 March and 7 November (Energy Policy Act of 2005).
#[test]
fn a_doubled_or_missing_hour_is_refused_and_either_reading_that_is_offered_is_taken() {
    for (at, offers) in [
        (
            "2027-11-07 01:30",
            ["2027-11-07 01:30-04:00", "2027-11-07 01:30-05:00"],
        ),
        (
            "2027-03-14 02:30",
            ["2027-03-14 01:30-05:00", "2027-03-14 03:30-04:00"],
        ),
    ] {
        let answer = sunside(&["grade", "scenes/crowded_shop.toml", "--at", at]);
        assert_eq!(answer.status, 2, "{at}");
        for offer in offers {
            assert!(answer.err.contains(offer), "{}", answer.err);
            let taken = sunside(&["grade", "scenes/crowded_shop.toml", "--at", offer]);
            assert_eq!(taken.status, 1, "night: lost, but graded; {}", taken.err);
        }
    }
}

#[test]
fn what_is_not_a_number_is_refused_with_the_option_s_name() {
    let scene = "scenes/open_siding.toml";
    for option in [
        "--lens",
        "--height",
        "--heading",
        "--pitch",
        "--roll",
        "--f-number",
    ] {
        for value in ["nan", "inf", "-inf", "fifty", ""] {
            let answer = sunside(&["grade", scene, &format!("{option}={value}")]);
            assert_eq!(answer.status, 2, "{option} {value}");
            assert!(answer.err.contains(option), "{}", answer.err);
        }
    }
    for spot in ["nan,0", "1", "1,2,3", "a,b"] {
        assert_eq!(
            sunside(&["grade", scene, "--spot", spot]).status,
            2,
            "{spot}"
        );
    }
}

#[test]
fn a_target_that_cannot_be_written_is_an_error_and_nothing_is_half_written() {
    let scene = "scenes/open_siding.toml";
    let dir = TempDir::new().unwrap();
    let path = |name: &str| dir.path().join(name).to_str().unwrap().to_string();
    for (option, name) in [("--json", "frame.json"), ("--picture", "frame.png")] {
        let missing = path(&format!("no_such_folder/{name}"));
        let answer = sunside(&["grade", scene, option, &missing, "--picture-width", "64"]);
        assert_eq!(answer.status, 2, "{option}");
        assert!(answer.err.contains("no_such_folder"), "{}", answer.err);
    }
    assert_eq!(names(dir.path()), Vec::<String>::new());
    // A folder where the file should go.
    std::fs::create_dir(dir.path().join("frame.json")).unwrap();
    let answer = sunside(&["grade", scene, "--json", &path("frame.json")]);
    assert_eq!(answer.status, 2);
    assert!(answer.err.contains("frame.json"), "{}", answer.err);
    assert_eq!(names(dir.path()), ["frame.json"]);
    assert_eq!(names(&dir.path().join("frame.json")), Vec::<String>::new());
}

/// `/dev/full` takes no byte (Linux, null(4)).
#[cfg(target_os = "linux")]
#[test]
fn a_standard_error_that_takes_nothing_changes_no_exit_status() {
    let scene = "tests/scenes/box_siding.toml";
    for (args, status) in [
        (&["grade", scene, "--json", "-"][..], 0),
        (&["grade", "no_such_scene.toml"], 2),
    ] {
        let full = std::fs::File::options().write(true).open("/dev/full");
        let ended = std::process::Command::new(assert_cmd::cargo::cargo_bin("sunside"))
            .args(args)
            .stdout(std::process::Stdio::null())
            .stderr(full.unwrap())
            .status();
        assert_eq!(ended.unwrap().code(), Some(status), "{args:?}");
    }
}

#[test]
fn nothing_that_is_read_is_written_over_and_two_outputs_are_two_files() {
    let dir = TempDir::new().unwrap();
    let path = |name: &str| dir.path().join(name).to_str().unwrap().to_string();
    let scene = path("site.toml");
    std::fs::copy("scenes/open_siding.toml", &scene).unwrap();
    std::fs::copy("models/hood_six_axle.toml", path("hood.toml")).unwrap();
    let model = std::fs::read_to_string(&scene).unwrap();
    let model = model.replace("../models/hood_six_axle.toml", "hood.toml");
    std::fs::write(&scene, &model).unwrap();
    let dates = ["--from", "2027-05-14", "--to", "2027-05-14"];
    for args in [
        vec!["grade", &scene, "--json", &scene],
        vec!["grade", &scene, "--json", &path("hood.toml")],
        vec![
            "grade",
            &scene,
            "--json",
            &path("./../").replace("./../", "./hood.toml"),
        ],
        [&["plan", &scene, "--json", &scene], &dates[..]].concat(),
    ] {
        let answer = sunside(&args);
        assert_eq!(answer.status, 2, "{args:?}");
        assert!(answer.err.contains("would write over"), "{}", answer.err);
    }
    assert_eq!(std::fs::read_to_string(&scene).unwrap(), model);
    let same = path("same.png");
    let answer = sunside(&["grade", &scene, "--json", &same, "--picture", &same]);
    assert!(answer.err.contains("give two files"), "{}", answer.err);
    // Cards go where no page of somebody else's stands.
    std::fs::write(path("card-1.html"), "my notes").unwrap();
    let dir_path = path("");
    let answer = sunside(&[&["plan", &scene, "--card", &dir_path], &dates[..]].concat());
    assert!(answer.err.contains("that no plan wrote"), "{}", answer.err);
    assert_eq!(
        std::fs::read_to_string(path("card-1.html")).unwrap(),
        "my notes"
    );
    // A plan that comes to nothing leaves no folder behind.
    let (missing, new) = (path("no_such_scene.toml"), path("new_cards"));
    let answer = sunside(&[&["plan", &missing, "--card", &new], &dates[..]].concat());
    assert_eq!(answer.status, 2);
    assert!(!Path::new(&new).exists());
}

#[test]
fn dates_stay_within_the_years_of_the_clocks_and_a_span_that_ends() {
    for (from, to, said) in [
        ("0001-01-01", "2027-01-01", "1800 to 2200"),
        ("2027-01-01", "9999-01-01", "1800 to 2200"),
        ("2027-01-01", "2127-01-01", "days found"),
    ] {
        let answer = sunside(&[
            "plan",
            "scenes/open_siding.toml",
            "--from",
            from,
            "--to",
            to,
        ]);
        assert_eq!(answer.status, 2);
        assert!(answer.err.contains(said), "{}", answer.err);
    }
}

#[test]
fn a_plan_that_ends_before_it_begins_is_refused() {
    let answer = sunside(&[
        "plan",
        "scenes/open_siding.toml",
        "--from",
        "2027-05-14",
        "--to",
        "2027-05-13",
    ]);
    assert_eq!(answer.status, 2);
    for told in ["--to", "2027-05-13", "2027-05-14"] {
        assert!(answer.err.contains(told), "{}", answer.err);
    }
}

/// At 70° N the sun stays down from late November to mid-January (almanacs).
#[test]
fn a_plan_in_the_polar_night_ends_with_1_and_says_why() {
    let mut site = Site::facing(90.0, "2027-12-21 12:00");
    site.lat_deg = 70.0;
    let dir = TempDir::new().unwrap();
    let scene = site.write(&dir);
    let json = dir.path().join("plan.json");
    let answer = sunside(&[
        "plan",
        scene.to_str().unwrap(),
        "--from",
        "2027-12-20",
        "--to",
        "2027-12-22",
        "--every",
        "60",
        "--json",
        json.to_str().unwrap(),
    ]);
    assert_eq!(answer.status, 1, "{}{}", answer.out, answer.err);
    assert!(
        answer.out.contains("no hour is fair or better"),
        "{}",
        answer.out
    );
    assert!(
        answer.out.contains("The sun does not rise in these dates"),
        "{}",
        answer.out
    );
    let plan: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(json).unwrap()).unwrap();
    assert_eq!(plan["answers"].as_array().unwrap().len(), 0);
    // A frame at that noon is graded, and lost.
    assert_eq!(sunside(&["grade", scene.to_str().unwrap()]).status, 1);
}
