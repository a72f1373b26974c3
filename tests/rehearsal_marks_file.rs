//! A photograph and its marks file that other hands change while it is marked: put aside, read again, replaced, gone. May
//! not enter: pixels of pages, where a camera stood.

use crate::rehearsal_marking::{known, open, put, room, shot, until};
use glam::DVec2;
use sunside::judge::keeping::{Unkept, marks_beside};
use sunside::judge::marks::load;
use sunside::rehearsal::marking::command::MarkCommand;
use sunside::rehearsal::marking::session::{Session, State};
use sunside::rehearsal::marking::{Found, PhotoFile};
use tempfile::TempDir;

#[test]
fn what_cannot_be_kept_is_told_and_would_be_lost_and_can_be_read_anew() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let path = marks_beside(&shot.path);
    std::fs::write(&path, "[[mark]]\npoint = \"copler\"\nat_px = [1, 2]\n").unwrap();
    let none = folder.path().join("none.jpg");
    let mut session = open(&[&shot.path, &none]);
    let marking = session.marking().unwrap();
    let told = marking.unkept().unwrap().to_string();
    assert!(told.contains("names no such point"), "{told}");
    put(marking, &shot.marks[0], DVec2::ZERO);
    assert!(session.lost()[0].contains("names no such point"));
    // Another photograph is looked at meanwhile; what is not kept is not lost by that.
    session.go(1);
    until(&mut session, "it is read", |session| {
        !matches!(session.state, State::Opening)
    });
    let State::Failed(why) = &session.state else {
        panic!("there is none")
    };
    assert!(
        why.contains("none.jpg") && why.contains("cannot read"),
        "{why}"
    );
    session.go(1);
    session.go(-1);
    let marking = session.marking().unwrap();
    assert_eq!(marking.given.marks.len(), 1);
    assert!(std::fs::read_to_string(&path).unwrap().contains("copler"));
    std::fs::write(&path, "# mended\n").unwrap();
    marking.act(MarkCommand::ReadAnew);
    until(&mut session, "it is read", |session| {
        session.marking().unwrap().unkept().is_none()
    });
    let marking = session.marking().unwrap();
    assert_eq!(marking.given.marks.len(), 0);
    put(marking, &shot.marks[0], DVec2::ZERO);
    until(&mut session, "it is kept", |session| {
        session.marking().unwrap().is_kept()
    });
    assert!(session.lost().is_empty());
    assert!(
        std::fs::read_to_string(&path)
            .unwrap()
            .starts_with("# mended\n")
    );
}

#[test]
fn a_file_in_the_way_is_put_aside_and_marks_placed_meanwhile_are_kept() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let path = marks_beside(&shot.path);
    std::fs::write(&path, "no marks at all").unwrap();
    let mut session = open(&[&shot.path]);
    let marking = session.marking().unwrap();
    assert!(matches!(marking.unkept(), Some(Unkept::Unreadable(_))));
    put(marking, &shot.marks[0], DVec2::ZERO);
    marking.act(MarkCommand::PutAside);
    until(&mut session, "it is kept", |session| {
        session.marking().unwrap().is_kept()
    });
    let marking = session.marking().unwrap();
    assert!(marking.unkept().is_none() && marking.kept_at().is_some());
    let aside = folder.path().join("siding.jpg.marks.aside.toml");
    assert_eq!(std::fs::read_to_string(aside).unwrap(), "no marks at all");
    let room = room();
    let given = load(&path, &room.scene.machine.shut, &room.scene.place.zone).unwrap();
    assert_eq!(given, marking.given);
}

#[test]
fn marks_are_read_anew_behind_what_is_still_to_be_written() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let path = marks_beside(&shot.path);
    let mut session = open(&[&shot.path]);
    let room = room();
    let (model, zone) = (&room.scene.machine.shut, &room.scene.place.zone);
    // A mark that comes and goes is still being written, though all is as it stood in the file.
    let marking = session.marking().unwrap();
    put(marking, &shot.marks[0], DVec2::ZERO);
    marking.act(MarkCommand::Undo);
    assert!(marking.given.marks.is_empty() && !marking.is_kept());
    until(&mut session, "it is written", |session| {
        session.marking().unwrap().is_kept()
    });
    assert!(load(&path, model, zone).unwrap().marks.is_empty());
    for mark in &shot.marks[..4] {
        let marking = session.marking().unwrap();
        put(marking, mark, DVec2::ZERO);
        marking.act(MarkCommand::ReadAnew);
        until(&mut session, "it is read", |session| {
            let told = session.marking().unwrap().told.clone();
            told.is_some_and(|told| told.is_ok_and(|told| told.starts_with("Read")))
        });
        let given = session.marking().unwrap().given.clone();
        assert_eq!(load(&path, model, zone).unwrap(), given);
    }
    assert_eq!(session.marking().unwrap().given.marks.len(), 4);
    // Nothing was written behind it.
    let given = session.marking().unwrap().given.clone();
    drop(session);
    assert_eq!(load(&path, model, zone).unwrap(), given);
}

#[test]
fn a_photograph_that_is_replaced_or_gone_is_noticed_and_its_marks_stay() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let whole = std::fs::read(&shot.path).unwrap();
    let mut session = open(&[&shot.path]);
    put(session.marking().unwrap(), &shot.marks[0], DVec2::ZERO);
    let given = session.marking().unwrap().given.clone();
    let first = session.marking().unwrap().photo.size_px();
    let is = |session: &mut Session, file| session.marking().unwrap().photo_file() == file;
    assert!(is(&mut session, PhotoFile::AsRead));
    std::fs::remove_file(&shot.path).unwrap();
    until(&mut session, "it is gone", |session| {
        is(session, PhotoFile::Gone)
    });
    session.marking().unwrap().act(MarkCommand::ReadPhoto);
    until(&mut session, "that is told", |session| {
        matches!(session.marking().unwrap().told, Some(Err(_)))
    });
    assert!(is(&mut session, PhotoFile::Gone));
    let small = image::load_from_memory(&whole)
        .unwrap()
        .crop_imm(0, 0, 300, 200);
    small.save(&shot.path).unwrap();
    until(&mut session, "it is another", |session| {
        is(session, PhotoFile::Another)
    });
    assert_eq!(session.marking().unwrap().photo.size_px(), first);
    session.read_again();
    until(&mut session, "it is read again", |session| {
        is(session, PhotoFile::AsRead)
    });
    let marking = session.marking().unwrap();
    assert_eq!(marking.photo.size_px(), [300.0, 200.0]);
    assert_eq!(marking.levels[0].width(), 300);
    assert_eq!(marking.given, given);
    assert!(marking.cross_px.x <= 300.0 && marking.cross_px.y <= 200.0);
    // What is marked then is fitted to the new one and kept.
    put(marking, &shot.marks[1], DVec2::ZERO);
    let size = |found: &Found| [found.shot.plate.width_px, found.shot.plate.height_px];
    assert_eq!(size(&known(&mut session)), [300.0, 200.0]);
    until(&mut session, "it is kept", |session| {
        session.marking().unwrap().is_kept()
    });
}

#[test]
fn another_hands_marks_are_not_written_over_while_they_are_being_read() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let path = marks_beside(&shot.path);
    let mut session = open(&[&shot.path]);
    put(session.marking().unwrap(), &shot.marks[0], DVec2::ZERO);
    until(&mut session, "it is kept", |session| {
        session.marking().unwrap().is_kept()
    });
    let other = "# another hand\n[[mark]]\npoint = \"coupler_front\"\nat_px = [20, 30]\n";
    let before = std::fs::read(&path).unwrap();
    std::fs::write(&path, other).unwrap();
    // That is told before anything is marked, and nothing is lost by it; put back, nothing was.
    until(&mut session, "that is told", |session| {
        session.marking().unwrap().unkept() == Some(&Unkept::Changed(path.clone()))
    });
    assert!(session.lost().is_empty());
    std::fs::write(&path, before).unwrap();
    until(&mut session, "nothing is told", |session| {
        session.marking().unwrap().unkept().is_none()
    });
    std::fs::write(&path, other).unwrap();
    // A mark between the press and the file's arrival, and one that is taken back at once.
    for back in [false, true] {
        let marking = session.marking().unwrap();
        marking.act(MarkCommand::ReadAnew);
        put(marking, &shot.marks[if back { 2 } else { 1 }], DVec2::ZERO);
        if back {
            marking.act(MarkCommand::Undo);
        }
        let own = marking.given.clone();
        assert_eq!(own.marks.len(), 2);
        until(&mut session, "that is told", |session| {
            let marking = session.marking().unwrap();
            let told = marking.told.clone().and_then(Result::err);
            told.is_some_and(|told| told.contains("was not taken over")) && !marking.is_pending()
        });
        let marking = session.marking().unwrap();
        assert_eq!(marking.given, own);
        assert!(matches!(marking.unkept(), Some(Unkept::Changed(_))));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), other);
    }
    // Left alone, it is taken over; what was here comes back by undo, and is kept then.
    let own = session.marking().unwrap().given.clone();
    session.marking().unwrap().act(MarkCommand::ReadAnew);
    until(&mut session, "it is read", |session| {
        let marking = session.marking().unwrap();
        marking.given != own && marking.unkept().is_none() && marking.is_kept()
    });
    let marking = session.marking().unwrap();
    assert_eq!(marking.given.marks[0].name, "coupler_front");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), other);
    marking.act(MarkCommand::Undo);
    until(&mut session, "it is kept", |session| {
        session.marking().unwrap().is_kept()
    });
    assert_eq!(session.marking().unwrap().given, own);
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.starts_with("# another hand\n"), "{text}");
}
