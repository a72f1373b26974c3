//! `light` from outside: what it says, its data, its strip. May not enter: how a frame is graded.

use crate::cli_status::sunside;
use crate::light_day::{box_siding, far_north};
use chrono::{DateTime, Utc};
use serde_json::Value;
use std::path::Path;
use tempfile::TempDir;

fn written(dir: &TempDir, text: &str) -> String {
    let path = dir.path().join("site.toml");
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_string()
}

/// In June of 2027 the sun of 88° N does not set; the same under cloud has no light of its own at all.
#[test]
fn the_command_says_in_words_that_the_sun_does_not_set_or_that_there_is_none() {
    let dir = TempDir::new().unwrap();
    let night = written(&dir, &far_north());
    let svg = dir.path().join("day.svg");
    let args = [
        "light",
        &night,
        "--date",
        "2027-10-31",
        "--picture",
        svg.to_str().unwrap(),
    ];
    let answer = sunside(&args);
    assert_eq!(answer.status, 1, "{}", answer.err);
    assert!(
        answer.out.contains("The sun does not rise"),
        "{}",
        answer.out
    );
    assert!(
        answer
            .out
            .contains("The clock is set back by 60 min after 02:59, to 02:00."),
        "{}",
        answer.out
    );
    let drawn = std::fs::read_to_string(&svg).unwrap();
    assert!(
        drawn.contains("clock −60 min") && drawn.contains("does not rise"),
        "{drawn}"
    );
    let cloudy = box_siding().replace("\"clear\"", "\"overcast\"");
    let cloudy = written(&dir, &cloudy);
    let answer = sunside(&["light", &cloudy, "--date", "2027-05-14", "--every", "240"]);
    assert_eq!(answer.status, 1);
    let clarity = answer
        .out
        .lines()
        .find(|line| line.starts_with("clarity "))
        .unwrap();
    assert!(clarity.contains("ruinous"), "{clarity}");
}

#[test]
fn a_forbidden_spot_is_told_and_followed_and_an_unknown_end_is_drawn_both_ways() {
    let dir = TempDir::new().unwrap();
    let scene = written(&dir, &box_siding().replace("\"second\"", "\"unknown\""));
    let (svg, json) = (dir.path().join("day.svg"), dir.path().join("day.json"));
    let path = |path: &Path| path.to_str().unwrap().to_string();
    let answer = sunside(&[
        "light",
        &scene,
        "--date",
        "2027-05-14",
        "--spot=5,-30",
        "--every",
        "240",
        "--picture",
        &path(&svg),
        "--json",
        &path(&json),
    ]);
    assert!(answer.status < 2, "{}", answer.err);
    assert!(
        answer.out.contains("Do not stand there: "),
        "{}",
        answer.out
    );
    let data: Value = serde_json::from_slice(&std::fs::read(json).unwrap()).unwrap();
    assert_eq!(data["stand"]["allowed"], false);
    assert_ne!(data["head_end"], data["other_end"]["head_end"]);
    let drawn = std::fs::read_to_string(svg).unwrap();
    assert_eq!(drawn.matches("If it faces").count(), 2);
    // A block for each stretch of a lane that is not clean, of a verdict that is not fine, and of the legend's
    // three grades and four verdicts.
    let mut blocks = 7;
    for day in [&data, &data["other_end"]] {
        let runs = |lane: &Value| lane.as_array().unwrap().clone();
        let lanes = day["lanes"].as_array().unwrap();
        let graded = lanes
            .iter()
            .flat_map(|lane| runs(&lane["runs"]))
            .chain(runs(&day["rest"]));
        blocks += graded.filter(|run| run["grade"] != "clean").count();
        blocks += runs(&day["verdict"])
            .iter()
            .filter(|run| run["verdict"] != "fine")
            .count();
    }
    assert_eq!(drawn.matches("fill=\"url(#").count(), blocks);
}

/// Hours are equally wide: a block's ends lie where its instants lie between the day's ends.
#[test]
fn blocks_of_the_strip_lie_where_their_instants_lie() {
    let dir = TempDir::new().unwrap();
    let scene = written(&dir, &box_siding());
    let svg = dir.path().join("day.svg");
    let args = [
        "light",
        &scene,
        "--date",
        "2027-05-14",
        "--json",
        "-",
        "--picture",
        svg.to_str().unwrap(),
    ];
    let answer = sunside(&args);
    let data: Value = serde_json::from_str(&answer.out).unwrap();
    let instant = |run: &Value, key: &str| {
        let at: DateTime<Utc> = run[key].as_str().unwrap().parse().unwrap();
        at.timestamp() as f64
    };
    let mut wanted = Vec::new();
    let mut take = |runs: &Value, key: &str, empty: &str| {
        let runs = runs
            .as_array()
            .unwrap()
            .iter()
            .filter(|run| run[key] != empty);
        wanted.extend(runs.map(|run| [instant(run, "from"), instant(run, "to")]));
    };
    for lane in data["lanes"].as_array().unwrap() {
        take(&lane["runs"], "grade", "clean");
    }
    take(&data["rest"], "grade", "clean");
    take(&data["verdict"], "verdict", "fine");
    let drawn = std::fs::read_to_string(svg).unwrap();
    let attribute = |rect: &str, name: &str| -> f64 {
        let rest = rect.split(&format!(" {name}=\"")).nth(1).unwrap();
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let rects = drawn
        .split("<rect")
        .filter(|rect| rect.contains("fill=\"url(#"));
    let found: Vec<[f64; 2]> = rects
        .map(|rect| {
            [
                attribute(rect, "x"),
                attribute(rect, "x") + attribute(rect, "width"),
            ]
        })
        .take(wanted.len())
        .collect();
    // It is lost at sunrise and at sunset: the blocks reach from end to end.
    let ends = |list: &[[f64; 2]]| {
        let low = list.iter().map(|run| run[0]).fold(f64::INFINITY, f64::min);
        (
            low,
            list.iter()
                .map(|run| run[1])
                .fold(f64::NEG_INFINITY, f64::max),
        )
    };
    let ((first, last), (left, right)) = (ends(&wanted), ends(&found));
    assert!(last - first > 13.0 * 3600.0 && right - left > 600.0);
    for (wanted, found) in wanted.iter().zip(&found) {
        for (at, x) in wanted.iter().zip(found) {
            let expected = left + (at - first) / (last - first) * (right - left);
            assert!((x - expected).abs() < 0.2, "{x} {expected}");
        }
    }
}
