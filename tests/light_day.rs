//! The light of a day: its changes as `grade` has them, sun heights as an almanac has them, days of other lengths.
//! May not enter: how a frame is graded, the command.

use crate::thumb_site::{Site, ZONE};
use chrono::{DateTime, Duration, NaiveDate, Timelike, Utc};
use std::path::Path;
use std::sync::atomic::AtomicBool;
use sunside::grade::{Grade, Rulebook, Studio, Verdict};
use sunside::plan::day::{Day, NoDay, day, day_in_parts, grade_of};
use sunside::plan::request::Watch;
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sky::events::DayState;
use tempfile::TempDir;

const AT: &str = "2027-05-14 10:00";

fn followed<T>(text: &str, date: &str, check: impl FnOnce(&Studio, Result<Day, NoDay>) -> T) -> T {
    let dir = TempDir::new().unwrap();
    let path = dir.path().join("site.toml");
    std::fs::write(&path, text).unwrap();
    let scene = Scene::load(&path).unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let cancel = AtomicBool::new(false);
    let watch = Watch {
        cancel: &cancel,
        told: &|_, _| {},
    };
    let date: NaiveDate = date.parse().unwrap();
    let found = day(&studio, &studio.default_stand(), date, 60, &watch);
    check(&studio, found)
}

/// The box machine is small, its siding has a pole west of it: its shadow crosses in the afternoon.
pub fn box_siding() -> String {
    let text = std::fs::read_to_string("tests/scenes/box_siding.toml").unwrap();
    let model = std::fs::canonicalize("tests/models/box_machine.toml").unwrap();
    let text = text.replace("../models/box_machine.toml", model.to_str().unwrap());
    text.replace("position_m = [-12, 30]", "position_m = [14, -3]")
}

#[test]
fn every_change_of_every_lane_is_what_grade_says_at_that_minute_and_not_the_one_before() {
    followed(&box_siding(), "2027-05-14", |studio, found| {
        let found = found.unwrap();
        let (stand, capture) = (studio.default_stand(), studio.default_capture());
        let sheet = |at: DateTime<Utc>| studio.grade(&stand, &capture, &studio.minute(at)).sheet;
        let mut changes = 0;
        for lane in &found.lanes {
            for pair in lane.runs.windows(2) {
                assert_eq!(pair[0].to, pair[1].from);
                assert_ne!(pair[0].what, pair[1].what);
                let before = sheet(pair[1].from - Duration::minutes(1));
                let after = sheet(pair[1].from);
                assert_eq!(
                    grade_of(&before, &lane.fault),
                    pair[0].what,
                    "{}",
                    lane.fault.key
                );
                assert_eq!(
                    grade_of(&after, &lane.fault),
                    pair[1].what,
                    "{}",
                    lane.fault.key
                );
                changes += 1;
            }
        }
        for pair in found.verdict.windows(2) {
            assert_eq!(
                sheet(pair[1].from - Duration::minutes(1)).verdict,
                pair[0].what
            );
            assert_eq!(sheet(pair[1].from).verdict, pair[1].what);
            changes += 1;
        }
        assert!(changes > 8, "{changes} changes");
        let shaded = found
            .lanes
            .iter()
            .find(|lane| lane.fault.key == "foreign_shadow")
            .unwrap();
        assert!(
            shaded.runs.iter().any(|run| run.what > Grade::Clean),
            "{shaded:?}"
        );
        // The runs fill the day, and where any lane is ruinous the frame is lost.
        let (first, last) = found.span().unwrap();
        for lane in &found.lanes {
            assert_eq!(
                (lane.runs[0].from, lane.runs.last().unwrap().to),
                (first, last)
            );
            for run in lane.runs.iter().filter(|run| run.what == Grade::Ruinous) {
                let inside =
                    |look: &&sunside::plan::day::Look| (run.from..run.to).contains(&look.at);
                assert!(
                    found
                        .looks
                        .iter()
                        .filter(inside)
                        .all(|l| l.sheet.verdict == Verdict::Lost)
                );
            }
        }
    });
}

/// The sun's elevation by the low-precision formulas of the Astronomical Almanac (page C5; 0.01° in 1950–2050),
/// with Bennett's refraction (1982).
fn almanac_elevation_deg(at: DateTime<Utc>, lat_deg: f64, lon_deg: f64) -> f64 {
    let days = (at.timestamp() as f64 - 946_728_000.0) / 86_400.0; // since J2000.0
    let anomaly = (357.528 + 0.985_600_3 * days).to_radians();
    let longitude =
        280.460 + 0.985_647_4 * days + 1.915 * anomaly.sin() + 0.020 * (2.0 * anomaly).sin();
    let (longitude, tilt) = (
        longitude.to_radians(),
        (23.439 - 0.000_000_4 * days).to_radians(),
    );
    let right_ascension = (tilt.cos() * longitude.sin()).atan2(longitude.cos());
    let declination = (tilt.sin() * longitude.sin()).asin();
    // Greenwich mean sidereal time, degrees.
    let sidereal = 280.460_618 + 360.985_647_366 * days;
    let hour_angle = (sidereal + lon_deg).to_radians() - right_ascension;
    let lat = lat_deg.to_radians();
    let sin = lat.sin() * declination.sin() + lat.cos() * declination.cos() * hour_angle.cos();
    let elevation = sin.asin().to_degrees();
    elevation + 1.0 / (elevation + 7.31 / (elevation + 4.4)).to_radians().tan() / 60.0
}

/// The rulebook's limits on the sun's elevation: marked below 15°, slight below 22°, ruinous below 8°.
#[test]
fn in_the_morning_the_lane_of_sun_height_changes_when_the_almanac_s_sun_has_risen_so_high() {
    followed(&box_siding(), "2027-05-14", |studio, found| {
        let found = found.unwrap();
        let lane = found
            .lanes
            .iter()
            .find(|lane| lane.fault.key == "sun_height")
            .unwrap();
        let grades: Vec<Grade> = lane.runs.iter().take(4).map(|run| run.what).collect();
        assert_eq!(
            grades,
            [Grade::Ruinous, Grade::Marked, Grade::Slight, Grade::Clean]
        );
        let observer = &studio.scene.place.observer;
        for (run, limit_deg) in lane.runs[1..4].iter().zip([8.0, 15.0, 22.0]) {
            let at = |minutes| {
                let at = run.from + Duration::minutes(minutes);
                almanac_elevation_deg(at, observer.lat_deg, observer.lon_deg)
            };
            // 0.19° a minute there; the almanac is good to 0.02°.
            assert!(
                at(-1) < limit_deg + 0.02 && at(0) > limit_deg - 0.02,
                "{limit_deg}: {} {}",
                at(-1),
                at(0)
            );
        }
    });
}

/// Svalbard sets its clocks as the European Union does: on the last Sundays of March and October.
pub fn far_north() -> String {
    let mut site = Site::facing(120.0, "2027-06-21 12:00");
    site.lat_deg = 88.0;
    site.text().replace(ZONE, "Arctic/Longyearbyen")
}

#[test]
fn a_polar_day_of_23_hours_is_told_whole_and_its_jump_is_named() {
    followed(&far_north(), "2027-03-28", |studio, found| {
        let found = found.unwrap();
        assert_eq!(found.state, DayState::PolarDay);
        let (first, last) = found.span().unwrap();
        assert_eq!((last - first).num_hours(), 23);
        let jumps = found.clock_jumps(studio);
        assert_eq!(jumps.len(), 1);
        assert_eq!(jumps[0].1, 60);
        let clock = studio.scene.place.zone.local(jumps[0].0).naive.time();
        assert_eq!((clock.hour(), clock.minute()), (3, 0));
        // Rows at whole hours: 23 of the day's own and the next midnight, 02:00 not among them.
        let rows = found
            .looks
            .iter()
            .filter(|look| sunside::plan::day::is_row(studio, look.at, 60));
        let hours: Vec<u32> = rows
            .map(|look| studio.scene.place.zone.local(look.at).naive.hour())
            .collect();
        let mut expected: Vec<u32> = (0..24).filter(|hour| *hour != 2).collect();
        expected.push(0);
        assert_eq!(hours, expected);
    });
}

#[test]
fn a_polar_night_of_25_hours_is_lost_from_end_to_end() {
    followed(&far_north(), "2027-10-31", |_, found| {
        let found = found.unwrap();
        assert_eq!(found.state, DayState::PolarNight);
        let (first, last) = found.span().unwrap();
        assert_eq!((last - first).num_hours(), 25);
        assert_eq!(found.verdict.len(), 1);
        assert_eq!(found.verdict[0].what, Verdict::Lost);
    });
}

/// Samoa went over the date line at the end of 29 December 2011: the 30th was left out (IANA tz database).
#[test]
fn a_day_that_the_calendar_left_out_is_an_error() {
    let text = Site::facing(120.0, AT).text().replace(ZONE, "Pacific/Apia");
    followed(&text, "2011-12-30", |_, found| {
        let said = found.unwrap_err().to_string();
        assert!(
            said.contains("2011-12-30") && said.contains("Pacific/Apia"),
            "{said}"
        );
    });
}

#[test]
fn a_day_that_is_stopped_says_so() {
    let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let cancel = AtomicBool::new(true);
    let watch = Watch {
        cancel: &cancel,
        told: &|_, _| {},
    };
    let date = "2027-05-14".parse().unwrap();
    let stopped = day(&studio, &studio.default_stand(), date, 60, &watch).unwrap_err();
    assert!(matches!(stopped, NoDay::Cancelled(_)));
    assert!(
        stopped.to_string().contains("nothing was written"),
        "{stopped}"
    );
}

#[test]
fn in_parts_the_day_comes_roughly_first_and_ends_with_the_same_changes() {
    followed(&box_siding(), "2027-05-14", |studio, found| {
        let found = found.unwrap();
        let (stand, capture) = (studio.default_stand(), studio.default_capture());
        let cancel = AtomicBool::new(false);
        let watch = Watch {
            cancel: &cancel,
            told: &|_, _| {},
        };
        let mut parts = Vec::new();
        let last = day_in_parts(studio, &stand, &capture, found.date, &watch, &mut |part| {
            parts.push((part.is_proved, part.looks.len()));
        });
        let last = last.unwrap();
        assert!(found.is_proved && last.is_proved);
        assert!(
            matches!(parts[..], [(false, few), (false, more)] if few < more),
            "{parts:?}"
        );
        assert!(last.looks.len() < found.looks.len());
        let changes = |day: &Day| -> Vec<(DateTime<Utc>, Verdict)> {
            day.verdict.iter().map(|run| (run.from, run.what)).collect()
        };
        assert_eq!(changes(&last), changes(&found));
        for (a, b) in last.lanes.iter().zip(&found.lanes) {
            let runs = |lane: &sunside::plan::day::Lane| -> Vec<(DateTime<Utc>, Grade)> {
                lane.runs.iter().map(|run| (run.from, run.what)).collect()
            };
            assert_eq!(runs(a), runs(b), "{}", a.fault.key);
        }
        cancel.store(true, std::sync::atomic::Ordering::Relaxed);
        let stopped = day_in_parts(studio, &stand, &capture, found.date, &watch, &mut |_| {});
        assert!(matches!(stopped, Err(NoDay::Cancelled(_))));
    });
}
