//! Each reason of "what would free it" on a made-up site on which only that change frees a frame. May not
//! enter: sites that ship.

use super::plan_site::{Site, planned, rectangle, request};
use sunside::grade::Rulebook;
use sunside::plan::Plan;
use sunside::plan::why::Why;
use sunside::sighting::cpu::Cpu;

/// Plans one day and gives the changes that would free it.
fn freed_by(site: &Site, date: &str) -> Vec<String> {
    freed_and_bound_by(site, date).0
}

/// The same, and what binds most on the left and the right side, with its share of the hours; none where a side
/// is never shown.
fn freed_and_bound_by(site: &Site, date: &str) -> (Vec<String>, Vec<Option<(String, f64)>>) {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let Plan {
        answers,
        freeing,
        least_bad,
        why,
        ..
    } = planned(&site.scene(), &book, &cpu, &request(date, date, 20));
    assert!(answers.is_empty(), "something is fair already");
    assert!(least_bad.is_some(), "the least bad frame is missing");
    for side in &why {
        // Nothing is fair, so every hour has something that binds, or the side is never shown.
        let hours: f64 = side.binds.iter().map(|(_, hours)| hours).sum();
        assert!(
            side.binds.is_empty() || hours > side.sun_h - 1e-9,
            "{side:?}"
        );
        assert!(
            side.binds.iter().all(|(_, hours)| *hours <= side.sun_h),
            "{side:?}"
        );
    }
    for change in &freeing {
        println!("{}: {}", change.change, change.sentence);
    }
    let most = |why: &Why| {
        let (fault, hours) = why.binds.first()?;
        Some((fault.clone(), hours / why.sun_h))
    };
    let changes = freeing.into_iter().map(|one| one.change).collect();
    (changes, why.iter().map(most).collect())
}

/// Ground east of a machine that heads south: the morning's good spots are in it.
fn good_ground() -> Vec<[f64; 2]> {
    rectangle(20.0, -26.0, 24.0, -22.0)
}

#[test]
fn the_other_end_leading() {
    let site = Site {
        head_end: "first",
        ground_m: good_ground(),
        ..Site::default()
    };
    let changes = freed_by(&site, "2027-04-05");
    assert_eq!(changes, ["the other end leading"]);
}

#[test]
fn another_lens() {
    let site = Site {
        lenses_mm: vec![300.0],
        ground_m: good_ground(),
        ..Site::default()
    };
    let changes = freed_by(&site, "2027-04-05");
    assert_eq!(changes, ["another lens"]);
}

#[test]
fn uncoupling() {
    let site = Site {
        machine: "coupled_front = \"boxcar\"",
        ground_m: good_ground(),
        ..Site::default()
    };
    let changes = freed_by(&site, "2027-04-05");
    assert_eq!(changes, ["nothing coupled to it"]);
}

#[test]
fn a_clear_sky() {
    let site = Site {
        sky: "overcast",
        ground_m: good_ground(),
        ..Site::default()
    };
    let (changes, bound) = freed_and_bound_by(&site, "2027-04-05");
    assert_eq!(changes, ["a clear sky"]);
    // The ground lies east of a machine that heads south: its right side is never shown.
    assert_eq!(bound, [Some(("clarity".to_string(), 1.0)), None]);
}

#[test]
fn ground_on_the_other_side_of_the_track() {
    // The head end points east, the ground lies to the north, where hills take the sun whenever it shines
    // on that side.
    let site = Site {
        track_m: [[-100.0, 0.0], [100.0, 0.0]],
        ground_m: rectangle(22.0, 20.0, 26.0, 24.0),
        more: "[horizon]\nprofile_deg = [[0, 60], [95, 60], [96, 0], [264, 0], [265, 60], [359, 60]]",
        ..Site::default()
    };
    let changes = freed_by(&site, "2027-04-05");
    assert_eq!(changes, ["ground on the other side of the track"]);
}

#[test]
fn more_ground() {
    // Abeam of the machine, a stone's throw from it: no lens, end, side or month mends the view.
    let site = Site {
        ground_m: rectangle(13.0, -0.8, 15.0, 0.8),
        ..Site::default()
    };
    let changes = freed_by(&site, "2027-04-05");
    assert_eq!(changes, ["more ground"]);
}

#[test]
fn another_month() {
    // 61° N at the winter solstice: the noon sun stands 5.6° high.
    let site = Site {
        track_m: [[-100.0, 0.0], [100.0, 0.0]],
        ground_m: rectangle(22.0, -24.0, 26.0, -20.0),
        lat_deg: 61.0,
        ..Site::default()
    };
    let (changes, bound) = freed_and_bound_by(&site, "2027-12-21");
    // The ground lies south of a machine that heads east: its left side is never shown.
    assert_eq!(bound, [None, Some(("sun height".to_string(), 1.0))]);
    assert_eq!(changes.len(), 1, "{changes:?}");
    assert!(changes[0].starts_with("another month: "), "{changes:?}");
}
