//! The list of commands, what is tried of the site, the search. May not enter: what commands do to a camera.

use crate::window::{BOX, Size, Window, narrow_site, site_with_ground};
use egui::{Key, Modifiers, Shape};
use std::path::Path;
use sunside::plan::answer::Answer;
use sunside::plan::slack::{End, Way};
use sunside::rehearsal::kept::folded;
use sunside::scene::machine::HeadEnd;
use sunside::sky::clock::Zone;
use sunside::sky::daylight::SkyCondition;
use tempfile::TempDir;

/// In which the whole list of what may be tried is seen.
const TALL: Size = Size(1280.0, 1100.0, 1.0);
const NONE: Modifiers = Modifiers::NONE;

#[test]
fn a_command_is_found_by_a_word_and_run_by_enter() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    for _ in 0..3 {
        window.key(NONE, Key::E);
    }
    window.key(NONE, Key::Slash);
    assert!(window.has("Walk left"));
    window.type_over("level");
    assert!(!window.has("Walk left a little"));
    window.key(NONE, Key::Enter);
    assert_eq!(window.desk().take.stand.roll_deg, 0.0);
    assert!(!window.has("Words of a command"));
    window.press("Commands");
    assert!(window.has("Words of a command"));
    window.type_over("no such thing");
    assert!(window.has("No command has these words"));
    window.key(NONE, Key::Escape);
    assert!(!window.has("Words of a command"));
}

#[test]
fn the_open_list_rests_when_nobody_touches_it() {
    let folder = TempDir::new().unwrap();
    let scene = narrow_site(folder.path());
    let Some(mut window) = Window::of(scene.to_str().unwrap()) else {
        return;
    };
    window.surveyed();
    window.key(NONE, Key::Slash);
    window.key(NONE, Key::ArrowDown);
    // A still grows meanwhile, and the list scrolls: both come to an end.
    window.rests();
}

#[test]
fn what_is_tried_of_the_site_is_listed_and_taken_back_at_once() {
    let Some(mut window) = Window::sized(BOX, TALL) else {
        return;
    };
    let before = window.desk().take.setting.clone();
    window.press_holding("What if");
    window.key(NONE, Key::O);
    window.key(NONE, Key::K);
    window.key(NONE, Key::T);
    window.press("+10 m");
    let setting = window.desk().take.setting.clone();
    assert!(setting.doors_open && setting.sky == SkyCondition::ThinCirrus);
    assert_eq!(setting.head_end, HeadEnd::First);
    assert_eq!(setting.chainage_m, before.chainage_m + 10.0);
    window.proved();
    window.harness.step();
    for told in ["Doors open", "thin cirrus", "10.0 m toward"] {
        assert!(window.has(told), "{told}: {:?}", window.labels());
    }
    window.press("As the scene has it");
    assert_eq!(window.desk().take.setting, before);
    window.proved();
}

#[test]
fn a_kit_typed_wrongly_is_told_and_a_sound_one_taken() {
    let Some(mut window) = Window::sized(BOX, TALL) else {
        return;
    };
    window.press_holding("What if");
    let kit = window.desk().take.setting.kit.lenses_mm.clone();
    window.fill("Lenses, mm", "fifty");
    assert!(
        window.has("\"fifty\" is no focal length"),
        "{:?}",
        window.labels()
    );
    assert_eq!(window.desk().take.setting.kit.lenses_mm, kit);
    window.fill("Lenses, mm", "85, 35 50");
    assert_eq!(window.desk().take.setting.kit.lenses_mm, [35.0, 50.0, 85.0]);
    window.proved();
    window.key(NONE, Key::Plus);
    assert_eq!(window.desk().take.stand.lens_mm, 85.0);
}

/// A site that is soon searched, its search opened.
fn on_little_ground(folder: &Path) -> Option<Window> {
    let scene = site_with_ground(folder, "[[19, -25], [24, -25], [24, -20], [19, -20]]");
    let mut window = Window::of(scene.to_str().unwrap())?;
    window.key(Modifiers::COMMAND, Key::F);
    Some(window)
}

#[test]
fn a_search_of_the_day_finds_frames_that_are_stood_in_and_proved_alike() {
    let folder = TempDir::new().unwrap();
    let Some(mut window) = on_little_ground(folder.path()) else {
        return;
    };
    window.press("This day");
    window.until("answers have come", |window| window.desk().found.is_some());
    let found = window.desk().found.clone().unwrap();
    let answers = sunside::rehearsal::kept::answers(&found);
    let first = answers[0];
    told_in_full(&mut window, first);
    folds(&window.desk().site.base.place.zone, first);
    window.press_holding("Frame ");
    let take = window.desk().take.clone();
    assert_eq!((take.stand, take.at), (first.stand, first.window.best));
    let proved = window.proved();
    assert_eq!(proved.graded.sheet.verdict, first.verdict());
    assert!((proved.graded.sheet.score - first.sheet.score).abs() < 1e-9);
}

/// What is said of an answer stands on its slide, and none of it is cut.
fn told_in_full(window: &mut Window, answer: &Answer) {
    let side = answer.side.word();
    let local = window.desk().site.base.place.zone.local(answer.window.best);
    let rail_m = {
        let base = &window.desk().site.base;
        base.tracks[base.machine.track].distance_to_rail_m(answer.stand.spot_m)
    };
    for told in [
        format!("{}", local.naive.format("best %H:%M")),
        format!(" south, {side} side · road, {rail_m:.2} m from the rail"),
        format!("{:.0} mm", answer.stand.lens_mm),
    ] {
        let slides = window.all_holding("Frame ");
        assert!(
            slides.iter().any(|slide| slide.contains(&told)),
            "{told}: {slides:?}"
        );
    }
    let column = window.place("Lens").left() - 8.0;
    let shapes = &window.harness.output().shapes;
    let galleys = shapes.iter().filter_map(|shape| match &shape.shape {
        Shape::Text(text) if text.galley.text().contains(" side · ") => Some(text),
        _ => None,
    });
    let galleys: Vec<_> = galleys.collect();
    assert!(!galleys.is_empty());
    for text in galleys {
        assert!(!text.galley.elided, "{}", text.galley.text());
        let right = text.pos.x + text.galley.size().x;
        assert!(
            right <= column,
            "{right} beyond {column}: {}",
            text.galley.text()
        );
    }
}

/// Answers alike are one in the list: the same half of the same day, end, lens, and spots within 3 m.
fn folds(zone: &Zone, answer: &Answer) {
    let moved = |right_m: f64| {
        let mut other = answer.clone();
        other.stand.spot_m.x += right_m;
        other
    };
    let mut lens = moved(0.0);
    lens.stand.lens_mm += 15.0;
    let mut other_end = moved(0.0);
    other_end.head_end = HeadEnd::First;
    let mut half = moved(0.0);
    half.window.best += chrono::Duration::hours(12);
    let mut day = moved(0.0);
    day.window.best += chrono::Duration::hours(24);
    // The last one is near the second, not near the first.
    let all = [
        moved(0.0),
        moved(2.9),
        lens,
        other_end,
        half,
        day,
        moved(3.1),
        moved(-1.0),
    ];
    let all: Vec<&Answer> = all.iter().collect();
    let folded = folded(zone, &all);
    assert_eq!(folded, [(0, 2), (2, 0), (3, 0), (4, 0), (5, 0), (6, 0)]);
}

#[test]
fn a_search_is_given_up_at_once() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    window.key(Modifiers::COMMAND, Key::F);
    window.press("This year");
    window.until("it runs", |window| window.has("Stop"));
    window.press("Stop");
    assert!(window.desk().searching.is_none() && window.has("This year"));
    window.proved();
    assert!(window.desk().found.is_none());
}

#[test]
fn what_a_frame_bears_is_told_of_that_frame() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let (verdict, _) = window.verdict();
    window.key(Modifiers::COMMAND, Key::B);
    window.until("it is told", |window| window.desk().bearing.is_some());
    let bearing = window.desk().bearing.clone().unwrap();
    assert_eq!(bearing.answer.verdict(), verdict);
    assert!(window.has("This frame, ") && window.has(&format!("It stays {} with", verdict.word())));
    // What it bears to the right is stood in: the verdict stays; a step beyond that it does not.
    let right = |of: &Way| {
        let reaches = &bearing.slack.reaches;
        reaches
            .iter()
            .find(|reach| reach.way == *of)
            .unwrap()
            .clone()
    };
    let reach = right(&Way::Right);
    assert!(matches!(reach.end, End::Verdict(_)), "{reach:?}");
    let first = window.desk().take.clone();
    let ahead = (window.desk().room.1.frame.origin_m - first.stand.spot_m).normalize();
    for (by_m, holds) in [(reach.holds, true), (reach.holds + 0.25, false)] {
        let mut take = first.clone();
        take.stand.spot_m += glam::DVec2::new(ahead.y, -ahead.x) * by_m;
        take.stand.heading_deg = window.desk().room.1.balanced_heading_deg(&take.stand);
        window.desk().lay(take, "To the right");
        let (there, _) = window.verdict();
        assert_eq!(there >= verdict, holds, "{by_m} m to the right");
    }
    assert!(window.has("The frame before, ") && !window.has("This frame, "));
}

#[test]
fn a_search_by_chance_tells_what_each_answer_bears_the_likeliest_first() {
    let folder = TempDir::new().unwrap();
    let Some(mut window) = on_little_ground(folder.path()) else {
        return;
    };
    window.press("the likeliest to stay good first");
    window.press("This day");
    window.until("answers have come", |window| window.desk().found.is_some());
    let found = window.desk().found.clone().unwrap();
    let answers = sunside::rehearsal::kept::answers(&found);
    let chance = |answer: &&Answer| answer.slack.as_ref().unwrap().chance.good;
    let chances: Vec<f64> = answers.iter().map(chance).collect();
    assert!(
        !chances.is_empty() && chances.is_sorted_by(|a, b| a >= b),
        "{chances:?}"
    );
    assert!(window.has("good or better in "));
}
