//! What is remembered: written and read again, broken files kept, another window's and a newer version's entries
//! respected, and no folder no crash. May not enter: windows.

use std::fs;
use std::path::{Path, PathBuf};
use sunside::rehearsal::remembered::{Memory, Place, Remembered, Theme};
use sunside::units::Units;
use tempfile::TempDir;

fn full() -> Memory {
    Memory {
        place: Some(Place {
            size: [1280.0, 800.0],
            position: Some([-12.5, 40.0]),
            maximised: true,
        }),
        recent: vec!["/sites/a \"quoted\".toml".into(), "/sites/b.toml".into()],
        units: Units::Feet,
        theme: Theme::Dark,
        guides: true,
        tray: Some("/pictures".into()),
    }
}

#[test]
fn what_is_saved_is_read_again_and_the_first_time_is_the_usual() {
    let folder = TempDir::new().unwrap();
    let deep = folder.path().join("not/there/yet");
    let (mut remembered, memory, told) = Remembered::load_from(&deep);
    assert_eq!((memory, told), (Memory::default(), None));
    // What is as it was makes no file.
    remembered.save(&Memory::default()).unwrap();
    assert!(!deep.exists());
    remembered.save(&full()).unwrap();
    let (mut again, memory, told) = Remembered::load_from(&deep);
    assert_eq!((memory, told), (full(), None));
    again.save(&Memory::default()).unwrap();
    let (_, memory, _) = Remembered::load_from(&deep);
    // The window's place stays: a window without one says nothing of it.
    let usual = Memory {
        place: full().place,
        ..Memory::default()
    };
    assert_eq!(memory, usual);
}

#[test]
fn a_broken_file_is_told_with_its_place_kept_aside_and_replaced() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("window.toml");
    let broken = "[look]\ntheme = \"drak\"\n";
    fs::write(&file, broken).unwrap();
    let (mut remembered, memory, told) = Remembered::load_from(folder.path());
    let told = told.unwrap();
    assert_eq!(memory, Memory::default());
    assert!(
        told.contains("window.toml:2:9") && told.contains("did you mean \"dark\"?"),
        "{told}"
    );
    assert!(told.contains("window.toml.broken"), "{told}");
    let aside = folder.path().join("window.toml.broken");
    assert_eq!(fs::read_to_string(&aside).unwrap(), broken);
    remembered.save(&full()).unwrap();
    assert_eq!(Remembered::load_from(folder.path()).1, full());
    // A second one does not take the first one's place.
    fs::write(&file, "[look").unwrap();
    Remembered::load_from(folder.path());
    Remembered::load_from(folder.path());
    assert_eq!(fs::read_to_string(&aside).unwrap(), broken);
    let second = folder.path().join("window.toml.broken-1");
    assert_eq!(fs::read_to_string(second).unwrap(), "[look");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 3);
}

#[test]
fn keys_of_a_newer_version_and_comments_stay() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("window.toml");
    let newer = "# mine\n[look]\ntheme = \"light\" # outdoors\nsparkle = 3\n[lanes]\norder = [1]\n";
    fs::write(&file, newer).unwrap();
    let (mut remembered, mut memory, told) = Remembered::load_from(folder.path());
    assert_eq!((memory.theme, told), (Theme::Light, None));
    memory.theme = Theme::Dark;
    remembered.save(&memory).unwrap();
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        newer.replace("light", "dark")
    );
}

#[test]
fn two_windows_keep_each_other_s_changes() {
    let folder = TempDir::new().unwrap();
    let (mut one, mut first, _) = Remembered::load_from(folder.path());
    let (mut other, mut second, _) = Remembered::load_from(folder.path());
    first.units = Units::Feet;
    first.opened(Path::new("/a.toml"));
    second.theme = Theme::Dark;
    second.opened(Path::new("/b.toml"));
    one.save(&first).unwrap();
    other.save(&second).unwrap();
    let (_, both, _) = Remembered::load_from(folder.path());
    assert_eq!((both.units, both.theme), (Units::Feet, Theme::Dark));
    assert_eq!(both.recent, [PathBuf::from("/b.toml"), "/a.toml".into()]);
}

#[test]
fn eight_scenes_are_remembered_each_once_the_latest_first() {
    let mut memory = Memory::default();
    for i in 0..12 {
        memory.opened(Path::new(&format!("/{i}.toml")));
    }
    memory.opened(Path::new("/9.toml"));
    assert_eq!(memory.recent.len(), 8);
    assert_eq!(memory.last_scene(), Some(Path::new("/9.toml")));
    assert_eq!(memory.recent[1], Path::new("/11.toml"));
    // A path without its folder is the one in the current folder.
    memory.opened(Path::new("here.toml"));
    assert!(memory.recent[0].is_absolute());
}

#[test]
fn a_folder_that_cannot_be_made_is_one_sentence() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("file");
    fs::write(&file, "x").unwrap();
    let (mut remembered, memory, _) = Remembered::load_from(&file.join("sunside"));
    assert_eq!(memory, Memory::default());
    let error = remembered.save(&full()).unwrap_err();
    assert!(
        error.starts_with("settings are not kept: cannot make "),
        "{error}"
    );
    assert_eq!(error.lines().count(), 1);
    let (mut other, ..) = Remembered::load_from(folder.path());
    fs::create_dir(folder.path().join("window.toml")).unwrap();
    let error = other.save(&full()).unwrap_err();
    assert!(error.starts_with("settings are not kept: "), "{error}");
    assert_eq!(error.lines().count(), 1);
}

#[test]
fn a_path_of_many_lines_is_left_out_and_breaks_nothing() {
    let folder = TempDir::new().unwrap();
    let (mut remembered, mut memory, _) = Remembered::load_from(folder.path());
    memory.recent = vec!["/a\nb.toml".into(), "/c.toml".into()];
    memory.tray = Some("/t\n".into());
    remembered.save(&memory).unwrap();
    let (_, memory, told) = Remembered::load_from(folder.path());
    assert_eq!(
        (memory.recent, memory.tray, told),
        (vec![PathBuf::from("/c.toml")], None, None)
    );
}

#[test]
fn a_window_larger_than_any_screen_is_held_and_told() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("window.toml");
    for (written, held) in [
        ("100000, 90000", [8192.0, 8192.0]),
        ("20000, 900", [8192.0, 900.0]),
    ] {
        fs::write(&file, format!("[window]\nsize = [{written}]\n")).unwrap();
        let (_, memory, told) = Remembered::load_from(folder.path());
        assert_eq!(memory.place.unwrap().size, held);
        assert!(told.unwrap().contains("320 to 8192"));
    }
    fs::write(&file, "[window]\nsize = [1280, 800]\n").unwrap();
    assert_eq!(Remembered::load_from(folder.path()).2, None);
}

#[test]
fn a_file_far_too_long_is_moved_aside_unread() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("window.toml");
    let long = "# long\n".repeat(200_000);
    fs::write(&file, &long).unwrap();
    let (mut remembered, _, told) = Remembered::load_from(folder.path());
    assert!(told.unwrap().contains("longer than 1 MiB"));
    remembered.save(&full()).unwrap();
    let aside = folder.path().join("window.toml.long-1");
    assert_eq!(fs::read_to_string(aside).unwrap(), long);
    assert_eq!(Remembered::load_from(folder.path()).1, full());
}
