//! What cannot be, and desks that are cleared while much is asked of them, without a window. May not enter: widgets,
//! pictures.

use std::path::Path;
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};
use sunside::grade::Rulebook;
use sunside::rehearsal::command::Command;
use sunside::rehearsal::desk::Desk;
use sunside::rehearsal::kept::Export;
use sunside::rehearsal::opening::open;
use sunside::sighting::cpu::Cpu;

const SCENE: &str = "tests/scenes/box_siding.toml";

fn desk() -> Desk {
    static RULES: OnceLock<Rulebook> = OnceLock::new();
    static CPU: OnceLock<Cpu> = OnceLock::new();
    let rulebook = RULES.get_or_init(Rulebook::roster);
    let rasterizer = CPU.get_or_init(Cpu::default);
    let today = "2027-05-14T15:00:00Z".parse().unwrap();
    let opened = open(Path::new(SCENE), rulebook, rasterizer, today);
    Desk::new(
        opened.unwrap_or_else(|p| panic!("{p}")),
        Arc::new(|| {}),
        false,
    )
}

fn until(desk: &mut Desk, what: &str, done: impl Fn(&Desk) -> bool) {
    let start = Instant::now();
    while !done(desk) {
        desk.take_news();
        assert!(start.elapsed() < Duration::from_secs(90), "{what}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn a_refused_setting_goes_and_the_walk_after_it_stays() {
    let desk = &mut desk();
    let first = desk.take.clone();
    let mut off = first.setting.clone();
    off.chainage_m = -1.0e6;
    desk.set(off.clone(), "Shunt");
    desk.act(Command::WalkRight);
    let walked = desk.take.stand;
    assert_ne!(walked, first.stand);
    until(desk, "refused", |desk| desk.refused.is_some());
    assert_eq!(desk.take.setting, first.setting);
    assert_eq!(desk.take.stand, walked);
    until(desk, "graded", Desk::is_graded);

    // Asked for again it is refused again, and nothing is lost by that.
    desk.act(Command::WalkLeft);
    let there = desk.take.clone();
    desk.set(off, "Shunt");
    assert!(desk.refused.is_some());
    assert_eq!(desk.take, there);

    // The walks are what can be taken back; the refused step is none.
    desk.act(Command::Undo);
    desk.act(Command::Undo);
    assert_eq!(desk.take, first);
    assert_eq!(desk.steps()[0], None);
}

#[test]
fn a_desk_with_many_errands_is_cleared_after_the_one_at_hand() {
    let folder = tempfile::TempDir::new().unwrap();
    let mut desk = desk();
    until(&mut desk, "graded", Desk::is_graded);
    const ASKED: usize = 200;
    for _ in 0..ASKED {
        desk.export(Export::Data, folder.path().join("frame.json"));
    }
    drop(desk);
    let written = std::fs::read_dir(folder.path()).unwrap().count();
    assert!(
        written < ASKED / 2,
        "{written} files were written for nobody"
    );
}

#[test]
fn two_exports_of_one_minute_are_two_files() {
    let folder = tempfile::TempDir::new().unwrap();
    let mut desk = desk();
    for name in ["frame.json", "frame-2.json"] {
        desk.export(Export::Data, folder.path().join("frame.json"));
        let told = format!("Wrote {}", folder.path().join(name).display());
        until(&mut desk, "written", |desk| {
            desk.told == Some(Ok(told.clone()))
        });
    }
}

#[test]
fn what_fails_is_named_and_a_search_goes_on() {
    let folder = tempfile::TempDir::new().unwrap();
    let file = folder.path().join("file");
    std::fs::write(&file, "no folder").unwrap();
    let mut desk = desk();
    desk.searching = Some(("looking".into(), 0.5));
    desk.export(Export::Data, file.join("frame.json"));
    until(&mut desk, "failed", |desk| {
        matches!(desk.told, Some(Err(_)))
    });
    let why = desk.told.clone().unwrap().unwrap_err();
    assert!(why.starts_with("The data were not written: "), "{why}");
    assert!(desk.searching.is_some());
}
