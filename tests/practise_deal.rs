//! Frames that are dealt: the planted fault is the worst finding, a clean one has none, the same seed deals the same,
//! and what a drill says of them is what the rules say. May not enter: pictures, windows.

use chrono::Duration;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::OnceLock;
use sunside::grade::{Grade, Rulebook, Verdict};
use sunside::practise::deal::{Course, Dealt, Wanted, deal};
use sunside::practise::dice::Dice;
use sunside::practise::drill::hour::{CALLS_MIN, Hour};
use sunside::practise::drill::known;
use sunside::practise::drill::mend::Mend;
use sunside::practise::drill::spot::{Spot, Step};
use sunside::practise::fault::{FaultKind, Remedy};
use sunside::practise::progress::Progress;
use sunside::practise::scale::Scale;
use sunside::rehearsal::command::Command;
use sunside::rehearsal::opening::open;
use sunside::sighting::cpu::Cpu;

/// Sites: open on both sides; a lot with its own clutter; another machine south of the equator; beyond the Arctic
/// Circle.
const SITES: [&str; 4] = [
    "open_siding",
    "larkspur_lot",
    "poplar_elevator",
    "birch_fell_yard",
];
/// Frames that are dealt.
const FRAMES: u64 = 200;

fn courses() -> &'static [Course] {
    static COURSES: OnceLock<Vec<Course>> = OnceLock::new();
    COURSES.get_or_init(|| SITES.map(course).into())
}

fn course(name: &str) -> Course {
    static RULES: OnceLock<Rulebook> = OnceLock::new();
    static CPU: OnceLock<Cpu> = OnceLock::new();
    let rules = RULES.get_or_init(Rulebook::roster);
    let today = "2027-05-14T15:00:00Z".parse().unwrap();
    let path = format!("scenes/{name}.toml");
    let opened = open(
        Path::new(&path),
        rules,
        CPU.get_or_init(Cpu::default),
        today,
    )
    .unwrap();
    Course::find(name, &opened.room, opened.take.at, 7, &|| false)
}

fn dealt(round: u64) -> Option<Dealt> {
    let mut dice = Dice::new(2027, round);
    let degree = |_, scale: &Scale| {
        let [least, most] = scale.asked();
        // From barely to plainly, by the round.
        least * (most / least).powf(0.1 + 0.5 * (round % 7) as f64 / 7.0)
    };
    let kind = FaultKind::ALL[round as usize % FaultKind::ALL.len()];
    let wanted = if round % 10 == 9 {
        Wanted::Clean
    } else {
        Wanted::Fault(kind)
    };
    deal(courses(), wanted, &degree, &mut dice)
}

#[test]
fn two_hundred_frames_have_their_planted_fault_as_the_worst_finding_and_clean_ones_none() {
    assert!(
        courses()
            .iter()
            .filter(|course| !course.frames.is_empty())
            .count()
            >= 3
    );
    // More are asked for than are wanted: not every fault can be had on every site.
    let all: Vec<Option<Dealt>> = (0..FRAMES * 3 / 2).into_par_iter().map(dealt).collect();
    let got: Vec<Dealt> = all.into_iter().flatten().take(FRAMES as usize).collect();
    assert_eq!(got.len(), FRAMES as usize);
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    let mut sites = [0; SITES.len()];
    for dealt in &got {
        sites[dealt.course] += 1;
        // Graded by what `grade` calls, anew: nothing is taken from how it was dealt.
        let posed = &dealt.posed;
        let minute = posed.room.minute(posed.at);
        let sheet = posed
            .room
            .grade(&posed.stand, &posed.capture(), &minute)
            .sheet;
        match dealt.planted {
            None => {
                assert_eq!(sheet.verdict, Verdict::Fine);
                assert!(sheet.findings.is_empty(), "{:?}", sheet.findings);
                *kinds.entry("clean").or_default() += 1;
            }
            Some(planted) => {
                let worst = &sheet.findings[0];
                let kind = planted.kind;
                let rules = posed.room.rulebook;
                assert!(
                    kind.is_told_by(rules, worst.measure, worst.value),
                    "{kind:?}: {worst:?}"
                );
                assert_eq!(sheet.faults[0].fault, worst.fault);
                assert!(worst.grade > Grade::Clean);
                *kinds.entry(kind.key()).or_default() += 1;
                // One thing was altered, and what it was made from is clean.
                let clean = dealt.clean.proved().graded.sheet;
                assert!(clean.findings.is_empty(), "{:?}", clean.findings);
            }
        }
    }
    println!("frames by site {SITES:?}: {sites:?}; by kind: {kinds:?}");
    assert!(
        sites.iter().filter(|count| **count >= 10).count() >= 3,
        "{sites:?}"
    );
    // Nearly all kinds come up; the rest need other ground.
    assert!(kinds.len() >= FaultKind::ALL.len() - 2, "{kinds:?}");
}

#[test]
fn the_same_seed_deals_the_same_frames_and_another_deals_others() {
    let told = |round| {
        dealt(round).map(|dealt| {
            (
                dealt.course,
                dealt.posed.stand,
                dealt.posed.at,
                dealt.planted,
            )
        })
    };
    for round in [0, 1, 9, 12] {
        assert_eq!(told(round), told(round));
    }
    let again = course("open_siding");
    let stands = |course: &Course| {
        course
            .frames
            .iter()
            .map(|one| (one.stand, one.at))
            .collect::<Vec<_>>()
    };
    assert_eq!(stands(&again), stands(&courses()[0]));
    let spots = |seed| {
        (0..3).map(move |n| {
            Spot::deal(courses(), &Progress::default(), seed, n)
                .unwrap()
                .dealt
                .posed
                .at
        })
    };
    assert_ne!(spots(1).collect::<Vec<_>>(), spots(2).collect::<Vec<_>>());
}

#[test]
fn a_round_of_spotting_is_worth_what_was_said_rightly() {
    let progress = Progress::default();
    let rounds = (0..8).filter_map(|n| Spot::deal(courses(), &progress, 5, n));
    for mut spot in rounds {
        let Some(planted) = spot.dealt.planted else {
            continue;
        };
        assert!(spot.offered.contains(&planted.kind) && spot.offered.len() <= 9);
        spot.toggle(planted.kind);
        spot.named_all();
        assert_eq!(spot.step, Step::HowBad);
        spot.say_grade(spot.true_grade());
        spot.say_remedy(planted.kind.remedies()[0]);
        assert_eq!((spot.step, spot.points()), (Step::Truth, 3.0));
        // Afterwards nothing can be said any more.
        spot.toggle(planted.kind);
        spot.say_remedy(Remedy::Expose);
        assert_eq!(spot.points(), 3.0);
        let round = spot.round();
        assert_eq!(round.named, [planted.kind.key()]);
        assert_eq!(round.degree, Some(planted.degree));
    }
    let mut blind = (0..20).find_map(|n| {
        Spot::deal(courses(), &progress, 5, n).filter(|spot| spot.dealt.planted.is_some())
    });
    let blind = blind.as_mut().unwrap();
    blind.named_all();
    assert_eq!((blind.step, blind.points()), (Step::Truth, 0.0));
}

#[test]
fn known_moves_mend_a_frame_and_each_is_a_command_of_the_rehearsal() {
    let mut seen = 0;
    for n in 0..4 {
        let Some(mut mend) = Mend::deal(courses(), 11, n) else {
            continue;
        };
        seen += 1;
        assert!(mend.dealt.seen.graded.sheet.verdict < Verdict::Good);
        let moves = mend.fewest.0.clone();
        for (command, times) in &moves {
            for _ in 0..*times {
                assert!(mend.press(*command), "{command:?}");
            }
        }
        assert!(!mend.is_over());
        mend.grade();
        assert!(mend.is_mended() && known::is_good(&mend.now), "{moves:?}");
        assert_eq!(mend.points(), 3.0);
        assert_eq!(mend.round().moves, Some([moves.len() as u32; 2]));
        assert!(!mend.press(Command::Level), "a mended frame is done with");
    }
    assert!(seen >= 2, "{seen} frames to mend");
}

#[test]
fn the_light_is_gone_at_the_minute_that_is_told_and_not_before() {
    let mut hour = (0..6)
        .find_map(|n| Hour::deal(&courses()[..2], 3, n))
        .unwrap();
    // Every fifth minute by itself, and both sides of the end.
    let verdict = |minutes: i64| {
        let posed = &hour.posed;
        let minute = posed.room.minute(posed.at + Duration::minutes(minutes));
        posed
            .room
            .grade(&posed.stand, &posed.capture(), &minute)
            .sheet
            .verdict
    };
    for minutes in (0..=hour.lasts_min).step_by(5).chain([hour.lasts_min]) {
        assert!(
            verdict(minutes) >= Verdict::Good,
            "{minutes} of {}",
            hour.lasts_min
        );
    }
    assert!(verdict(hour.lasts_min + 1) < Verdict::Good);
    assert_eq!(
        hour.gone_at,
        hour.posed.at + Duration::minutes(hour.lasts_min + 1)
    );
    let nearest = CALLS_MIN
        .into_iter()
        .min_by_key(|call| (i64::from(*call) - hour.lasts_min).abs());
    hour.call(nearest.unwrap());
    assert_eq!(hour.points(), 3.0);
    hour.call(240);
    assert_eq!(hour.called_min, nearest);
}
