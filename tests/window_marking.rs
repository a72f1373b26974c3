//! Points marked in a photograph through the page's labels, by pointer and by keys. May not enter: how a fit is made.

use crate::judge_cut::cut_to;
use crate::judge_take::tagged;
use crate::rehearsal_marking::{Shot, room, shot};
use crate::window::{Size, Window};
use egui::{Key, Modifiers, Pos2, vec2};
use glam::DVec2;
use std::path::Path;
use sunside::judge::keeping::marks_beside;
use sunside::judge::marks::load;
use sunside::judge::pose::Mark;
use sunside::rehearsal::marking::Marking;
use sunside::scene::Scene;
use tempfile::TempDir;

pub const SITE: &str = "scenes/open_siding.toml";
pub const SIZE: Size = Size(1280.0, 720.0, 1.0);
pub const NONE: Modifiers = Modifiers::NONE;

pub fn marking(window: &mut Window) -> &mut Marking {
    window.marking().unwrap().session.marking().unwrap()
}

/// Where a pixel of the photograph lies on the page.
pub fn at(window: &mut Window, place_px: DVec2) -> Pos2 {
    window.marking().unwrap().pane.laid.unwrap().at(place_px)
}

pub fn words(window: &mut Window, mark: &Mark) -> String {
    let points = &marking(window).model.points;
    let point = points.iter().find(|point| point.name == mark.name);
    point.unwrap().words.clone()
}

/// Chooses a point in the list and marks it with a click.
pub fn mark(window: &mut Window, mark: &Mark) {
    let label = words(window, mark);
    window.press(&format!("Point {label}: not marked"));
    let at = at(window, mark.at_px);
    window.press_at(at);
    assert!(
        window.all_holding(&format!("Point {label}: marked")).len() == 1,
        "{label}"
    );
}

pub fn judged(window: &mut Window) {
    window.until("the photograph is judged", |window| {
        let found = marking(window).fresh();
        found.is_some_and(|found| found.take.is_some())
    });
}

/// The photograph with so many of its points marked.
pub fn marked(folder: &Path, count: usize) -> Option<(Window, Shot)> {
    let shot = shot(folder, true);
    let mut window = Window::judging(Path::new(SITE), &[&shot.path], SIZE)?;
    let every = shot.marks.len() / count;
    for one in shot.marks.iter().step_by(every).take(count) {
        mark(&mut window, one);
    }
    Some((window, shot))
}

#[test]
fn eight_points_are_marked_judged_kept_and_stood_in() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, shot)) = marked(folder.path(), 8) else {
        return;
    };
    judged(&mut window);
    assert!(window.has("8 marks, typically 0."), "{:?}", window.labels());
    assert!(window.has("m from the machine's centre ±") && window.has("Verdict "));
    assert!(window.has("of the machine is") && window.has("FocalPlaneXResolution"));
    window.until("the marks are kept", |window| {
        window.has("Kept in siding.jpg.marks.toml")
    });
    let scene = Scene::load(Path::new(SITE)).unwrap();
    let given = marking(&mut window).given.clone();
    let path = marks_beside(&shot.path);
    assert_eq!(
        load(&path, &scene.machine.shut, &scene.place.zone).unwrap(),
        given
    );
    // A mark that is dragged elsewhere contradicts the others, is named, and is taken back.
    let wrong = given.marks[2].clone();
    let from = at(&mut window, wrong.at_px);
    window.drag(from, from + vec2(-40.0, 25.0));
    window.until("the mismark is named", |window| window.has("Mismarked: "));
    let label = words(&mut window, &wrong);
    assert!(
        window.has(&format!("Mismarked: {label} lies")),
        "{:?}",
        window.labels()
    );
    window.until("the list names it too", |window| {
        window.has("contradicts the others")
    });
    window.key(Modifiers::COMMAND, Key::Z);
    assert_eq!(marking(&mut window).given, given);
    // Until these are graded, the sheet of those before stays on the page.
    assert!(window.has("Verdict ") && !window.has("Grading"));
    judged(&mut window);
    assert!(!window.has("Mismarked: "));
    // "I stood here", into a file of its own.
    let saved = folder.path().join("stood.toml");
    window.key(Modifiers::COMMAND, Key::S);
    window.fill("Scene file to save", saved.to_str().unwrap());
    window.until("it is saved", |window| window.has("Saved "));
    let frame = Scene::load(&saved).unwrap().frame;
    assert!(frame.spot_m.distance(shot.stand.spot_m) < 0.2, "{frame:?}");
    // And rehearsed from there.
    window.key(Modifiers::COMMAND, Key::R);
    window.until("it is rehearsed", |window| window.is_open());
    // Exposure does not come along: that is told, and the way back.
    assert!(
        window.has(", exposed 1/125 s, f/5.6, ISO "),
        "{:?}",
        window.labels()
    );
    assert!(window.has("Ctrl + U leads back to it"));
    let stand = window.desk().take.stand;
    assert!(
        stand.spot_m.distance(shot.stand.spot_m) < 0.2
            && (stand.lens_mm - shot.stand.lens_mm).abs() < 0.1
    );
    window.proved();
}

#[test]
fn points_are_walked_marked_nudged_and_taken_away_by_keys_alone() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let Some(mut window) = Window::judging(Path::new(SITE), &[&shot.path], SIZE) else {
        return;
    };
    let first = marking(&mut window).chosen;
    window.key(NONE, Key::Tab);
    let second = marking(&mut window).chosen;
    assert_ne!(first, second);
    window.key(Modifiers::SHIFT, Key::Tab);
    assert_eq!(marking(&mut window).chosen, first);
    let middle = marking(&mut window).cross_px;
    assert!(window.has("Arrows 1 px, Shift 0.1, Alt 10, Ctrl 100"));
    for (modifiers, key) in [
        (NONE, Key::ArrowRight),
        (Modifiers::SHIFT, Key::ArrowUp),
        (Modifiers::ALT, Key::ArrowLeft),
        (Modifiers::COMMAND, Key::ArrowDown),
    ] {
        window.key(modifiers, key);
    }
    let cross = marking(&mut window).cross_px;
    assert!(
        (cross - middle - DVec2::new(-9.0, 99.9)).length() < 1e-9,
        "{cross}"
    );
    window.key(NONE, Key::Enter);
    assert!(marking(&mut window).mark_of(first).is_some());
    assert_ne!(marking(&mut window).chosen, first);
    // The mark that was placed last is nudged until the cross goes elsewhere.
    window.key(Modifiers::SHIFT, Key::ArrowLeft);
    let at_px = marking(&mut window).mark_of(first).unwrap().at_px;
    assert!(
        (at_px - cross - DVec2::new(-0.1, 0.0)).length() < 1e-9,
        "{at_px}"
    );
    window.key(NONE, Key::Delete);
    assert!(marking(&mut window).given.marks.is_empty());
    window.key(NONE, Key::Enter);
    window.until("too few are told", |window| {
        window.has("1 named point marked; a pose needs 6")
    });
    // A command by its words.
    window.key(NONE, Key::Slash);
    window.type_over("tenth right");
    window.key(NONE, Key::Enter);
    assert!(!window.has("Words of a command"));
    // Keys to the fields, where Tab walks fields, and back.
    window.key(NONE, Key::F6);
    let chosen = marking(&mut window).chosen;
    window.key(NONE, Key::Tab);
    assert_eq!(marking(&mut window).chosen, chosen);
    assert!(!window.has_focus("Photograph"));
    window.key(NONE, Key::F6);
    // Fields in which something else is said: the first ones that the keys come to, or at once by their own key.
    window.key(NONE, Key::F6);
    assert!(window.has_focus("Say otherwise"), "{:?}", window.labels());
    window.key(NONE, Key::Space);
    window.key(NONE, Key::Tab);
    assert!(window.has_focus("Taken at"));
    window.key(NONE, Key::F6);
    assert!(window.has_focus("Photograph"));
    window.key(NONE, Key::S);
    assert!(window.has_focus("Taken at"));
    window.type_over("2027-05-14 18:30");
    window.key(NONE, Key::Enter);
    let given = marking(&mut window).given.clone();
    assert_eq!(given.at, Some("2027-05-14T23:30:00Z".parse().unwrap()));
    assert_eq!(given.marks.len(), 1);
    window.key(NONE, Key::F6);
    assert!(window.has_focus("Photograph"));
}

#[test]
fn what_is_typed_counts_and_what_is_no_number_is_told() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, _)) = marked(folder.path(), 8) else {
        return;
    };
    judged(&mut window);
    assert!(window.has("px off") && !window.has("on average"));
    assert!(window.has("by the marks and the 50.0 mm that are told"));
    // Marks that are said to be better than they are make a poor fit, and that is said.
    let given = marking(&mut window).given.clone();
    let mut strict = given.clone();
    strict.placed_to_px = Some(0.001);
    marking(&mut window).give(strict, "Say how marks are placed");
    judged(&mut window);
    assert!(window.has("The fit is poor: "), "{:?}", window.labels());
    marking(&mut window).give(given, "Say how marks are placed");
    judged(&mut window);
    assert!(!window.has("The fit is poor: "));
    window.press("Say otherwise");
    window.fill("Focal length, mm", "fifty");
    assert!(
        window.has("Focal length, mm: \"fifty\" found"),
        "{:?}",
        window.labels()
    );
    // What was typed stays to be mended, with what is allowed beside it.
    assert!(window.has_value("fifty") && window.has("a number from"));
    assert_eq!(marking(&mut window).given.focal_mm, None);
    window.press("Focal length, mm");
    window.harness.event(egui::Event::Text("2".into()));
    window.key(NONE, Key::Enter);
    assert!(window.has("Focal length, mm: \"fifty2\" found"));
    window.fill("Focal length, mm", "52");
    assert!(!window.has("Focal length, mm: "));
    assert_eq!(marking(&mut window).given.focal_mm, Some(52.0));
    judged(&mut window);
    assert!(
        window.has("52.0 mm, as it was said"),
        "{:?}",
        window.labels()
    );
    window.fill("Taken at", "2027-05-14 18:30");
    // Shorter than any marks file takes: the marks would not be kept any more.
    window.fill("Shutter, s", "1/100000");
    assert!(
        window.has("Shutter, s: \"1/100000\" found"),
        "{:?}",
        window.labels()
    );
    assert_eq!(marking(&mut window).given.exposure_s, None);
    window.fill("Shutter, s", "1/60");
    judged(&mut window);
    let given = &marking(&mut window).given;
    assert_eq!(given.at, Some("2027-05-14T23:30:00Z".parse().unwrap()));
    assert_eq!(given.exposure_s, Some(1.0 / 60.0));
    window.fill("Taken at", "soon");
    assert!(window.has("Taken at: ") && window.has_value("soon"));
    assert!(window.has("write 2027-05-14 10:20"));
    let bends = marking(&mut window).given.radial;
    window.press("The lens may bend straight lines");
    assert_eq!(marking(&mut window).given.radial, !bends);
    window.until("it is kept", |window| marking(window).is_kept());
    assert!(window.has("2027-05-14 18:30:00"), "{:?}", window.labels());
}

#[test]
fn a_photograph_is_judged_from_the_rehearsal_and_one_that_cannot_be_read_is_told() {
    let folder = TempDir::new().unwrap();
    let broken = folder.path().join("broken.jpg");
    std::fs::write(&broken, "no picture").unwrap();
    let Some(mut window) = Window::sized(SITE, SIZE) else {
        return;
    };
    let before = window.desk().take.clone();
    window.key(Modifiers::COMMAND, Key::U);
    window.fill("Photograph file", broken.to_str().unwrap());
    window.until("it is told", |window| {
        window.has("neither JPEG, PNG nor TIFF")
    });
    assert!(window.has("broken.jpg"));
    for key in [
        Key::Enter,
        Key::Tab,
        Key::ArrowLeft,
        Key::Delete,
        Key::Plus,
        Key::N,
        Key::O,
    ] {
        window.key(NONE, key);
    }
    window.key(Modifiers::COMMAND, Key::S);
    assert!(window.has("No photograph is open"));
    // Mended, it is read again.
    let whole = shot(folder.path(), true);
    std::fs::copy(&whole.path, &broken).unwrap();
    window.press("Read the photograph again");
    window.until("it is read", |window| {
        window.marking().unwrap().session.marking().is_some()
    });
    window.press("Back");
    assert!(window.is_open());
    assert_eq!(window.desk().take, before);
    // Asked for once more, it stands there, to be opened or typed over.
    window.key(Modifiers::COMMAND, Key::U);
    assert!(window.has_value(broken.to_str().unwrap()));
    window.key(NONE, Key::Enter);
    window.until("it is there again", |window| {
        window
            .marking()
            .is_some_and(|page| page.session.marking().is_some())
    });
    window.press("Back");
    window.proved();
}

#[test]
fn a_photograph_of_unknown_light_is_judged_at_best() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    // Written anew, it has lost its tags.
    image::open(&shot.path).unwrap().save(&shot.path).unwrap();
    let Some(mut window) = Window::judging(Path::new(SITE), &[&shot.path], SIZE) else {
        return;
    };
    for one in shot.marks.iter().step_by(shot.marks.len() / 8).take(8) {
        mark(&mut window, one);
    }
    judged(&mut window);
    assert!(window.has("Verdict at best "), "{:?}", window.labels());
    window.press("Say otherwise");
    window.fill("Taken at", "2027-05-14 10:00");
    judged(&mut window);
    assert!(
        window.has("Verdict ") && !window.has("at best"),
        "{:?}",
        window.labels()
    );
}

#[test]
fn a_picture_cut_beside_its_middle_is_told_with_what_that_leaves_in_doubt() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let whole = image::open(&shot.path).unwrap();
    let (jpeg, given) = cut_to(&whole, shot.marks.clone(), [100, 40, 800, 400]);
    let lens_mm = Some(shot.stand.lens_mm);
    let jpeg = tagged(&room(), &jpeg, lens_mm, false, (5.6, 125.0));
    std::fs::write(&shot.path, jpeg).unwrap();
    let Some(mut window) = Window::judging(Path::new(SITE), &[&shot.path], SIZE) else {
        return;
    };
    marking(&mut window).give(given, "Mark");
    judged(&mut window);
    assert!(
        window.has("its middle is left open") && window.has("are in doubt by that"),
        "{:?}",
        window.labels()
    );
}
