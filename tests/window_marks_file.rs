//! The page of marks where files stand in the way: a marks file that is broken or another hand's, a folder that is gone, a
//! photograph that is replaced. May not enter: how a fit is made.

use crate::rehearsal_marking::shot;
use crate::window::Window;
use crate::window_marking::{NONE, SITE, SIZE, at, judged, marked, marking, words};
use egui::{Key, Modifiers};
use std::path::Path;
use sunside::judge::keeping::marks_beside;
use sunside::judge::marks::load;
use sunside::judge::pose::Mark;
use sunside::scene::Scene;
use tempfile::TempDir;

#[test]
fn a_click_near_an_expected_point_offers_it_and_marks_that_cannot_be_kept_are_asked_about() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, shot)) = marked(folder.path(), 8) else {
        return;
    };
    judged(&mut window);
    let free = |window: &mut Window, mark: &&Mark| {
        let marking = marking(window);
        let point = marking
            .model
            .points
            .iter()
            .position(|point| point.name == mark.name)
            .unwrap();
        marking.mark_of(point).is_none() && marking.is_seen(point) && marking.chosen != point
    };
    let other = shot
        .marks
        .iter()
        .find(|mark| free(&mut window, mark))
        .unwrap()
        .clone();
    let place = at(&mut window, other.at_px);
    window.press_at(place);
    assert_eq!(marking(&mut window).point().name, other.name);
    let label = words(&mut window, &other);
    assert!(
        window.has(&format!("Here the {label} is expected")),
        "{:?}",
        window.labels()
    );
    window.key(NONE, Key::Enter);
    assert!(window.has(&format!("Point {label}: marked")));
    window.until("the marks are kept", |window| window.has("Kept in "));
    assert!(window.has("CDT, the site's time") || window.has("CST, the site's time"));
    // Another program writes the file: what is marked then is not kept, and leaving asks.
    let path = marks_beside(&shot.path);
    std::fs::write(&path, "# another hand\n").unwrap();
    window.key(NONE, Key::Delete);
    window.until("it is told", |window| {
        window.has("changed by another program")
    });
    window.press("Back");
    assert!(window.has("Some marks are not kept"));
    window.press("Stay");
    assert!(!window.has("Some marks are not kept") && window.marking().is_some());
    window.press("Back");
    window.press("Leave without them");
    window.until("the rehearsal is there", |window| window.is_open());
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "# another hand\n");
}

#[test]
fn a_marks_file_that_cannot_be_read_is_put_aside_or_read_again() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let path = marks_beside(&shot.path);
    let broken = "[[mark]]\npoint = \"copler\"\nat_px = [1, 2]\n";
    std::fs::write(&path, broken).unwrap();
    let Some(mut window) = Window::judging(Path::new(SITE), &[&shot.path], SIZE) else {
        return;
    };
    let told = "siding.jpg.marks.toml, line 2: the model names no such point";
    assert!(window.has(told), "{:?}", window.labels());
    assert!(window.has("Not kept, as is said above") && !window.has("will be kept"));
    // All of it, drawn in its place, is told when that is asked.
    window.press("Details");
    assert!(window.has("In full") && window.has("help: allowed: "));
    window.press("Close");
    assert!(!window.has("In full"));
    std::fs::write(&path, broken.replace("copler", "coupler_front")).unwrap();
    window.press("Read it again");
    window.until("it is read", |window| {
        window.has("Read as the file has them")
    });
    assert_eq!(marking(&mut window).given.marks.len(), 1);
    assert!(!window.has("Keep it aside and begin anew"));
    // Broken once more by another hand: put aside, and what is marked here is kept.
    std::fs::write(&path, broken).unwrap();
    window.key(NONE, Key::Enter);
    window.until("it is told", |window| {
        window.has("changed by another program")
    });
    window.press("Keep it aside and begin anew");
    window.until("the marks are kept", |window| {
        marking(window).is_kept() && !window.has("changed by another program")
    });
    let aside = folder.path().join("siding.jpg.marks.aside.toml");
    assert_eq!(std::fs::read_to_string(aside).unwrap(), broken);
    let scene = Scene::load(Path::new(SITE)).unwrap();
    let kept = load(&path, &scene.machine.shut, &scene.place.zone).unwrap();
    assert_eq!(kept, marking(&mut window).given);
    assert_eq!(kept.marks.len(), 2);
}

#[test]
fn leaving_waits_for_the_marks_and_says_when_they_cannot_be_written() {
    let folder = TempDir::new().unwrap();
    let within = folder.path().join("card");
    std::fs::create_dir(&within).unwrap();
    let shot = shot(&within, true);
    let Some(mut window) = Window::judging(Path::new(SITE), &[&shot.path], SIZE) else {
        return;
    };
    std::fs::remove_dir_all(&within).unwrap();
    // A mark, and away before anybody could have heard that it was not written.
    window.harness.key_press(Key::Enter);
    window
        .harness
        .key_press_modifiers(Modifiers::COMMAND, Key::B);
    window.until("it is asked", |window| {
        assert!(window.marking().is_some(), "left without a word");
        window.has("Some marks are not kept")
    });
    assert!(window.has("does not exist"), "{:?}", window.labels());
    window.press("Stay");
    assert!(window.has("The marks are not kept: cannot write"));
    window.until("the photograph's file is missed", |window| {
        window.has("The photograph's file is gone")
    });
    window.press("Back");
    window.until("it is asked again", |window| {
        window.has("Some marks are not kept")
    });
    std::fs::create_dir(&within).unwrap();
    window.press("Try to write them again");
    window.until("the rehearsal is there", |window| window.is_open());
    assert!(marks_beside(&shot.path).exists());
}

#[test]
fn a_photograph_that_is_replaced_is_told_and_read_again() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let Some(mut window) = Window::judging(Path::new(SITE), &[&shot.path], SIZE) else {
        return;
    };
    window.key(NONE, Key::Enter);
    let before = marking(&mut window).photo.size_px();
    let lay = window.place("Photograph");
    let turned = image::open(&shot.path).unwrap().rotate90();
    turned.save(&shot.path).unwrap();
    window.until("it is told", |window| {
        window.has("was changed or replaced since it was read")
    });
    // What is told does not move the photograph under the hand that marks it.
    assert_eq!(window.place("Photograph"), lay);
    window.press("Read the photograph again");
    window.until("it is read", |window| {
        window.has("The photograph was read again")
    });
    let marking = marking(&mut window);
    assert_eq!(marking.photo.size_px(), [before[1], before[0]]);
    assert_eq!(marking.given.marks.len(), 1);
}
