//! The verdict sheet: findings come and go as the camera moves, and show in the frame what causes them. May not enter:
//! how anything is graded.

use crate::window::{BOX, Window};
use egui::{Key, Modifiers};
use sunside::camera::framing::margins as margins_of;

const NONE: Modifiers = Modifiers::NONE;

#[test]
fn a_finding_comes_with_the_roll_of_a_key_and_goes_with_level() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let (_, before) = window.verdict();
    let count = window
        .desk()
        .graded
        .as_ref()
        .unwrap()
        .graded
        .sheet
        .findings
        .len();
    for _ in 0..8 {
        window.key(NONE, Key::E);
    }
    assert_eq!(window.desk().take.stand.roll_deg, 1.6);
    let (_, rolled) = window.verdict();
    assert!(rolled < before, "{rolled} after {before}");
    let findings = &window.proved().graded.sheet.findings;
    assert_eq!(findings.len(), count + 1, "{findings:?}");
    assert!(window.has("1.6°"), "{:?}", window.labels());
    window.press("Level");
    assert_eq!(window.desk().take.stand.roll_deg, 0.0);
    assert_eq!(window.verdict().1, before);
    assert!(!window.has("1.6°"));
}

#[test]
fn a_pressed_finding_shows_its_causes_and_escape_hides_them() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    window.proved();
    assert!(window.desk().pointed().is_none());
    // The scene's pole stands behind the roofline.
    window.press_holding("What grows from the roofline");
    window.until("the causes are known", |window| {
        window.desk().pointed().is_some()
    });
    let culprits = window.desk().pointed().unwrap();
    let lit = culprits
        .mask
        .values
        .iter()
        .filter(|share| **share > 0)
        .count();
    assert!(
        lit > 0 && lit < culprits.mask.values.len() / 10,
        "{lit} pixels of a pole"
    );
    window.key(NONE, Key::Escape);
    assert!(window.desk().pointed().is_none() && window.desk().finding.is_none());
    // The key steps through the findings, and after the last one shows none.
    let count = window.proved().graded.sheet.findings.len();
    for n in 0..=count {
        window.key(NONE, Key::N);
        assert_eq!(window.desk().finding.is_some(), n < count);
    }
}

#[test]
fn a_finding_that_is_shown_by_its_key_is_brought_into_sight() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    // Tilted, rolled, at the end of the day: more findings than the sheet has room for.
    for key in [Key::E, Key::ArrowUp].repeat(12) {
        window.key(NONE, key);
    }
    let late = window.desk().take.at + chrono::Duration::hours(9);
    window.desk().at(late, "Drag the time");
    window.proved();
    // The page's own line of words lies below the sheet.
    let foot = 700.0 - 30.0;
    let findings = window.proved().graded.sheet.findings.clone();
    let mut hidden = 0;
    for finding in &findings {
        let label = format!("{} {}", finding.grade.word(), finding.sentence);
        hidden += usize::from(window.place(&label).bottom() > foot);
    }
    assert!(hidden > 0, "{} findings all fit", findings.len());
    for finding in &findings {
        window.key(NONE, Key::N);
        assert_eq!(window.desk().finding, Some(finding.measure));
        window.harness.run_steps(30); // it may glide there
        let label = format!("{} {}", finding.grade.word(), finding.sentence);
        let row = window.place(&label);
        assert!(row.top() > 100.0 && row.bottom() < foot, "{label}: {row:?}");
    }
}

#[test]
fn balance_makes_the_side_margins_equal_and_leaves_pitch_and_spot_alone() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    for _ in 0..4 {
        window.key(NONE, Key::ArrowRight);
    }
    window.key(NONE, Key::ArrowUp);
    let before = window.desk().take.stand;
    let margins = |window: &mut Window| {
        let graded = window.proved();
        let hull = &window.desk().room.1.stage.hull;
        let margins = margins_of(&graded.composed.camera, hull).unwrap();
        (margins.left, margins.right)
    };
    let (left, right) = margins(&mut window);
    assert!((left - right).abs() > 0.02, "{left} {right}");
    window.press("Balance");
    let (left, right) = margins(&mut window);
    assert!((left - right).abs() < 0.001, "{left} {right}");
    let after = window.desk().take.stand;
    assert_eq!(
        (after.pitch_deg, after.spot_m),
        (before.pitch_deg, before.spot_m)
    );
}

#[test]
fn a_frame_is_kept_and_what_changed_since_is_told() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    window.proved();
    window.press("Keep");
    assert!(window.has("Stand there") && window.desk().kept.len() == 1);
    assert!(!window.has("Since the kept frame"));
    let kept = window.desk().take.clone();
    for _ in 0..8 {
        window.key(NONE, Key::E);
    }
    window.proved();
    assert!(
        window.has("Since the kept frame") && window.has(": worse"),
        "{:?}",
        window.labels()
    );
    window.key(NONE, Key::C);
    window.until("the kept frame is painted", |window| {
        window.desk().small(1).is_some()
    });
    // Of the same size side by side, whatever was done since.
    let sides = |window: &mut Window| {
        window.harness.run_steps(2);
        ["Kept frame fair", "Frame"].map(|label| window.place(label))
    };
    let [left, right] = sides(&mut window);
    assert_eq!(left.size(), right.size());
    assert_eq!(left.y_range(), right.y_range());
    // On another film too they have the same room: its middles lie as far apart, at the same height.
    let mut setting = window.desk().take.setting.clone();
    setting.kit.film.width_mm = setting.kit.film.height_mm;
    window.desk().set(setting, "Film");
    let [_, square] = sides(&mut window);
    let off = square.center() - right.center();
    assert!(
        square.width() < right.width() && off.abs().max_elem() <= 1.0,
        "{off}"
    );
    window.press("Undo");
    window.press("Stand there");
    assert_eq!(window.desk().take, kept);
    window.press("Drop");
    assert!(window.desk().kept.is_empty() && window.has("The tray is empty"));
    window.key(NONE, Key::C);
    window.key(NONE, Key::Tab);
    assert!(!window.has("The tray is empty"));
}

#[test]
fn lenses_are_set_side_by_side() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    window.press("Lenses");
    assert!(window.has("Drawing each lens"));
    window.until("the strip has come", |window| {
        window
            .desk()
            .strip
            .as_ref()
            .is_some_and(|(_, sheet)| sheet.is_some())
    });
    let count = window
        .desk()
        .strip
        .as_ref()
        .unwrap()
        .1
        .as_ref()
        .unwrap()
        .mounts
        .len();
    assert!(count >= 2);
    // Each is a slide on the page; those below the edge are scrolled to.
    assert!(
        !window.all_holding("Frame ").is_empty(),
        "{:?}",
        window.labels()
    );
    window.key(NONE, Key::X);
    assert!(window.all_holding("Frame ").is_empty());
}
