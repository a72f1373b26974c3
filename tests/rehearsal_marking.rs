//! Marking a photograph without a window: a rehearsed frame as a JPEG, its points marked, the fit told, the marks in their
//! file. May not enter: pixels of pages, what stands in the way of files.

use crate::judge_take::{away_m, marks, photograph_bytes, rehearsed};
use glam::DVec2;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};
use sunside::grade::{Rulebook, Stand, Studio};
use sunside::judge::keeping::marks_beside;
use sunside::judge::marks::load;
use sunside::judge::pose::Mark;
use sunside::rehearsal::bench::Room;
use sunside::rehearsal::marking::command::MarkCommand;
use sunside::rehearsal::marking::points::{Corner, groups};
use sunside::rehearsal::marking::session::{Session, State};
use sunside::rehearsal::marking::{Found, Marking};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::shown::Side;
use tempfile::TempDir;

/// A frame of the open siding as a file, and where its points lie in it.
pub struct Shot {
    pub path: PathBuf,
    pub marks: Vec<Mark>,
    pub stand: Stand,
}

/// Exports the site's own frame into a folder.
pub fn shot(folder: &Path, focal: bool) -> Shot {
    let path = folder.join("siding.jpg");
    let mut found = None;
    rehearsed(|studio: &Studio, stand, _| {
        std::fs::write(&path, photograph_bytes(studio, stand, focal)).unwrap();
        found = Some((marks(studio, stand, 600.0), *stand));
    });
    let (marks, stand) = found.unwrap();
    Shot { path, marks, stand }
}

/// The open siding, prepared for as long as the tests run.
pub fn room() -> Arc<Room> {
    static ROOM: OnceLock<Arc<Room>> = OnceLock::new();
    let made = || {
        let rulebook: &'static Rulebook = Box::leak(Box::new(Rulebook::roster()));
        let cpu: &'static Cpu = Box::leak(Box::default());
        let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
        Arc::new(Studio::new(scene, rulebook, cpu, None))
    };
    Arc::clone(ROOM.get_or_init(made))
}

pub fn until(session: &mut Session, what: &str, done: impl Fn(&mut Session) -> bool) {
    let start = Instant::now();
    loop {
        session.take_news();
        if done(session) {
            return;
        }
        assert!(
            start.elapsed() < Duration::from_secs(90),
            "it never came about that {what}"
        );
        std::thread::sleep(Duration::from_millis(5));
    }
}

pub fn open(photos: &[&Path]) -> Session {
    let photos = photos.iter().map(|path| path.to_path_buf()).collect();
    let mut session = Session::new(photos, None, room(), Arc::new(|| {}));
    until(&mut session, "it is read", |session| {
        !matches!(session.state, State::Opening)
    });
    session
}

pub fn put(marking: &mut Marking, mark: &Mark, off: DVec2) {
    let points = &marking.model.points;
    let point = points
        .iter()
        .position(|point| point.name == mark.name)
        .unwrap();
    marking.choose(point);
    marking.point_at(mark.at_px + off);
    marking.act(MarkCommand::TakePlace);
}

/// What is known of the newest marks, the sheet too where there is one.
pub fn known(session: &mut Session) -> Arc<Found> {
    until(session, "the marks are fitted", |session| {
        let found = session.marking().unwrap().fresh();
        found.is_some_and(|found| found.fit.is_err() || found.take.is_some())
    });
    Arc::clone(session.marking().unwrap().fresh().unwrap())
}

#[test]
fn marks_placed_one_by_one_are_fitted_kept_taken_back_and_read_by_the_command_line() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let mut session = open(&[&shot.path]);
    let path = marks_beside(&shot.path);
    for mark in &shot.marks[..5] {
        put(session.marking().unwrap(), mark, DVec2::ZERO);
    }
    let told = known(&mut session).fit.clone().unwrap_err();
    assert!(
        told.contains("5 named points marked; a pose needs 6"),
        "{told}"
    );
    for mark in &shot.marks[5..] {
        put(session.marking().unwrap(), mark, DVec2::ZERO);
    }
    let found = known(&mut session);
    let take = found.take.as_ref().unwrap().as_ref().unwrap();
    // Marks are placed to a tenth of a pixel; of a frame 900 px across that is a few centimetres.
    assert!(away_m(take, &shot.stand) < 0.15, "{:?}", take.stand);
    until(&mut session, "the marks are kept", |session| {
        session.marking().unwrap().is_kept()
    });
    let room = room();
    let (model, zone) = (&room.scene.machine.shut, &room.scene.place.zone);
    let given = session.marking().unwrap().given.clone();
    assert_eq!(load(&path, model, zone).unwrap(), given);
    // A nudge moves the mark that was placed last, a tenth of a pixel at a time; all nudges in a row are one step.
    let marking = session.marking().unwrap();
    let last = marking.given.marks.len() - 1;
    for _ in 0..3 {
        marking.act(MarkCommand::NudgeRightFine);
    }
    let moved = marking.given.marks[last].at_px - given.marks[last].at_px;
    assert!((moved - DVec2::new(0.3, 0.0)).length() < 1e-9, "{moved}");
    marking.act(MarkCommand::Undo);
    assert_eq!(marking.given, given);
    marking.act(MarkCommand::Undo);
    assert_eq!(marking.given.marks.len(), last);
    marking.act(MarkCommand::Redo);
    assert_eq!(marking.given, given);
    // What is left when the page is left stands in the file.
    marking.choose(marking.marked()[0]);
    marking.act(MarkCommand::RemoveMark);
    drop(session);
    assert_eq!(load(&path, model, zone).unwrap().marks.len(), last);
}

#[test]
fn a_mismark_is_named_and_points_are_expected_where_they_are() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), false);
    let mut session = open(&[&shot.path]);
    let some: Vec<&Mark> = shot.marks.iter().step_by(2).collect();
    for (n, mark) in some.iter().enumerate() {
        let off = if n == 3 {
            DVec2::new(40.0, 5.0)
        } else {
            DVec2::ZERO
        };
        put(session.marking().unwrap(), mark, off);
    }
    let found = known(&mut session);
    let fit = found.fit.as_ref().unwrap();
    let named: Vec<&str> = fit.mismarked().map(|one| one.name.as_str()).collect();
    assert_eq!(named, [some[3].name.as_str()]);
    let marking = session.marking().unwrap();
    for mark in &shot.marks {
        let points = &marking.model.points;
        let point = points
            .iter()
            .position(|point| point.name == mark.name)
            .unwrap();
        let expected = marking.expected_px(point).unwrap();
        assert!(
            expected.distance(mark.at_px) < 3.0,
            "{}: {expected}",
            mark.name
        );
    }
    // What is on the far side is not asked for.
    let far = marking
        .model
        .points
        .iter()
        .position(|point| point.name == "deck_rear_left");
    let near = marking
        .model
        .points
        .iter()
        .position(|point| point.name == "deck_rear_right");
    assert_ne!(
        marking.is_seen(far.unwrap()),
        marking.is_seen(near.unwrap())
    );
    // From the mark that contradicts, the cross goes to where the others have its point; marked there, none does.
    let wrong = (marking.model.points.iter()).position(|point| point.name == some[3].name);
    marking.hold(wrong.unwrap());
    assert!(marking.cross_px.distance(some[3].at_px) > 30.0);
    marking.act(MarkCommand::ToExpected);
    assert!(marking.cross_px.distance(some[3].at_px) < 3.0);
    marking.act(MarkCommand::ToExpected);
    assert!(marking.cross_px.distance(some[3].at_px) > 30.0);
    marking.act(MarkCommand::ToExpected);
    marking.act(MarkCommand::TakePlace);
    let found = known(&mut session);
    assert_eq!(found.fit.as_ref().unwrap().mismarked().count(), 0);
}

#[test]
fn points_asked_for_lie_on_the_side_shown_at_both_ends_high_and_low() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let mut session = open(&[&shot.path]);
    let marking = session.marking().unwrap();
    let own = Corner::of(marking.room.eye(&shot.stand));
    assert_eq!(marking.corner(), own);
    let mut asked = vec![];
    for _ in 0..6 {
        asked.push(marking.point().position_m);
        marking.point_at(DVec2::new(10.0 + 30.0 * asked.len() as f64, 50.0));
        marking.place();
    }
    let span = |of: fn(&glam::DVec3) -> f64| {
        let all = asked.iter().map(of);
        all.clone().fold(f64::MIN, f64::max) - all.fold(f64::MAX, f64::min)
    };
    let length_m = marking.model.length_over_couplers_m();
    assert!(span(|at| at.x) > 0.8 * length_m && span(|at| at.z) > 2.0 && span(|at| at.y) > 1.0);
    let facing = asked
        .iter()
        .filter(|at| at.y * own.side.sign() > -0.3)
        .count();
    assert!(facing >= 5, "{asked:?}");
    marking.act(MarkCommand::OtherSide);
    assert_ne!(marking.corner().side, own.side);
    assert!(marking.point().position_m.y * own.side.sign() < 0.5);
    // Every point is in one group, and groups say end and side.
    let groups = groups(&marking.model);
    let count: usize = groups.iter().map(|group| group.points.len()).sum();
    assert_eq!(count, marking.model.points.len());
    assert!(
        groups
            .iter()
            .any(|group| group.words.ends_with(", left side")),
        "{groups:?}"
    );
    let right = Corner {
        head: true,
        side: Side::Right,
    };
    let point = &marking.model.points[groups[0].points[0]];
    assert!(
        marking
            .drawings
            .from(marking.drawings.showing(right, point))
            .unwrap()
            .sees(point.position_m)
    );
}

#[test]
fn points_of_one_plane_without_a_focal_length_are_refused_with_what_to_mark_instead() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), false);
    let mut session = open(&[&shot.path]);
    // The edges of deck and cab roof and the cab windows lie within centimetres of one upright plane.
    let is_flat = |mark: &&Mark| (mark.at_m.y.abs() - 1.51).abs() < 0.05;
    let flat: Vec<&Mark> = shot.marks.iter().filter(is_flat).collect();
    assert!(flat.len() >= 6, "{}", flat.len());
    for mark in &flat {
        put(session.marking().unwrap(), mark, DVec2::ZERO);
    }
    let told = known(&mut session).fit.clone().unwrap_err();
    assert!(told.contains("lie in one plane"), "{told}");
    // Said, the focal length tells them apart from a greater distance.
    let mut given = session.marking().unwrap().given.clone();
    given.focal_mm = Some(shot.stand.lens_mm);
    session
        .marking()
        .unwrap()
        .give(given, "Say what the photograph does not");
    let found = known(&mut session);
    let take = found.take.as_ref().expect("a pose").as_ref().unwrap();
    assert!(away_m(take, &shot.stand) < 1.0, "{:?}", take.stand);
}

#[test]
fn the_newest_marks_are_fitted_before_the_sheet_of_older_ones_is_there() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let mut session = open(&[&shot.path]);
    for mark in &shot.marks {
        put(session.marking().unwrap(), mark, DVec2::ZERO);
    }
    let is_fitted = |session: &mut Session| {
        let fresh = session.marking().unwrap().fresh();
        fresh.is_some_and(|found| found.fit.is_ok())
    };
    until(&mut session, "the marks are fitted", is_fitted);
    let mut overtook = 0;
    for _ in 0..5 {
        session.marking().unwrap().act(MarkCommand::NudgeRightFine);
        until(&mut session, "the newest are fitted", is_fitted);
        let found = session.marking().unwrap().found.clone().unwrap();
        overtook += usize::from(found.take.is_none());
    }
    // The sheet takes many times as long as the fit: the last one alone is waited for.
    assert!(overtook >= 4, "{overtook} of 5");
    assert!(known(&mut session).take.is_some());
}

#[test]
fn the_cross_steps_coarsely_and_goes_from_point_to_point() {
    let folder = TempDir::new().unwrap();
    let shot = shot(folder.path(), true);
    let mut session = open(&[&shot.path]);
    let marking = session.marking().unwrap();
    marking.point_at(DVec2::new(300.0, 200.0));
    marking.place();
    let first = marking.given.clone();
    // Coarse steps let go of the mark that was placed.
    for command in [
        MarkCommand::CrossRightCoarse,
        MarkCommand::CrossDownFar,
        MarkCommand::NudgeLeft,
        MarkCommand::NudgeUpFine,
    ] {
        marking.act(command);
    }
    assert_eq!(marking.given, first);
    let moved = marking.cross_px - DVec2::new(300.0, 200.0);
    assert!((moved - DVec2::new(9.0, 99.9)).length() < 1e-9, "{moved}");
    marking.act(MarkCommand::ToExpected);
    let told = marking.told.clone().unwrap().unwrap_err();
    assert!(
        told.contains("known once 6 points are marked (1 so far)"),
        "{told}"
    );
    marking.act(MarkCommand::RemoveMark);
    for mark in shot.marks.iter().step_by(2) {
        put(marking, mark, DVec2::ZERO);
    }
    let marks = marking.given.marks.len();
    known(&mut session);
    // To a marked point the cross goes with its mark in hand, to another one where it is expected.
    let marking = session.marking().unwrap();
    let (mut marked, mut expected) = (0, 0);
    for _ in 0..marking.model.points.len() {
        marking.act(MarkCommand::NextPoint);
        let place = match marking.mark_of(marking.chosen) {
            Some(mark) => {
                marked += 1;
                assert_eq!(marking.held(), Some(marking.chosen));
                mark.at_px
            }
            None => {
                expected += 1;
                assert_eq!(marking.held(), None);
                marking.expected_px(marking.chosen).unwrap()
            }
        };
        assert!(marking.cross_px.distance(place) < 1e-9);
    }
    assert!(marked >= 4 && expected >= 4, "{marked}, {expected}");
    assert_eq!(marking.given.marks.len(), marks);
}
