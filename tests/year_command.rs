//! `year` from outside: what it says, its data, its picture, its exit status. May not enter: how a year is surveyed (see
//! `plan_year`).

use crate::cli_status::sunside;
use crate::light_day::box_siding;
use serde_json::Value;
use tempfile::TempDir;

/// The box machine with a little ground to its south-east; its nose points south.
fn small() -> String {
    let road = "[[9, -60], [60, -60], [60, 60], [9, 60]]";
    let text = box_siding();
    assert!(text.contains(road));
    text.replace(road, "[[20, -26], [26, -26], [26, -20], [20, -20]]")
        .replace("[35, 50]", "[50]")
}

fn sum(list: &Value, key: &str) -> f64 {
    let list = list.as_array().unwrap().iter();
    list.map(|one| one[key].as_f64().unwrap()).sum()
}

#[test]
fn the_year_is_told_in_words_as_data_and_as_a_picture() {
    let dir = TempDir::new().unwrap();
    let file = |name: &str| dir.path().join(name).to_str().unwrap().to_string();
    let (scene, svg, json) = (file("site.toml"), file("year.svg"), file("year.json"));
    std::fs::write(&scene, small()).unwrap();
    let args = [
        "year",
        &scene,
        "--year",
        "2027",
        "--every",
        "60",
        "--rasterizer",
        "cpu",
        "--picture",
        &svg,
        "--json",
        &json,
    ];
    let answer = sunside(&args);
    assert_eq!(answer.status, 0, "{}{}", answer.out, answer.err);
    let entries = std::fs::read_dir(dir.path()).unwrap();
    assert_eq!(entries.count(), 3, "scene, picture and data, nothing else");
    let data: Value = serde_json::from_slice(&std::fs::read(&json).unwrap()).unwrap();
    assert_eq!(
        (data["year"].as_i64(), data["every_min"].as_i64()),
        (Some(2027), Some(60))
    );
    let sides = data["facings"].as_array().unwrap().iter();
    let sides: Vec<&Value> = sides
        .flat_map(|one| one["sides"].as_array().unwrap())
        .collect();
    assert_eq!(sides.len(), 4);
    let mut won = 0;
    for side in &sides {
        let good_h = side["good_h"].as_f64().unwrap();
        for part in ["months", "weeks"] {
            assert!((sum(&side[part], "good_h") - good_h).abs() < 1e-6, "{part}");
        }
        // What is told in words is what the data have.
        if side["fair_h"].as_f64() > Some(0.0) {
            won += 1;
            let words = format!(" {good_h:.0} h good or better");
            assert!(answer.out.contains(&words), "{words}\n{}", answer.out);
            let drawn = std::fs::read_to_string(&svg).unwrap();
            assert!(drawn.contains(words.trim()), "{words}");
        }
        for season in side["good_seasons"].as_array().unwrap() {
            let day = |end: &str| -> String {
                let date: chrono::NaiveDate = season[end].as_str().unwrap().parse().unwrap();
                date.format("%-d %B").to_string()
            };
            let words = match [day("first").as_str(), day("last").as_str()] {
                ["1 January", "31 December"] => "Good all year, ".to_string(),
                [first, last] => format!("Good from {first} to {last}, "),
            };
            assert!(answer.out.contains(&words), "{words}\n{}", answer.out);
        }
    }
    assert!(won > 0);
    let drawn = std::fs::read_to_string(&svg).unwrap();
    assert_eq!(drawn.matches(">civil time<").count(), won);
    for words in [
        "On 14 March the clock is set forward by 60 min, to 03:00.",
        "nothing is proved",
        "the other way round",
    ] {
        assert!(
            answer.out.to_lowercase().contains(&words.to_lowercase()),
            "{words}\n{}",
            answer.out
        );
    }
    assert!(
        answer.out.contains("January")
            && answer
                .out
                .contains("before solar noon only, from the east side")
    );
}

/// Under cloud no light is good; what binds is told by the rulebook's title, and the status is 1.
#[test]
fn a_year_without_a_fair_minute_says_so_and_says_why() {
    let dir = TempDir::new().unwrap();
    let file = |name: &str| dir.path().join(name).to_str().unwrap().to_string();
    let (scene, png) = (file("site.toml"), file("year.png"));
    std::fs::write(&scene, small().replace("\"clear\"", "\"overcast\"")).unwrap();
    let args = [
        "year",
        &scene,
        "--year",
        "2027",
        "--every",
        "60",
        "--picture",
        &png,
    ];
    let answer = sunside(&args);
    assert_eq!(answer.status, 1, "{}{}", answer.out, answer.err);
    assert!(
        answer
            .out
            .contains("No minute of the year is fair or better."),
        "{}",
        answer.out
    );
    assert!(answer.out.contains("clarity binds in"), "{}", answer.out);
    assert!(std::fs::metadata(png).unwrap().len() > 1000);
}

#[test]
fn where_the_picture_cannot_be_written_nothing_is() {
    let dir = TempDir::new().unwrap();
    let file = |name: &str| dir.path().join(name).to_str().unwrap().to_string();
    let (scene, json, folder) = (file("site.toml"), file("year.json"), file("year.svg"));
    std::fs::write(&scene, small()).unwrap();
    std::fs::create_dir(&folder).unwrap();
    for picture in [folder, file("missing/year.png")] {
        let args = ["year", &scene, "--picture", &picture, "--json", &json];
        let answer = sunside(&args);
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{picture}");
        assert!(answer.err.contains(&picture), "{}", answer.err);
        assert!(!std::path::Path::new(&json).exists());
    }
}
