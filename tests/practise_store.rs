//! Progress on disk: what is added is read again, whatever else was there; a damaged file is kept aside and told; a
//! newer one is left alone; a full disk loses nothing. May not enter: frames.

use proptest::prelude::*;
use std::fs;
use sunside::grade::Rulebook;
use sunside::practise::fault::FaultKind;
use sunside::practise::progress::{Drill, MOST_ROUNDS, Progress, Round};
use sunside::practise::store::Store;
use sunside::practise::words;
use sunside::units::Units;
use tempfile::TempDir;

fn round(kind: Option<FaultKind>, degree: f64, named: bool) -> Round {
    Round {
        drill: Drill::Spot,
        planted: kind.map(|kind| kind.key().into()),
        degree: kind.map(|_| degree),
        named: named
            .then(|| FaultKind::Roll.key().into())
            .into_iter()
            .collect(),
        moves: None,
        late_min: None,
        points: 1.5,
    }
}

fn any_round() -> impl Strategy<Value = Round> {
    let kind = prop::option::of(0..FaultKind::ALL.len());
    let drill = prop::sample::select(Drill::ALL.to_vec());
    let named = prop::collection::vec(0..FaultKind::ALL.len(), 0..4);
    let rest = (
        prop::option::of(-1440.0..1440.0),
        0.0..3.0,
        any::<Option<[u32; 2]>>(),
    );
    (drill, kind, 0.01f64..1e4, named, rest).prop_map(|(drill, kind, degree, named, rest)| {
        let key = |i: usize| FaultKind::ALL[i].key().to_string();
        Round {
            drill,
            planted: kind.map(key),
            degree: kind.map(|_| degree),
            named: named.into_iter().map(key).collect(),
            moves: rest.2,
            late_min: rest.0,
            points: rest.1,
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn what_is_added_by_turns_is_read_again_in_order(
        first in prop::collection::vec(any_round(), 0..12),
        second in prop::collection::vec(any_round(), 0..12),
    ) {
        let folder = TempDir::new().unwrap();
        let deep = folder.path().join("not/there/yet");
        let (one, other) = (Store::within(&deep), Store::within(&deep));
        one.add(&first).unwrap();
        other.add(&second).unwrap();
        let (progress, told) = one.load();
        prop_assert_eq!(told, None);
        let both: Vec<Round> = first.into_iter().chain(second).collect();
        prop_assert_eq!(progress.rounds, both);
    }

    #[test]
    fn whatever_bytes_are_there_nothing_panics_and_they_are_never_lost(
        rounds in prop::collection::vec(any_round(), 1..5),
        cut in 0.0f64..1.0,
        garbage in prop::collection::vec(any::<u8>(), 0..40),
    ) {
        let folder = TempDir::new().unwrap();
        let store = Store::within(folder.path());
        store.add(&rounds).unwrap();
        let file = store.file().unwrap().to_path_buf();
        let mut bytes = fs::read(&file).unwrap();
        bytes.truncate((cut * bytes.len() as f64) as usize);
        bytes.extend(garbage);
        fs::write(&file, &bytes).unwrap();
        let (progress, told) = store.load();
        let is_sound = told.is_none();
        if !is_sound {
            prop_assert_eq!(progress, Progress::default());
        }
        let added = store.add(&rounds);
        // Either it was sound and is added to, or its bytes lie beside it or where they were.
        let found = fs::read_dir(folder.path()).unwrap().flatten();
        let kept = found.into_iter().any(|entry| fs::read(entry.path()).unwrap() == bytes);
        prop_assert!(is_sound || kept);
        if added.is_ok() {
            let (after, told) = store.load();
            prop_assert_eq!(told, None);
            prop_assert!(after.rounds.ends_with(&rounds));
        }
    }
}

/// Found by the property above: a reader of numbers that rounds its last bit makes another round of this one.
#[test]
fn numbers_come_back_to_the_last_bit() {
    let folder = TempDir::new().unwrap();
    let store = Store::within(folder.path());
    let mut odd = round(None, 0.0, false);
    odd.points = 1.0539312192158155;
    store.add(std::slice::from_ref(&odd)).unwrap();
    assert_eq!(store.load().0.rounds, [odd]);
}

#[test]
fn a_damaged_file_is_told_with_its_place_and_kept_aside_each_time() {
    let folder = TempDir::new().unwrap();
    let store = Store::within(folder.path());
    let file = folder.path().join("practice.json");
    for (broken, says) in [
        (
            "{\"version\":1,\"rounds\":[\n{\"drill\":\"spott\",\"points\":1}\n]}",
            "practice.json:2:16",
        ),
        (
            "{\"version\":1,\"rounds\":[\n{\"drill\":\"spot\",\"points\":9}\n]}",
            "round 1: points 9 found, 0 to 3",
        ),
        (
            "{\"version\":1,\"rounds\":[\n{\"drill\":\"spot\",\"planted\":\"rol\",\"points\":1}\n]}",
            "\"rol\"",
        ),
        ("", "practice.json:1:0"),
    ] {
        fs::write(&file, broken).unwrap();
        let (progress, told) = store.load();
        let told = told.unwrap();
        assert_eq!(progress, Progress::default());
        assert!(told.contains(says) && told.contains("damaged"), "{told}");
        store.add(&[round(None, 1.0, false)]).unwrap();
        let (after, told) = store.load();
        assert_eq!((after.rounds.len(), told), (1, None));
    }
    let aside = fs::read_dir(folder.path()).unwrap().flatten();
    let aside = aside.filter(|entry| entry.path().display().to_string().contains("damaged"));
    assert_eq!(aside.count(), 4);
}

#[test]
fn a_newer_programs_file_is_left_as_it_is() {
    let folder = TempDir::new().unwrap();
    let store = Store::within(folder.path());
    let newer = "{\"version\":2,\"rounds\":[],\"eyes\":\"two\"}";
    fs::write(store.file().unwrap(), newer).unwrap();
    let (progress, told) = store.load();
    assert_eq!(progress, Progress::default());
    assert!(told.unwrap().contains("version 2 found, 1 allowed"));
    let error = store.add(&[round(None, 1.0, false)]).unwrap_err();
    assert!(error.contains("version 2"), "{error}");
    assert!(store.export(&folder.path().join("out.json")).is_err());
    assert_eq!(fs::read_to_string(store.file().unwrap()).unwrap(), newer);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn it_is_exported_as_it_is_erased_when_asked_and_an_unwritable_place_is_told() {
    let folder = TempDir::new().unwrap();
    let store = Store::within(folder.path());
    let out = folder.path().join("mine.json");
    assert_eq!(store.export(&out), Ok(0));
    store
        .add(&[round(Some(FaultKind::Roll), 2.0, true)])
        .unwrap();
    assert_eq!(store.export(&out), Ok(1));
    assert_eq!(
        fs::read(&out).unwrap(),
        fs::read(store.file().unwrap()).unwrap()
    );
    assert_eq!(store.erase(), Ok(true));
    assert_eq!(store.erase(), Ok(false));
    assert_eq!(store.load(), (Progress::default(), None));
    // A folder that cannot be made: its place is taken by a file.
    let blocked = Store::within(&out.join("below"));
    let error = blocked.add(&[round(None, 1.0, false)]).unwrap_err();
    assert!(
        error.contains("progress is not kept") && error.contains("below"),
        "{error}"
    );
    let full = "/dev/full";
    if fs::metadata(full).is_ok() {
        assert!(
            store.export(std::path::Path::new(full)).is_err(),
            "a full disk is told"
        );
    }
}

#[test]
fn only_the_latest_rounds_are_kept_and_what_they_tell_is_told_plainly() {
    let mut progress = Progress::default();
    for n in 0..MOST_ROUNDS + 5 {
        progress.add(round(None, 1.0, n % 10 == 0));
    }
    assert_eq!(progress.rounds.len(), MOST_ROUNDS);
    let mut progress = Progress::default();
    for _ in 0..6 {
        progress.add(round(None, 1.0, false));
        for (degree, seen) in [
            (1.2, false),
            (1.5, true),
            (1.7, true),
            (2.0, true),
            (1.3, false),
        ] {
            progress.add(round(Some(FaultKind::Roll), degree, seen));
        }
    }
    let told = progress.of(FaultKind::Roll);
    assert_eq!(
        (told.trials.len(), told.false_alarms, told.clean_frames),
        (30, 0, 6)
    );
    let text = words::progress(&Rulebook::roster(), &progress, Units::Metric);
    assert!(
        text.contains("You see a roll of 0.8° three times in four; the rule says 0.5°."),
        "{text}"
    );
    assert!(text.contains("Named in 18 of 30 frames."), "{text}");
    // A fault named in nearly every clean frame is guessed, not seen.
    let mut guesses = progress.clone();
    (0..60).for_each(|_| guesses.add(round(None, 1.0, true)));
    assert!(guesses.of(FaultKind::Roll).false_alarms == 60);
}
