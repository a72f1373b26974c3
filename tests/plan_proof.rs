//! What a plan tells is what `grade` says: answers, both ends of their windows, and dates. May not enter:
//! how answers are found.

use assert_cmd::Command;
use serde_json::Value;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

const SCENE: &str = "scenes/crowded_shop.toml";

fn run(args: &[&str]) -> std::process::Output {
    let run = Command::cargo_bin("sunside").unwrap().args(args).output();
    run.unwrap()
}

fn sunside(args: &[&str]) -> i32 {
    run(args).status.code().unwrap()
}

fn read(path: &Path) -> Value {
    serde_json::from_slice(&std::fs::read(path).unwrap()).unwrap()
}

struct Planned {
    plan: Value,
    text: String,
    dir: TempDir,
}

impl Planned {
    fn of(from: &str, to: &str, lens: &str) -> Planned {
        let dir = tempfile::tempdir().unwrap();
        let json = dir.path().join("plan.json");
        let run = run(&[
            "plan",
            SCENE,
            "--from",
            from,
            "--to",
            to,
            "--every",
            "20",
            "--lens",
            lens,
            "--json",
            json.to_str().unwrap(),
        ]);
        assert_eq!(run.status.code(), Some(0));
        Planned {
            plan: read(&json),
            text: String::from_utf8(run.stdout).unwrap(),
            dir,
        }
    }

    /// `grade` at an answer's stand.
    fn grade(&self, stand: &Value, at: &str) -> Value {
        let json: PathBuf = self.dir.path().join("grade.json");
        let number = |key: &str| stand[key].as_f64().unwrap();
        let spot = format!("--spot={},{}", number("east_m"), number("north_m"));
        let [lens, height, heading] = ["lens_mm", "height_m", "heading_deg"]
            .map(|key| format!("--{}={}", key.split('_').next().unwrap(), number(key)));
        let (at, json_arg) = (format!("--at={at}"), format!("--json={}", json.display()));
        let status = sunside(&[
            "grade", SCENE, &at, &spot, &lens, &height, &heading, &json_arg,
        ]);
        assert!(status <= 1);
        read(&json)
    }
}

fn sentences(frame: &Value) -> Vec<&str> {
    let findings = frame["sheet"]["findings"].as_array().unwrap();
    findings
        .iter()
        .map(|one| one["sentence"].as_str().unwrap())
        .collect()
}

/// An instant of the plan's data moved by seconds, as `--at` takes it.
fn shifted(at: &Value, seconds: i64) -> String {
    let at: chrono::DateTime<chrono::Utc> = at.as_str().unwrap().parse().unwrap();
    (at + chrono::Duration::seconds(seconds)).to_rfc3339()
}

#[test]
fn grade_says_of_every_answer_and_window_what_the_plan_said() {
    let planned = Planned::of("2027-05-03", "2027-05-06", "35,40");
    let answers = planned.plan["answers"].as_array().unwrap();
    assert!(!answers.is_empty());
    for answer in answers {
        let (stand, text) = (&answer["stand"], &planned.text);
        let best = planned.grade(stand, &shifted(&answer["best"], 0));
        let score = |frame: &Value| frame["sheet"]["score"].as_f64().unwrap();
        // Numbers went through text twice: the last bit may differ.
        assert!((score(&best) - score(answer)).abs() < 1e-9);
        assert_eq!(best["sheet"]["verdict"], answer["sheet"]["verdict"]);
        assert_eq!(sentences(&best), sentences(answer));
        let verdict = &answer["sheet"]["verdict"];
        // Other days of the run have windows of their own.
        for day in answer["days"].as_array().unwrap() {
            for end in ["window_start", "window_end"] {
                let frame = planned.grade(stand, &shifted(&day[end]["at"], 0));
                assert_eq!(&frame["sheet"]["verdict"], verdict, "{day}");
            }
        }
        for (end, word, way) in [("window_start", "from", -1), ("window_end", "to", 1)] {
            let end = &answer[end];
            let inside = planned.grade(stand, &shifted(&end["at"], 0));
            assert_eq!(&inside["sheet"]["verdict"], verdict, "{end}");
            let at: chrono::DateTime<chrono::Utc> = end["at"].as_str().unwrap().parse().unwrap();
            assert_eq!(at.timestamp() % 60, 0, "{end}");
            let local = end["local"].as_str().unwrap();
            assert!(
                text.contains(&format!("{word} {}", &local[11..16])),
                "{local}"
            );
            // A whole minute on, or at most 15 s more (to which ends are bisected), the verdict is another, by the
            // measure that is named.
            let outside = planned.grade(stand, &shifted(&end["at"], way * 75));
            assert_ne!(&outside["sheet"]["verdict"], verdict, "{end}");
            let named = end["ended_by"].as_str().expect("something ends it");
            let grade = |frame: &Value| {
                let rows = frame["sheet"]["measures"].as_array().unwrap().clone();
                let row = rows.into_iter().find(|row| row["measure"] == named);
                row.unwrap()["grade"].clone()
            };
            assert_ne!(grade(&inside), grade(&outside), "{named}");
        }
    }
}

#[test]
fn dates_and_instants_lie_in_the_range_that_was_asked() {
    let planned = Planned::of("2027-05-03", "2027-05-04", "35");
    for answer in planned.plan["answers"].as_array().unwrap() {
        let days = answer["days"].as_array().unwrap();
        let dates: Vec<&str> = days
            .iter()
            .map(|day| day["date"].as_str().unwrap())
            .collect();
        assert!(
            dates.is_sorted() && dates[0] >= "2027-05-03" && dates[dates.len() - 1] <= "2027-05-04"
        );
        let local = answer["best_local"].as_str().unwrap();
        assert!(dates.contains(&&local[..10]));
    }
}
