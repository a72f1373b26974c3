//! What a judged photograph is told as: the clean one of a rehearsed frame, one with everything doubtful word for word, what
//! lies open, who ranks before whom. May not enter: fits, tags.

use crate::cli_status::sunside;
use crate::judge_hostile::Folder;
use crate::judge_take::{
    away_m, jpeg_of, marks, marks_text, noisy, photograph, photograph_bytes, rehearsed,
};
use glam::DVec2;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use sunside::grade::{Grade, MeasureId, Stand, Studio, Verdict};
use sunside::judge::marks::Given;
use sunside::judge::photo::Photo;
use sunside::judge::take::take;
use sunside::report::judged;
use tempfile::TempDir;

const SCENE: &str = "scenes/open_siding.toml";

/// A frame exposed as advised, which the rules find good, its photograph with those settings in its tags.
fn clean(then: impl FnOnce(&Studio, &Stand, &sunside::grade::Sheet, (f64, f64))) {
    rehearsed(|studio, stand, _| {
        let minute = studio.minute(studio.scene.frame.at.unwrap());
        let advised = studio.grade(stand, &studio.default_capture(), &minute);
        let advice = advised.advice.as_ref().unwrap();
        let mut capture = studio.default_capture();
        capture.f_number = advice.aperture.value;
        // As cameras write it: one over a whole number.
        let over = (1.0 / advice.shutter.value).round();
        capture.exposure_s = Some(1.0 / over);
        let sheet = studio.grade(stand, &capture, &minute).sheet;
        assert!(sheet.verdict >= Verdict::Good, "{:?}", sheet.findings);
        then(studio, stand, &sheet, (capture.f_number, over));
    });
}

fn findings(sheet: &Value) -> BTreeSet<(String, String)> {
    let text = |value: &Value| value.as_str().unwrap().to_string();
    let all = sheet["findings"].as_array().unwrap().iter();
    all.map(|one| (text(&one["measure"]), text(&one["grade"])))
        .collect()
}

#[test]
fn a_clean_frame_as_a_photograph_has_its_pose_its_verdict_and_its_findings() {
    clean(|studio, stand, sheet, settings| {
        let jpeg = jpeg_of(studio, stand, Some(stand.lens_mm), settings);
        let folder = TempDir::new().unwrap();
        let photo = folder.path().join("clean.jpg");
        std::fs::write(&photo, &jpeg).unwrap();
        let height_px = f64::from(image::load_from_memory(&jpeg).unwrap().height());
        let text = marks_text("placed_to_px = 0.01", &marks(studio, stand, height_px));
        std::fs::write(folder.path().join("clean.jpg.marks.toml"), text).unwrap();
        let json = folder.path().join("clean.json");
        let answer = sunside(&[
            "judge",
            photo.to_str().unwrap(),
            "--scene",
            SCENE,
            "--json",
            json.to_str().unwrap(),
        ]);
        assert_eq!(answer.status, 0, "{}{}", answer.out, answer.err);
        let data: Value = serde_json::from_slice(&std::fs::read(json).unwrap()).unwrap();
        let found = &data["photos"][0];
        let of = |key: &str| found["stand"][key].as_f64().unwrap();
        let away = DVec2::new(of("east_m"), of("north_m")).distance(stand.spot_m);
        let away_m = away.hypot(of("height_m") - stand.height_m);
        assert!(away_m < 0.05, "{away_m}");
        for (found, wanted) in [
            (of("heading_deg"), stand.heading_deg),
            (of("pitch_deg"), stand.pitch_deg),
            (of("roll_deg"), stand.roll_deg),
        ] {
            assert!((found - wanted).abs() < 0.1, "{found} {wanted}");
        }
        let rehearsed = serde_json::to_value(sheet).unwrap();
        assert_eq!(found["sheet"]["verdict"], rehearsed["verdict"]);
        assert_eq!(findings(&found["sheet"]), findings(&rehearsed));
        assert_eq!(found["light_known"], true);
    });
}

/// A pixel of noise, a mark 40 px off, no focal length: every word of the answer.
#[test]
fn a_doubtful_photograph_is_told_word_for_word() {
    rehearsed(|studio, stand, _| {
        let folder = TempDir::new().unwrap();
        let photo = folder.path().join("siding.jpg");
        let jpeg = photograph_bytes(studio, stand, false);
        std::fs::write(&photo, &jpeg).unwrap();
        let height_px = f64::from(image::load_from_memory(&jpeg).unwrap().height());
        let mut marks = noisy(marks(studio, stand, height_px));
        marks[3].at_px += DVec2::new(24.0, -32.0);
        let text = marks_text("placed_to_px = 1", &marks);
        std::fs::write(folder.path().join("siding.jpg.marks.toml"), text).unwrap();
        let answer = sunside(&["judge", photo.to_str().unwrap(), "--scene", SCENE]);
        let told = answer
            .out
            .replace(folder.path().to_str().unwrap(), "PHOTOS");
        let file = Path::new("tests/judged/doubtful.txt");
        if std::env::var_os("RECORD_WORDS").is_some() {
            std::fs::write(file, &told).unwrap();
        }
        assert_eq!(told, std::fs::read_to_string(file).unwrap());
    });
}

#[test]
fn a_verdict_that_doubt_leaves_open_is_told_by_both_ends_everywhere() {
    clean(|studio, level, _, settings| {
        let rule = studio.rulebook.rule(MeasureId::Roll).unwrap();
        // Just within the clean limit, by less than what marks of a pixel leave open.
        let limit = (1..400).map(|i| 0.01 * f64::from(i));
        let limit = limit
            .take_while(|deg| rule.penalty(*deg).0 == Grade::Clean)
            .last()
            .unwrap();
        let stand = Stand {
            roll_deg: limit - 0.01,
            ..*level
        };
        let jpeg = jpeg_of(studio, &stand, Some(stand.lens_mm), settings);
        let photo = Photo::read("rolled.jpg", &jpeg).unwrap();
        let given = |placed_to_px: f64| Given {
            marks: marks(studio, &stand, photo.size_px()[1]),
            placed_to_px: Some(placed_to_px),
            ..Given::default()
        };
        let sure = take(studio, &photo, &given(0.001)).unwrap();
        let open = take(studio, &photo, &given(5.0)).unwrap();
        assert_eq!(open.sheet.verdict, sure.sheet.verdict);
        let roll = open.doubts.iter();
        let mut roll = roll.filter(|doubt| doubt.measure == MeasureId::Roll);
        assert!(roll.next().unwrap().is_open());
        let [better, worse] = open.verdicts;
        assert!(better > worse, "{:?} {:?}", open.verdicts, open.doubts);
        assert!(open.sheet.verdict <= better && open.sheet.verdict >= worse);
        let both = Verdict::between(open.verdicts);
        let text = judged::text(studio, &photo, &open);
        assert!(text.contains(&format!("Verdict: {both} (")), "{text}");
        let mount = judged::mount(studio, &photo, &open);
        assert_eq!(mount.open, Some(open.verdicts));
        let data = judged::data(&photo, &open);
        let wanted: Vec<&str> = open.verdicts.map(Verdict::word).to_vec();
        assert_eq!(data["verdicts"], serde_json::json!(wanted));
        let listed = judged::Listed {
            name: "rolled.jpg".into(),
            graded: Ok(judged::Graded::of(&open)),
        };
        let table = judged::table(std::iter::once(&listed), &[] as &[String]);
        assert!(table.contains(&format!("  1  {both}")), "{table}");
    });
}

/// What is nearly level leans to either side by the clock as well: a minute moves the sun by a quarter of a degree.
#[test]
fn what_the_sun_decides_is_as_doubtful_as_the_clock() {
    clean(|studio, stand, _, settings| {
        let jpeg = jpeg_of(studio, stand, Some(stand.lens_mm), settings);
        let photo = Photo::read("clean.jpg", &jpeg).unwrap();
        let given = Given {
            marks: marks(studio, stand, photo.size_px()[1]),
            placed_to_px: Some(0.01),
            ..Given::default()
        };
        let found = take(studio, &photo, &given).unwrap();
        let doubt = |id| found.doubts.iter().find(|doubt| doubt.measure == id);
        let at = studio.scene.frame.at.unwrap();
        let minute = chrono::TimeDelta::seconds(60);
        let high = |at| studio.moment(at).sun.elevation_deg;
        let wanted = (high(at + minute) - high(at - minute)).abs() / 2.0;
        let sun = doubt(MeasureId::SunElevation).unwrap();
        assert!((sun.sigma / wanted - 1.0).abs() < 1e-6, "{sun:?} {wanted}");
        assert!(doubt(MeasureId::HandrailShadow).unwrap().sigma > 1e-3);
    });
}

#[test]
fn a_photograph_whose_light_nobody_knows_passes_none_whose_light_was_judged() {
    let folder = Folder::new();
    let known = folder.put("known.jpg", &folder.jpeg, Some(&folder.marks));
    let at_night = folder
        .marks
        .replace("[marks]", "[marks]\nat = \"2027-05-14 23:00\"");
    let night = folder.put("night.jpg", &folder.jpeg, Some(&at_night));
    // The same picture, its tag of the time made another.
    let place = (folder.jpeg.windows(10))
        .position(|part| part == b"2027:05:14")
        .unwrap();
    let mut timeless = folder.jpeg.clone();
    timeless[place..place + 10].copy_from_slice(b"    :  :  ");
    let timeless = folder.put("timeless.jpg", &timeless, Some(&folder.marks));
    let json = folder.path("all.json");
    let answer = sunside(&[
        "judge",
        &timeless,
        &known,
        &night,
        &known,
        "--scene",
        SCENE,
        "--json",
        json.to_str().unwrap(),
    ]);
    let table = answer.out.split("Best first:").nth(1).unwrap();
    let places = ["known.jpg", "night.jpg", "Light not known", "timeless.jpg"].map(|what| {
        table
            .find(what)
            .unwrap_or_else(|| panic!("{what}: {table}"))
    });
    assert!(places.is_sorted(), "{table}");
    let row = table.lines().find(|line| line.contains("timeless.jpg"));
    let row = row.unwrap();
    assert!(
        row.ends_with(" unknown)") && row.starts_with("  1  at best "),
        "{table}"
    );
    let whole = answer.out.replace('\n', " ");
    let wanted = "unknown  shadow line, nose lit, side lit";
    assert!(whole.contains(wanted), "{}", answer.out);
    let again = "known.jpg was named more than once, and judged once";
    assert!(
        table.contains(again) && table.matches("known.jpg").count() == 2,
        "{table}"
    );
    let data: Value = serde_json::from_slice(&std::fs::read(&json).unwrap()).unwrap();
    let photos = data["photos"].as_array().unwrap();
    assert_eq!(photos.len(), 3);
    assert_eq!(photos[2]["light_known"], false);
    assert!(photos[2]["unknown"].as_u64().unwrap() >= 5);
    // Of one whose light nobody knows nobody says that it serves, alone or behind another.
    for (photos, wanted) in [(&[&timeless][..], 1), (&[&timeless, &night], 1)] {
        let names = photos.iter().map(|name| name.as_str());
        let line: Vec<&str> = ["judge", "--scene", SCENE]
            .into_iter()
            .chain(names)
            .collect();
        let answer = sunside(&line);
        assert_eq!(answer.status, wanted, "{}", answer.out);
        let told = ["at best good", "at best fair"]
            .iter()
            .any(|told| answer.out.contains(told));
        assert!(told, "{}", answer.out);
    }
    // What is read is not written over, and is named.
    let marks = format!("{known}.marks.toml");
    let answer = sunside(&["judge", &known, "--scene", SCENE, "--json", &marks]);
    assert_eq!(answer.status, 2);
    let told = answer.err.replace(['\n', '│', ' '], "");
    assert!(told.contains("known.jpg.marks.toml"), "{}", answer.err);
}

#[test]
fn a_mismark_is_named_as_the_file_and_as_a_person_calls_it() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, true);
        let mut all = marks(studio, stand, photo.size_px()[1]);
        all[2].at_px += DVec2::new(50.0, 0.0);
        let points = &studio.scene.machine.model.points;
        let bad = points
            .iter()
            .find(|point| point.name == all[2].name)
            .unwrap();
        let given = Given {
            marks: all,
            placed_to_px: Some(0.1),
            ..Given::default()
        };
        let found = take(studio, &photo, &given).unwrap();
        assert!(away_m(&found, stand) < 0.1);
        let text = judged::text(studio, &photo, &found);
        let wanted = format!("Mismarked: {} ({}) lies ", bad.name, bad.words);
        assert!(text.contains(&wanted), "{text}");
    });
}

#[test]
fn too_few_marks_left_are_told_beside_the_one_that_was_left_out() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, true);
        let all = marks(studio, stand, photo.size_px()[1]);
        let mut tried = 0;
        for first in 0..4 {
            let mut six: Vec<_> = all.iter().skip(first).step_by(3).take(6).cloned().collect();
            six[2].at_px += DVec2::new(24.0, -32.0);
            let given = Given {
                marks: six,
                placed_to_px: Some(0.2),
                ..Given::default()
            };
            let Ok(found) = take(studio, &photo, &given) else {
                continue;
            };
            if found.fit.mismarked().count() == 1 {
                tried += 1;
                let text = judged::text(studio, &photo, &found);
                let wanted =
                    "With 5 marks left one more that is off would not show: mark more points";
                assert!(text.contains(wanted), "{text}");
            }
        }
        assert!(tried > 0);
    });
}

#[test]
fn a_refusal_tells_a_point_by_its_name_and_as_a_person_calls_it() {
    use sunside::judge::pose::{Point, Refused};
    let told = Refused::Twice(Point::named("coupler_front"))
        .worded(|_| Some("coupler's face, front".to_string()))
        .to_string();
    let wanted = "\"coupler_front\" (coupler's face, front) is marked twice; mark each point once";
    assert_eq!(told, wanted);
    let apart = Refused::Apart {
        rms_px: 80.0,
        worst: Point::named("p1"),
    };
    assert!(
        apart
            .to_string()
            .contains("typically 80 px off, worst \"p1\"; check")
    );
}
