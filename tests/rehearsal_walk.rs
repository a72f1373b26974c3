//! The newcomer's walk (docs/walk) by the same commands, without a window: from a lost frame to a fine one, with the
//! verdicts that its page tells. May not enter: widgets, pictures.

use chrono::{DateTime, Utc};
use glam::DVec2;
use std::path::Path;
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};
use sunside::grade::{MeasureId, Rulebook, StandChange, Verdict};
use sunside::rehearsal::command::Command;
use sunside::rehearsal::desk::Desk;
use sunside::rehearsal::opening::{Begin, Opened, open};
use sunside::sighting::cpu::Cpu;

const SCENE: &str = "scenes/larkspur_lot.toml";
const PAGE: &str = "docs/walk/README.md";
const SCRIPT: &str = "docs/walk/walk.sh";
/// How page and script begin.
const BEGINS: [&str; 2] = [
    "--at \"2027-05-22 12:10\" --spot 22.5,9.7 --lens 35 ",
    "--height 0.8 --pitch 3 --roll -2.2 --heading 243.5",
];

fn rulebook() -> &'static Rulebook {
    static RULES: OnceLock<Rulebook> = OnceLock::new();
    RULES.get_or_init(Rulebook::roster)
}

fn rasterizer() -> &'static Cpu {
    static CPU: OnceLock<Cpu> = OnceLock::new();
    CPU.get_or_init(Cpu::default)
}

fn today() -> DateTime<Utc> {
    "2027-05-14T15:00:00Z".parse().unwrap()
}

fn opened() -> Opened {
    open(Path::new(SCENE), rulebook(), rasterizer(), today()).unwrap_or_else(|p| panic!("{p}"))
}

/// The frame that the walk begins with.
fn first_try() -> Begin {
    Begin {
        at: Some("2027-05-22 12:10".into()),
        stand: StandChange {
            spot_m: Some(DVec2::new(22.5, 9.7)),
            lens_mm: Some(35.0),
            height_m: Some(0.8),
            heading_deg: Some(243.5),
            pitch_deg: Some(3.0),
            roll_deg: Some(-2.2),
        },
        head_end: None,
        ..Begin::default()
    }
}

/// Verdict and score of the take on the table, at full size.
fn verdict(desk: &mut Desk) -> (Verdict, f64) {
    let start = Instant::now();
    loop {
        desk.take_news();
        if let Some(graded) = desk.graded.as_ref().filter(|graded| graded.proved)
            && desk.is_graded()
        {
            let sheet = &graded.graded.sheet;
            return (sheet.verdict, sheet.score);
        }
        assert!(start.elapsed() < Duration::from_secs(90), "never graded");
        std::thread::sleep(Duration::from_millis(10));
    }
}

fn press(desk: &mut Desk, command: Command, times: usize) {
    for _ in 0..times {
        assert!(desk.act(command));
        assert_eq!(desk.refused, None);
    }
}

/// Verdicts and scores of the page's steps: lines that begin "Verdict: **fine 96.2**".
fn told(page: &str) -> Vec<(String, f64)> {
    let lines = page
        .lines()
        .filter_map(|line| line.strip_prefix("Verdict: **"));
    let words = lines.map(|line| line.split_once("**").unwrap().0.split_once(' ').unwrap());
    words
        .map(|(word, score)| (word.to_string(), score.parse().unwrap()))
        .collect()
}

#[test]
fn the_walk_leads_from_a_lost_frame_to_a_fine_one_as_its_page_tells() {
    let page = std::fs::read_to_string(PAGE).unwrap();
    let script = std::fs::read_to_string(SCRIPT).unwrap();
    for begins in BEGINS {
        assert!(page.contains(begins) && script.contains(begins), "{begins}");
    }
    let opened = opened().begin(&first_try()).unwrap();
    let zone = opened.site.base.place.zone.clone();
    let desk = &mut Desk::new(opened, Arc::new(|| {}), false);
    let mut seen = vec![verdict(desk)];

    let early = zone.parse_instant("2027-05-22 08:30").unwrap();
    desk.at(early, "Drag the time");
    seen.push(verdict(desk));
    // The stripe's finding is the worst of all: it is the first to be shown.
    press(desk, Command::ShowFault, 1);
    assert_eq!(desk.finding, Some(MeasureId::ForeignCore));
    press(desk, Command::ShowNothing, 1);

    press(desk, Command::Later, 12);
    press(desk, Command::Raise, 8);
    seen.push(verdict(desk));

    // Where the drag of walk.sh ends.
    desk.walk_to(DVec2::new(18.98, -2.39), "Drag the spot");
    seen.push(verdict(desk));

    press(desk, Command::Level, 1);
    seen.push(verdict(desk));

    press(desk, Command::WalkFarther, 16);
    press(desk, Command::LongerLens, 1);
    press(desk, Command::Balance, 1);
    seen.push(verdict(desk));

    press(desk, Command::WalkLeft, 12);
    seen.push(verdict(desk));

    let verdicts: Vec<Verdict> = seen.iter().map(|(verdict, _)| *verdict).collect();
    assert_eq!(verdicts[0], Verdict::Lost);
    assert_eq!(verdicts.last(), Some(&Verdict::Fine));
    let told = told(&page);
    assert_eq!(told.len(), seen.len(), "{seen:?}");
    for ((word, score), (verdict, seen)) in told.iter().zip(&seen) {
        assert_eq!(word, verdict.word());
        assert!((score - seen).abs() < 0.06, "{word} {score}: {seen:.2}");
    }
}

#[test]
fn a_rehearsal_begins_with_what_is_asked_of_stand_time_and_facing() {
    let plain = opened();
    let other = Begin {
        head_end: Some(sunside::scene::machine::HeadEnd::Second),
        stand: StandChange {
            lens_mm: Some(85.0),
            ..StandChange::default()
        },
        ..Begin::default()
    };
    let own = plain.take.clone();
    let begun = plain.begin(&other).unwrap();
    assert_eq!(begun.take.at, own.at);
    assert_eq!(begun.take.stand.lens_mm, 85.0);
    assert_eq!(begun.take.stand.spot_m, own.stand.spot_m);
    // The site is prepared for the facing that was asked for.
    let forward_deg = begun.room.scene.machine.forward_bearing_deg();
    assert!((forward_deg - 325.0).abs() < 1e-9, "{forward_deg}");

    // On the track nobody may stand: that is said at once.
    let on_track = Begin {
        stand: StandChange {
            spot_m: Some(DVec2::ZERO),
            ..StandChange::default()
        },
        ..Begin::default()
    };
    let begun = opened().begin(&on_track).unwrap();
    let desk = Desk::new(begun, Arc::new(|| {}), false);
    assert!(desk.refused.unwrap().contains("Do not stand there"));

    let never = Begin {
        at: Some("2027-03-14 02:30".into()), // the clock is set on that night: 15 U.S.C. 260a
        ..Begin::default()
    };
    let why = opened().begin(&never).err().unwrap();
    assert!(why.contains("02:30"), "{why}");
}
