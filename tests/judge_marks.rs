//! Files of marks: everything wrong in them is told with file and line. May not enter: pictures.

use crate::cli_status::sunside;
use crate::judge_hostile::{Folder, SCENE, judge};
use crate::judge_take::{photograph_bytes, rehearsed};
use std::path::Path;
use sunside::document::Document;
use sunside::judge::marks::read;
use sunside::scene::Scene;

#[test]
fn a_marks_file_is_read_and_told_of_everything_wrong_in_it() {
    let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    let of = |text: &str| {
        let document = Document::parse("m.toml", text.as_bytes());
        read(document, &scene.machine.shut, &scene.place.zone)
    };
    let given = of(
        "[marks]\nplaced_to_px = 0.5\nfocal_mm = 50\nfilm_mm = [36, 24]\nat = \"2027-05-14 10:00\"\n\
         [[mark]]\npoint = \"coupler_front\"\nat_px = [10, 20.5]\n",
    )
    .unwrap();
    assert_eq!((given.marks.len(), given.focal_mm), (1, Some(50.0)));
    assert_eq!(given.at, scene.frame.at);
    let told = of(
        "[marks]\nplaced_to_px = 0\nwhen = 1\n[[mark]]\npoint = \"cupler_front\"\nat_px = [1, 2]\n\
         [[mark]]\npoint = \"coupler_rear\"\nat_px = [nan, 2]\n[[mark]]\npoint = \"coupler_rear\"\nat_px = [1]\n\
         [[mark]]\npoint = \"coupler_front\"\nat_px = [1, 2]\n[[mark]]\npoint = \"coupler_front\"\nat_px = [1, 2]\n",
    )
    .unwrap_err()
    .to_string();
    for wanted in [
        "m.toml:2:",
        "marks.when: unknown key",
        "did you mean \"coupler_front\"?",
        "mark[2].at_px",
        "1 numbers instead of 2",
        "a point marked twice",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
}

#[test]
fn hostile_marks_are_told_with_file_and_line() {
    let folder = Folder::new();
    let mark = |point: &str, at: &str| format!("[[mark]]\npoint = \"{point}\"\nat_px = {at}\n");
    let heads: Vec<&str> = folder.marks.split("[[mark]]").collect();
    let some = |count: usize| heads[..=count].join("[[mark]]");
    let scattered = |at: &str| {
        let names = folder
            .marks
            .lines()
            .filter_map(|line| line.strip_prefix("point = "));
        names
            .map(|name| format!("[[mark]]\npoint = {name}\nat_px = {at}\n"))
            .collect::<String>()
    };
    let cases: Vec<(&str, Vec<u8>, &str)> = vec![
        (
            "nan",
            mark("coupler_front", "[nan, 3]").into(),
            "marks.toml:3:",
        ),
        (
            "infinite",
            mark("coupler_front", "[3, inf]").into(),
            "marks.toml:3:",
        ),
        (
            "huge",
            mark("coupler_front", "[1e300, 3]").into(),
            "marks.toml:3:",
        ),
        (
            "unknown",
            mark("cupler_front", "[1, 2]").into(),
            "did you mean \"coupler_front\"",
        ),
        (
            "doubled",
            (mark("coupler_front", "[1, 2]") + &mark("coupler_front", "[1, 2]")).into(),
            "a point marked twice",
        ),
        (
            "not text",
            vec![0xff, 0xfe, 0x00, 0x41, 0xc3, 0x28],
            "UTF-8",
        ),
        ("empty", vec![], "empty"),
        ("no toml", b"[[[[".to_vec(), "marks.toml:1:"),
        ("wrong kind", b"mark = 3\n".to_vec(), "marks.toml:1:"),
        (
            "lens",
            b"[marks]\nfocal_mm = -50\n".to_vec(),
            "marks.toml:2:",
        ),
        (
            "speed",
            b"[marks]\nexposure_s = 0\nf_number = 1e9\n".to_vec(),
            "marks.toml:3:",
        ),
    ];
    let photo = folder.put("siding.jpg", &folder.jpeg, None);
    for (name, bytes, wanted) in cases {
        std::fs::write(folder.path("siding.jpg.marks.toml"), bytes).unwrap();
        let answer = judge(&photo);
        assert_eq!(answer.status, 2, "{name}: {}{}", answer.out, answer.err);
        let told = answer.err.replace(['\n', '│'], " ");
        let words = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(wanted), "{name}: {words}");
    }
    // Marks that are sound, and yet leave the stand open: the photograph is not judged, and what it says is told.
    let flat = {
        let scene = Scene::load(Path::new(SCENE)).unwrap();
        let points = &scene.machine.shut.points;
        let side_m = |name: &str| {
            let point = points
                .iter()
                .find(|point| name.contains(&format!("\"{}\"", point.name)));
            point.map_or(0.0, |point| point.position_m.y.abs())
        };
        let kept = |part: &&&str| (1.47..1.56).contains(&side_m(part));
        let kept: Vec<&str> = heads[1..].iter().filter(kept).copied().collect();
        assert!(kept.len() >= 6, "{kept:?}");
        format!("{}[[mark]]{}", heads[0], kept.join("[[mark]]"))
    };
    let mut unlensed = None;
    rehearsed(|studio, stand, _| unlensed = Some(photograph_bytes(studio, stand, false)));
    let unlensed = folder.put("unlensed.jpg", &unlensed.unwrap(), None);
    for (photo, marks, wanted) in [
        (&photo, some(5), "5 named points marked; a pose needs 6"),
        (&photo, scattered("[450, 300]"), "marked at one place"),
        (&photo, scattered("[99999, -99999]"), "outside the picture"),
        (&unlensed, flat, "lie in one plane"),
    ] {
        std::fs::write(format!("{photo}.marks.toml"), marks).unwrap();
        let answer = judge(photo);
        assert_eq!(answer.status, 1, "{wanted}: {}{}", answer.out, answer.err);
        for wanted in [
            wanted,
            "Not judged: ",
            "f-number: f/5.6",
            "in the whole picture",
        ] {
            assert!(answer.out.contains(wanted), "{wanted}: {}", answer.out);
        }
    }
    std::fs::remove_file(folder.path("siding.jpg.marks.toml")).unwrap();
    std::fs::create_dir(folder.path("siding.jpg.marks.toml")).unwrap();
    let answer = judge(&photo);
    assert_eq!(answer.status, 2);
    let told = answer.err.replace(['\n', '│', ' '], "");
    assert!(told.contains("siding.jpg.marks.toml"), "{}", answer.err);
    let named = [
        "judge",
        photo.as_str(),
        "--scene",
        SCENE,
        "--marks",
        "missing.marks.toml",
    ];
    let missing = sunside(&named);
    assert!(
        missing.status == 2 && missing.err.contains("missing.marks.toml"),
        "{}",
        missing.err
    );
    // A file that is not there has no line.
    assert!(!missing.err.contains(":0"), "{}", missing.err);
}
