//! Slips of the pen in a scene file that leave every number within its own range, and yet mean nothing: each is
//! told, none is built. The yard is `tests/scenes/sampler_yard.toml`. May not enter: pictures, grades.

use crate::cli_status::sunside;
use std::path::Path;
use sunside::document::Document;
use sunside::scene::Scene;
use tempfile::TempDir;

const YARD: &str = "tests/scenes/sampler_yard.toml";

fn yard_text(from: &str, to: &str) -> String {
    let text = std::fs::read_to_string(YARD).unwrap();
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1)
}

#[test]
fn what_lies_apart_from_what_it_belongs_to_or_has_no_extent_is_told() {
    for (from, to, told) in [
        (
            "doors_m = [[-24, -40]]",
            "doors_m = [[-24, -40], [-24, 40]]",
            "building[1].doors_m[2]: 66.0 m away from what it belongs to",
        ),
        (
            "piers_m = [[-4, -95]]",
            "piers_m = [[-4, 95]]",
            "bridge[1].piers_m[1]: 186.0 m away from what it belongs to",
        ),
        (
            "underside_m = 3.8",
            "posts_m = [[9, 50], [90, 50]]\nunderside_m = 3.8",
            "canopy[1].posts_m[2]: 78.0 m away from what it belongs to",
        ),
        (
            "underside_m = 6.5",
            "base_m = 6.5\nunderside_m = 6.5",
            "bridge[1].underside_m: it lies in the ground: 6.5 (allowed: more than 6.5, where its ground is)",
        ),
        (
            "underside_m = 3.8",
            "base_m = 40\nunderside_m = 3.8",
            "canopy[1].underside_m: it lies in the ground: 3.8",
        ),
        (
            "points_m = [[18, -2], [18, 18]]",
            "points_m = [[18, -2], [18, 18], [18, 18]]",
            "fence[3].points_m[3]: the same point twice",
        ),
        (
            "to = \"south pole\"",
            "to = \"north pole\"",
            "wire[1].to: a wire without length: \"north pole\"",
        ),
        (
            "footprint_m = [[-40, -20], [-26, -20], [-26, 0], [-40, 0]]",
            "footprint_m = [[-40, -20], [-26, -20], [-38, -17], [-40, 0]]",
            "building[2].roof: a roof of this kind over a corner that looks inward: \"gable\"",
        ),
        (
            "footprint_m = [[-40, 20], [-26, 20], [-26, 40], [-40, 40]]",
            "footprint_m = [[-40, 20], [-26, 20], [-26, 40], [-40, 20]]",
            "building[4].footprint_m: the same corner twice",
        ),
        (
            "name = \"oak\"",
            &format!("name = \"{}\"", "o".repeat(501)),
            "(allowed: at most 500 letters)",
        ),
        (
            "lenses_mm = [28, 35, 50, 85]",
            "film_mm = [4, 21]\nlenses_mm = [28, 35, 50, 85]",
            "kit.film_mm: a strip of film, not a frame: [4, 21] (allowed: one side at most 5 times as long as the other)",
        ),
    ] {
        let text = yard_text(from, to);
        let read = Scene::read(Document::parse(YARD, text.as_bytes()), Path::new(YARD));
        let problems = read.map(|scene| scene.name).expect_err(told);
        assert_eq!(problems.len(), 1, "{problems}");
        assert!(problems.to_string().contains(told), "{told}\n{problems}");
    }
}

/// The width is allowed by itself; the film's shape makes the picture too high.
#[test]
fn a_picture_that_would_be_too_high_is_refused_before_anything_is_drawn() {
    let dir = TempDir::new().unwrap();
    let models = std::fs::canonicalize("tests/models").unwrap();
    let text = yard_text("[kit]", "[kit]\nfilm_mm = [10, 50]");
    let text = text.replace("../models", models.to_str().unwrap());
    let scene = dir.path().join("yard.toml");
    std::fs::write(&scene, text).unwrap();
    let picture = dir.path().join("frame.png");
    let [scene, picture] = [&scene, &picture].map(|path| path.to_str().unwrap());
    let args = [
        "grade",
        scene,
        "--picture",
        picture,
        "--picture-width",
        "2000",
    ];
    let answer = sunside(&args);
    assert_eq!(answer.status, 2);
    let told =
        "--picture-width: 2000 px make a picture 10000 px high on this film, 64 to 1800 px allowed";
    assert!(answer.err.contains(told), "{}", answer.err);
    assert!(answer.out.is_empty());
    assert!(!Path::new(picture).exists());
}

fn box_siding(dir: &TempDir, change: impl Fn(&str) -> String) -> String {
    let models = std::fs::canonicalize("tests/models").unwrap();
    let text = std::fs::read_to_string("tests/scenes/box_siding.toml").unwrap();
    let text = change(&text.replace("../models", models.to_str().unwrap()));
    let path = dir.path().join("site.toml");
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_string()
}

/// Samoa went from 29 to 31 December 2011 (time-zone database, Pacific/Apia).
#[test]
fn a_plan_of_a_day_that_the_calendar_leaves_out_is_refused_as_such() {
    let dir = TempDir::new().unwrap();
    let scene = box_siding(&dir, |text| text.replace("America/Chicago", "Pacific/Apia"));
    let dates = ["--from", "2011-12-30", "--to", "2011-12-30"];
    let answer = sunside(&[&["plan", &scene], &dates[..]].concat());
    assert_eq!(answer.status, 2);
    let told = "--from: 2011-12-30 was left out in Pacific/Apia";
    assert!(answer.err.contains(told), "{}", answer.err);
    assert!(answer.out.is_empty());
}

#[test]
fn ground_too_small_to_stand_on_is_said_to_be_that() {
    let dir = TempDir::new().unwrap();
    let (road, strip) = (
        "[[9, -60], [60, -60], [60, 60], [9, 60]]",
        "[[21.9, -22.1], [22.1, -22.1], [22.1, -21.9], [21.9, -21.9]]",
    );
    let scene = box_siding(&dir, |text| text.replace(road, strip));
    let dates = [
        "--from",
        "2027-05-14",
        "--to",
        "2027-05-14",
        "--every",
        "120",
    ];
    let answer = sunside(&[&["plan", &scene], &dates[..]].concat());
    assert_eq!(answer.status, 1, "{}", answer.err);
    let told = "Nowhere on the allowed ground can one stand with room to its edge";
    assert!(answer.out.contains(told), "{}", answer.out);
}
