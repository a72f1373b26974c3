//! Files: what is exported, the scene saved in place, scenes opened from the start page. May not enter: their contents'
//! numbers.

use crate::window::{BOX, Size, Window, box_site};
use egui::{Key, Modifiers};
use std::path::Path;

const SMALL: Size = Size(1024.0, 700.0, 1.0);

#[test]
fn picture_data_and_card_are_written_into_the_folder_that_was_typed() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let out = window.folder.path().join("out");
    window.press("Files");
    window.fill("Folder for files", out.to_str().unwrap());
    window.fill("Width of the picture", "wide");
    assert!(window.has("Width of the picture: \"wide\" is no number"));
    assert!(window.has_value("2400"), "{:?}", window.labels());
    window.fill("Width of the picture", "600");
    let stem = "box_siding-2027-05-14-1000";
    for (button, file) in [("Data", "json"), ("Picture", "png")] {
        window.press(button);
        let file = out.join(format!("{stem}.{file}"));
        window.until("the file is told", |window| {
            window.has(&format!("Wrote {}", file.display()))
        });
        assert!(file.metadata().unwrap().len() > 1000);
    }
    let picture = std::fs::read(out.join(format!("{stem}.png"))).unwrap();
    // The width stands in bytes 16 to 19 of a PNG (ISO/IEC 15948, 11.2.2).
    assert_eq!(picture[16..20], 600u32.to_be_bytes());
    window.press("Card");
    window.until("the card is told", |window| window.has("-card"));
    window.until("it is written", |window| window.has("Wrote "));
    let card = std::fs::read_dir(out.join(format!("{stem}-card"))).unwrap();
    assert_eq!(card.count(), 2);
}

#[test]
fn a_folder_that_cannot_be_made_is_told_and_nothing_breaks() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let file = window.folder.path().join("file");
    std::fs::write(&file, "no folder").unwrap();
    window.press("Files");
    window.fill("Folder for files", file.to_str().unwrap());
    window.press("Data");
    window.until("it was tried", |window| {
        matches!(window.desk().told, Some(Err(_)))
    });
    let why = window.desk().told.clone().unwrap().unwrap_err();
    assert!(why.contains(file.to_str().unwrap()), "{why}");
    assert!(
        window.has(why.lines().next().unwrap()),
        "{:?}",
        window.labels()
    );
}

#[test]
fn a_scene_is_saved_in_place_and_keeps_its_comments() {
    let folder = tempfile::TempDir::new().unwrap();
    let scene = box_site(folder.path(), "");
    let before = std::fs::read_to_string(&scene).unwrap();
    let Some(mut window) = Window::of(scene.to_str().unwrap()) else {
        return;
    };
    window.key(Modifiers::NONE, Key::D);
    let stand = window.desk().take.stand;
    window.key(Modifiers::COMMAND, Key::S);
    window.until("it is saved", |window| window.has("Saved "));
    let after = std::fs::read_to_string(&scene).unwrap();
    assert_ne!(before, after);
    let comments = |text: &str| {
        text.lines()
            .filter(|line| line.starts_with('#'))
            .map(String::from)
            .collect::<Vec<_>>()
    };
    assert!(!comments(&before).is_empty() && comments(&before) == comments(&after));
    drop(window);
    let Some(mut window) = Window::of(scene.to_str().unwrap()) else {
        return;
    };
    let again = window.desk().take.stand;
    assert!(
        (again.spot_m - stand.spot_m).length() < 0.006,
        "{again:?} {stand:?}"
    );
}

#[test]
fn a_scene_saved_under_another_name_keeps_comments_and_models_and_leaves_its_own_file_alone() {
    let folder = tempfile::TempDir::new().unwrap();
    let scene = box_site(folder.path(), "# The last line.\n");
    let before = std::fs::read_to_string(&scene).unwrap();
    let trip = folder.path().join("trips/may");
    std::fs::create_dir_all(&trip).unwrap();
    let trip = trip.join("trip.toml");
    let Some(mut window) = Window::of(scene.to_str().unwrap()) else {
        return;
    };
    window.key(Modifiers::NONE, Key::D);
    window.press("Files");
    window.press("with what is tried of the site");
    window.fill("File for the scene", trip.to_str().unwrap());
    window.key(Modifiers::NONE, Key::K);
    window.press("Save scene");
    let told = format!("Saved {}", trip.display());
    window.until("it is saved", |window| window.has(&told));
    // Saved there once more it would replace what lies there: that is told first, and done when it is asked again.
    let first = std::fs::read_to_string(&trip).unwrap();
    window.key(Modifiers::NONE, Key::D);
    let take = window.desk().take.clone();
    window.press("Save scene");
    window.until("it is not replaced unasked", |window| {
        window.has("exists: save once more to replace it")
    });
    assert_eq!(std::fs::read_to_string(&trip).unwrap(), first);
    window.press("Save scene");
    window.until("it is replaced", |window| window.has(&told));
    assert_ne!(std::fs::read_to_string(&trip).unwrap(), first);
    drop(window);
    assert_eq!(std::fs::read_to_string(&scene).unwrap(), before);
    let saved = std::fs::read_to_string(&trip).unwrap();
    for comment in before.lines().filter(|line| line.starts_with('#')) {
        assert!(saved.contains(comment), "{comment:?} is gone");
    }
    let Some(mut window) = Window::of(trip.to_str().unwrap()) else {
        return;
    };
    let again = window.desk().take.clone();
    assert_eq!(again.setting, take.setting);
    // Written to the centimetre.
    assert!((again.stand.spot_m - take.stand.spot_m).length() < 0.006);
    assert_eq!(window.desk().site.models.offered().len(), 2);
}

#[test]
fn a_broken_scene_tells_its_errors_on_the_start_page_and_another_one_opens() {
    let Some(mut window) = Window::new(Some(Path::new("tests/broken/wrong_key.toml")), SMALL)
    else {
        return;
    };
    window.until("the errors are told", |window| window.has("Scene file"));
    assert!(
        !window.is_open() && window.has("wrong_key.toml"),
        "{:?}",
        window.labels()
    );
    window.fill("Scene file", BOX);
    window.until("it is open", |window| window.is_open());
    window.proved();
    window.key(Modifiers::COMMAND, Key::O);
    assert!(window.has("Back to the rehearsal"));
    window.press("Back to the rehearsal");
    assert!(window.is_open());
}

#[test]
fn the_start_page_shows_the_sites_that_ship_and_opens_one() {
    let Some(mut window) = Window::new(None, SMALL) else {
        return;
    };
    window.until("a site has come", |window| window.has("Birch Fell"));
    window.press_holding("Birch Fell");
    window.until("it is open", |window| window.is_open());
}

#[test]
fn a_mistyped_scene_leaves_the_rehearsal_to_go_back_to() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    window.key(Modifiers::NONE, Key::D);
    window.proved();
    window.key(Modifiers::NONE, Key::Space);
    let take = window.desk().take.clone();
    window.key(Modifiers::COMMAND, Key::O);
    window.fill("Scene file", "nope.toml");
    window.until("the error is told", |window| window.has("nope.toml"));
    window.until("back", |window| window.has("Back to the rehearsal"));
    window.press("Back to the rehearsal");
    let desk = window.desk();
    assert_eq!((&desk.take, desk.kept.len()), (&take, 1));
}
