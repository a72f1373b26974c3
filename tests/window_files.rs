//! Clocks and files by hand: what is typed is taken or refused with the reason, what is exported is what is graded. May not
//! enter: a real window (see `window_end_to_end`).

use crate::window::{BOX, Window};
use egui::{Key, Modifiers};
use std::fs;
use sunside::report::frame::Frame;
use sunside::report::json_text;

#[test]
fn a_time_of_day_is_typed_and_a_wrong_one_is_refused() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let at = window.desk().take.at;
    window.fill("Clock", "25:99");
    assert_eq!(window.desk().take.at, at);
    assert!(window.has("is no time of day"), "{:?}", window.labels());
    window.fill("Clock", "16:45");
    let zone = window.desk().site.base.place.zone.clone();
    let local = zone.local(window.desk().take.at);
    assert_eq!(local.naive.format("%H:%M").to_string(), "16:45");
    window.key(Modifiers::COMMAND, Key::Z);
    assert_eq!(window.desk().take.at, at);
}

#[test]
fn exported_data_are_those_of_the_graded_frame() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let folder = window.folder.path().join("frames");
    window.press("Files");
    window.fill("Folder for files", folder.to_str().unwrap());
    window.key(Modifiers::COMMAND, Key::J);
    window.until("the data are written", |window| {
        let told = &window.desk().told;
        matches!(told, Some(Ok(what)) if what.starts_with("Wrote"))
    });
    let file = fs::read_dir(&folder).unwrap().next().unwrap().unwrap();
    let written = fs::read_to_string(file.path()).unwrap();
    let desk = window.desk();
    let take = desk.take.clone();
    let frame = Frame::of(&desk.room.1, take.stand, take.capture(), take.at);
    assert_eq!(written, json_text(&frame.data()));
}
