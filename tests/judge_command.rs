//! `judge` as it is typed: overrides, many photographs, the contact sheet. May not enter: fits, broken files.

use crate::cli_status::sunside;
use crate::judge_exif::with_exif;
use crate::judge_hostile::Folder;
use serde_json::Value;

const SCENE: &str = "scenes/open_siding.toml";

#[test]
fn what_is_typed_stands_over_the_marks_and_these_over_the_tags_and_contradictions_are_told() {
    let folder = Folder::new();
    let marks = folder
        .marks
        .replace("[marks]", "[marks]\nf_number = 11\nfilm_speed_iso = 400");
    let photo = folder.put("siding.jpg", &folder.jpeg, Some(&marks));
    let data = folder.path("judged.json");
    let answer = sunside(&[
        "judge",
        &photo,
        "--scene",
        SCENE,
        "--at",
        "2027-05-14 09:30-05:00",
        "--f-number",
        "8",
        "--exposure",
        "1/250",
        "--focal-length",
        "50",
        "--film-size",
        "36,24",
        "--json",
        data.to_str().unwrap(),
    ]);
    assert!(answer.status < 2, "{}", answer.err);
    for wanted in [
        "taken: 2027-05-14 09:30",
        "as given; but DateTimeOriginal and OffsetTimeOriginal says 2027-05-14 10:00",
        "f-number: f/8 (as given; but FNumber says f/5.6)",
        "shutter: 1/250 s (as given; but ExposureTime says 1/125 s)",
        "speed: ISO 400 (as given; but PhotographicSensitivity says",
        "focal length: 50.0 mm (as given",
        "sensor: 36.0 × 24.0 mm (as given",
    ] {
        assert!(answer.out.contains(wanted), "{wanted}: {}", answer.out);
    }
    let data: Value = serde_json::from_slice(&std::fs::read(data).unwrap()).unwrap();
    let shot = &data["photos"][0]["shot"];
    assert_eq!(shot["at"]["value"], "2027-05-14T14:30:00+00:00");
    assert_eq!(shot["f_number"]["origin"], "as given");
    for bad in [
        ["--f-number", "0"],
        ["--lens", "nan"],
        ["--film-size", "36"],
        ["--film-size", "36,1e9"],
        ["--iso", "-1"],
        ["--exposure", "1/0"],
        ["--at", "yesterday"],
    ] {
        let answer = sunside(&["judge", &photo, "--scene", SCENE, bad[0], bad[1]]);
        assert_eq!(answer.status, 2, "{bad:?}: {}", answer.out);
        assert!(answer.err.contains(bad[0]), "{bad:?}: {}", answer.err);
    }
}

#[test]
fn many_photographs_make_a_table_and_a_sheet_best_first_and_the_rest_is_told() {
    let folder = Folder::new();
    let good = folder.put("good.jpg", &folder.jpeg, Some(&folder.marks));
    // The same picture said to have been taken by night.
    let night = folder.put(
        "night.jpg",
        &folder.jpeg,
        Some(
            &folder
                .marks
                .replace("[marks]", "[marks]\nat = \"2027-05-14 23:00\""),
        ),
    );
    let bare = folder.put(
        "bare.jpg",
        &with_exif(&folder.jpeg, b"II*\0\x08\0\0\0\0\0\0\0\0\0"),
        None,
    );
    let broken = folder.put("broken.jpg", &folder.jpeg[..200], Some(&folder.marks));
    let sheet = folder.path("sheet.png");
    let answer = sunside(&[
        "judge",
        &bare,
        &broken,
        &night,
        &good,
        "--scene",
        SCENE,
        "--contact-sheet",
        sheet.to_str().unwrap(),
    ]);
    assert_eq!(answer.status, 1, "{}", answer.err);
    let table = answer.out.split("Best first:").nth(1).unwrap();
    let places =
        ["good.jpg", "night.jpg", "bare.jpg", "broken.jpg"].map(|name| table.find(name).unwrap());
    assert!(places.is_sorted(), "{table}");
    assert!(
        table.contains("lost") && table.contains("not judged") && table.contains("skipped"),
        "{table}"
    );
    let picture = image::open(&sheet).unwrap();
    // Three mounts of 512 pixels in a row, each with a gap of 24.
    assert_eq!(picture.width(), 3 * 536 + 24);
    assert_eq!(std::fs::read(&good).unwrap(), folder.jpeg);
    let answer = sunside(&[
        "judge",
        &good,
        &night,
        "--scene",
        SCENE,
        "--at",
        "2027-05-14 10:00",
    ]);
    assert!(
        answer.status == 2 && answer.err.contains("--at goes with one"),
        "{}",
        answer.err
    );
    let answer = sunside(&["judge", &good, "--scene", SCENE, "--contact-sheet", &good]);
    assert_eq!(answer.status, 2);
    assert_eq!(std::fs::read(&good).unwrap(), folder.jpeg);
}

#[test]
fn a_photograph_that_is_not_there_is_not_marked() {
    let answer = sunside(&[
        "judge",
        "nope.jpg",
        "--scene",
        "scenes/open_siding.toml",
        "--mark",
    ]);
    assert_eq!(answer.status, 2);
    assert!(
        answer
            .err
            .contains("nope.jpg: there is no such file to mark"),
        "{}",
        answer.err
    );
}
