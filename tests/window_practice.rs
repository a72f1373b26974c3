//! Training the eye in the window: ten rounds of each drill, played by keys and labels alone; what is told is what
//! the rules say, and what was played is kept. May not enter: how frames are dealt.

use crate::window::{Size, Window};
use egui::{Key, Modifiers};
use sunside::grade::{Grade, Verdict};
use sunside::practise::drill::hour::CALLS_MIN;
use sunside::practise::drill::spot::Step;
use sunside::practise::progress::Drill;
use sunside::practise::store::Store;
use sunside::practise::tutor::Play;

const SCENES: [&str; 2] = ["scenes/open_siding.toml", "scenes/larkspur_lot.toml"];
const SIZE: Size = Size(1024.0, 700.0, 1.0);
const ROUNDS: u32 = 10;
const DIGITS: [Key; 9] = [
    Key::Num1,
    Key::Num2,
    Key::Num3,
    Key::Num4,
    Key::Num5,
    Key::Num6,
    Key::Num7,
    Key::Num8,
    Key::Num9,
];

fn digit(window: &mut Window, number: usize) {
    window.key(Modifiers::NONE, DIGITS[number - 1]);
}

fn enter(window: &mut Window) {
    window.key(Modifiers::NONE, Key::Enter);
}

fn play<T>(window: &mut Window, look: impl Fn(&Play) -> T) -> T {
    let practice = window.harness.state_mut().app.practice();
    look(
        practice
            .expect("it is practised")
            .play()
            .expect("a round is played"),
    )
}

/// Waits for the round's question and its frame.
fn asked(window: &mut Window, question: &str) {
    window.until("a round is asked", |window| {
        window.has(question) && window.has("Frame")
    });
}

/// What has been kept in the window's own folder.
fn kept(window: &Window) -> usize {
    let (progress, told) = Store::within(window.folder.path()).load();
    assert_eq!(told, None);
    progress.rounds.len()
}

#[test]
fn ten_rounds_of_spotting_are_played_by_number_keys() {
    let Some(mut window) = Window::practising(&SCENES, Drill::Spot, ROUNDS, SIZE) else {
        return;
    };
    let (mut clean, mut planted) = (0, 0);
    for round in 1..=ROUNDS {
        asked(&mut window, "What is wrong with it?");
        assert!(
            window.has(&format!("Round {round} of {ROUNDS}")),
            "{:?}",
            window.labels()
        );
        // The truth is known to the test as the rules tell it; it answers by what stands on the page.
        let (at, grade, remedy) = play(&mut window, |play| match play {
            Play::Spot(spot) => {
                let planted = spot.dealt.planted.map(|one| one.kind);
                let at = planted.and_then(|kind| spot.offered.iter().position(|one| *one == kind));
                let remedy = planted.map(|kind| kind.remedies()[0]);
                (at, spot.true_grade(), remedy)
            }
            _ => panic!("another drill"),
        });
        match (at, remedy) {
            (Some(at), Some(remedy)) => {
                planted += 1;
                // By its key once, by its label else.
                digit(&mut window, at + 1);
                enter(&mut window);
                assert!(window.has("How bad is it?"), "{:?}", window.labels());
                match grade {
                    Grade::Clean => window.key(Modifiers::NONE, Key::Num0),
                    grade => digit(&mut window, grade as usize),
                }
                assert!(window.has("What do you do?"), "{:?}", window.labels());
                window.press(remedy.words());
            }
            _ => {
                clean += 1;
                assert_eq!(grade, Grade::Clean);
                window.press("Nothing: a clean frame");
            }
        }
        assert!(play(
            &mut window,
            |play| matches!(play, Play::Spot(spot) if spot.step == Step::Truth)
        ));
        assert!(window.has("3.0 of 3 points"), "{:?}", window.labels());
        window.until("the truth is told", |window| {
            !window.has("It is being measured")
        });
        if at.is_some() {
            window.until("the mended frame is painted", |window| {
                window.has("The same, mended")
            });
            assert!(
                window.has("three times in four") || window.has("Named in"),
                "{:?}",
                window.labels()
            );
        }
        assert_eq!(kept(&window), round as usize);
        enter(&mut window);
    }
    assert!(
        planted >= 5 && clean >= 1,
        "{planted} with a fault, {clean} clean"
    );
    window.until("the rounds are over", |window| {
        window.has("30.0 of 30 points in 10 rounds")
    });
    // What the eye has shown stands on the same page, in a plain sentence.
    assert!(
        window.has("Spot the fault: 10 rounds, 100 % of the points"),
        "{:?}",
        window.labels()
    );
    window.press("Erase all of it");
    assert_eq!(kept(&window), 10);
    window.press("Yes, erase 10 rounds");
    assert_eq!(kept(&window), 0);
    assert!(window.has("Erased"));
    window.key(Modifiers::NONE, Key::Escape);
    assert!(
        window.has("What would you like to practise?"),
        "{:?}",
        window.labels()
    );
}

#[test]
fn ten_rounds_of_mending_are_played_by_the_rehearsals_own_keys() {
    let Some(mut window) = Window::practising(&SCENES, Drill::Mend, ROUNDS, SIZE) else {
        return;
    };
    for round in 1..=ROUNDS {
        asked(&mut window, "Put it right");
        let (known, verdict) = play(&mut window, |play| match play {
            Play::Mend(mend) => (mend.fewest.0.clone(), mend.dealt.seen.graded.sheet.verdict),
            _ => panic!("another drill"),
        });
        assert!(verdict < Verdict::Good);
        assert!(
            window.has(&format!("Verdict {}", verdict.word())),
            "{:?}",
            window.labels()
        );
        if round == ROUNDS {
            window.press("Show me");
            assert!(window.has("0.0 of 3 points"), "{:?}", window.labels());
        } else {
            for (command, times) in &known {
                let chord = command.entry().chords[0];
                for press in 0..*times {
                    // By its button once, by its key else.
                    match (press, window.has(command.entry().name)) {
                        (0, true) => window.press(command.entry().name),
                        _ => {
                            let modifiers = Modifiers {
                                shift: chord.shift,
                                ..Modifiers::NONE
                            };
                            window.key(modifiers, Key::from_name(chord.key).unwrap());
                        }
                    }
                }
            }
            window.until("it is mended", |window| window.has("3.0 of 3 points"));
            assert!(window.has("Verdict good") || window.has("Verdict fine"));
        }
        assert!(window.has("Fewest known"));
        window.until("the mended frame is painted", |window| {
            !window.has("It is being painted")
        });
        assert_eq!(kept(&window), round as usize);
        enter(&mut window);
    }
    window.until("the rounds are over", |window| {
        window.has("27.0 of 30 points in 10 rounds")
    });
}

#[test]
fn ten_hours_are_called_by_number_keys() {
    let Some(mut window) = Window::practising(&SCENES, Drill::Hour, ROUNDS, SIZE) else {
        return;
    };
    for round in 1..=ROUNDS {
        asked(&mut window, "How long until the light is gone?");
        let lasts = play(&mut window, |play| match play {
            Play::Hour(hour) => hour.lasts_min,
            _ => panic!("another drill"),
        });
        let off = |at: &usize| (i64::from(CALLS_MIN[*at]) - lasts).abs();
        let nearest = (0..CALLS_MIN.len()).min_by_key(off).unwrap();
        digit(&mut window, nearest + 1);
        assert!(window.has("3.0 of 3 points"), "{:?}", window.labels());
        assert!(window.has("it lasts"), "{:?}", window.labels());
        window.until("the end of the light is painted", |window| {
            !window.has("It is being painted")
        });
        assert_eq!(kept(&window), round as usize);
        window.press("Next frame");
    }
    window.until("the rounds are over", |window| {
        window.has("30.0 of 30 points in 10 rounds")
    });
    assert!(window.has("minutes on average"));
}

/// A key that is held down answers once, and what a full disk refused goes with the next round.
#[test]
fn a_held_key_answers_once_and_no_round_is_lost_to_a_full_disk() {
    let Some(mut window) = Window::practising(&SCENES[..1], Drill::Hour, ROUNDS, SIZE) else {
        return;
    };
    let question = "How long until the light is gone?";
    asked(&mut window, question);
    // The place of the file is taken: as a disk that takes nothing.
    let file = window.folder.path().join("practice.json");
    std::fs::create_dir(&file).unwrap();
    digit(&mut window, 1);
    assert!(window.has("progress is not kept"), "{:?}", window.labels());
    enter(&mut window);
    asked(&mut window, question);
    std::fs::remove_dir(&file).unwrap();
    digit(&mut window, 2);
    assert!(
        window.has("Progress is kept again"),
        "{:?}",
        window.labels()
    );
    assert_eq!(kept(&window), 2);

    let held = |window: &mut Window| {
        let pressed = egui::Event::Key {
            key: Key::Enter,
            physical_key: None,
            pressed: true,
            repeat: false,
            modifiers: Modifiers::NONE,
        };
        window.harness.event(pressed);
        window.harness.step();
    };
    held(&mut window);
    asked(&mut window, question);
    for _ in 0..5 {
        held(&mut window);
    }
    assert!(window.has(question) && kept(&window) == 2);
    // The next press answers nothing either: nothing has the focus.
    digit(&mut window, 3);
    assert_eq!(kept(&window), 3);
    for _ in 0..5 {
        held(&mut window);
    }
    assert!(window.has("Round 3 of 10"), "{:?}", window.labels());
}

#[test]
fn the_start_page_leads_to_practice_and_back() {
    let Some(mut window) = Window::new(None, SIZE) else {
        return;
    };
    window.until("the start page is there", |window| window.has("Practise"));

    window.press("Practise");
    assert!(window.has("What would you like to practise?"));
    for name in ["Spot the fault", "Mend it", "Call the hour"] {
        assert!(window.has(name));
    }
    window.key(Modifiers::NONE, Key::Escape);
    window.until("the start page is back", |window| window.has("Scene file"));
}
