//! What the further shipped sites teach: shade that lasts a whole season, the sun in the north, days without
//! night and without day. May not enter: pictures.

use super::plan_site::request;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use sunside::grade::{Rulebook, Studio, Verdict};
use sunside::plan::request::Watch;
use sunside::plan::survey::{Look, Survey, survey};
use sunside::plan::why::why;
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::shown::Side;

const MUSEUM: &str = "scenes/hemlock_museum.toml";
const SOUTHERN: &str = "scenes/poplar_elevator.toml";
const ARCTIC: &str = "scenes/birch_fell_yard.toml";

fn scene(file: &str) -> Scene {
    Scene::load(Path::new(file)).unwrap_or_else(|problems| panic!("{problems}"))
}

/// Looks at a range of days every so many minutes, with what is lost, and hands both to `test`.
fn surveyed(file: &str, from: &str, to: &str, every_min: u32, test: impl FnOnce(&Studio, Survey)) {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene(file), &book, &cpu, None);
    let watch = Watch {
        cancel: &AtomicBool::new(false),
        told: &|_, _| {},
    };
    let request = request(from, to, every_min);
    let found = survey(&studio, &request, Look::LEAST_BAD, &watch).expect("nobody cancels");
    test(&studio, found);
}

#[test]
fn every_shipped_frame_is_good_or_better_at_its_own_minute() {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    for entry in std::fs::read_dir("scenes").unwrap() {
        let file = entry.unwrap().path();
        let scene = Scene::load(&file).unwrap_or_else(|problems| panic!("{problems}"));
        let at = scene.frame.at.expect("a shipped frame has its minute");
        let studio = Studio::new(scene, &book, &cpu, None);
        let stand = studio.default_stand();
        let sheet = studio
            .grade(&stand, &studio.default_capture(), &studio.minute(at))
            .sheet;
        assert!(
            sheet.verdict >= Verdict::Good,
            "{}: {:?}",
            file.display(),
            sheet.findings
        );
    }
}

#[test]
fn under_the_hemlocks_a_whole_winter_has_no_frame_and_shade_is_the_reason() {
    let place = scene(MUSEUM).place;
    assert!((35.0..50.0).contains(&place.observer.lat_deg));
    assert_eq!(scene(MUSEUM).machine.track_bearing_deg, 90.0);
    surveyed(MUSEUM, "2027-11-01", "2028-01-31", 180, |studio, found| {
        assert_eq!(found.fair_min, [0; 3], "some hour is fair");
        let reasons = why(studio, &found, 180);
        let south = reasons.iter().find(|why| why.side == Side::Right).unwrap();
        assert!((south.side_bearing_deg - 180.0).abs() < 1e-9);
        let (fault, hours) = &south.binds[0];
        assert_eq!(fault, "foreign shadow");
        assert!(*hours > 0.95 * south.sun_h, "{south:?}");
    });
}

#[test]
fn south_of_the_equator_the_northern_side_is_lit_and_june_is_the_better_half_of_the_year() {
    assert!(scene(SOUTHERN).place.observer.lat_deg < -20.0);
    let mut good = [0; 2];
    for (slot, month) in good.iter_mut().zip(["06", "12"]) {
        let day = |day| format!("2027-{month}-{day}");
        surveyed(SOUTHERN, &day("20"), &day("21"), 30, |studio, found| {
            let side_deg =
                studio.scene.machine.forward_bearing_deg() - 90.0 * found.better_side().sign();
            let north = side_deg.to_radians().cos();
            assert!(
                month == "12" || north > 0.5,
                "the lit side faces {side_deg}"
            );
            *slot = found.good_min[2];
        });
    }
    assert!(good[0] > 2 * good[1] && good[0] >= 300, "{good:?}");
}

#[test]
fn beyond_the_arctic_circle_summer_has_no_night_and_midwinter_no_day() {
    assert!(scene(ARCTIC).place.observer.lat_deg > 66.6);
    surveyed(ARCTIC, "2027-06-21", "2027-06-21", 60, |_, found| {
        assert_eq!(found.best.len(), 24, "the sun is up around the clock");
        assert!(found.good_min[2] >= 240, "{:?}", found.good_min);
    });
    surveyed(ARCTIC, "2027-12-21", "2027-12-21", 60, |_, found| {
        assert!(found.best.is_empty(), "the sun does not rise");
    });
}
