//! Rule of thumb: on a north–south track at 40° N a machine that heads north is never lit clean. Common
//! practice, from memory; the scan goes through the library, single hours through the command line.
//! May not enter: other tracks.

use crate::thumb_site::{Site, ZONE};
use rayon::prelude::*;
use std::path::Path;
use sunside::document::Document;
use sunside::grade::rulebook::Group;
use sunside::grade::sheet::FaultResult;
use sunside::grade::{Grade, Rulebook, Stand, Studio};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sky::clock::Zone;

const DATES: [&str; 5] = [
    "2027-01-15",
    "2027-03-21",
    "2027-05-10",
    "2027-06-21",
    "2027-09-10",
];

/// Frames, both sides, every half hour on every date, whose light is clean (but for the photographer's own
/// shadow, which has nothing to do with how the machine is lit).
fn clean_hours(nose_bearing_deg: f64) -> (usize, Vec<String>) {
    let site = Site::facing(nose_bearing_deg, "2027-05-10 12:00");
    let text = site.text();
    let scene = Scene::read(
        Document::parse("site.toml", text.as_bytes()),
        Path::new("site.toml"),
    )
    .unwrap_or_else(|problems| panic!("{problems}"));
    let rulebook = Rulebook::roster();
    let cpu = Cpu::default();
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let capture = studio.default_capture();
    let stands = [-50.0, -30.0, 30.0, 50.0].map(|off_nose_deg| {
        let mut stand = Stand {
            spot_m: site.spot(off_nose_deg, 29.0),
            ..studio.default_stand()
        };
        stand.heading_deg = studio.balanced_heading_deg(&stand);
        let composed = studio.compose(&stand, &capture, &rulebook.search, 170.0);
        assert!(composed.eye.is_some());
        (off_nose_deg, composed)
    });
    let zone = Zone::named(ZONE).unwrap();
    let times: Vec<String> = DATES
        .iter()
        .flat_map(|date| {
            (10..42).map(move |half| format!("{date} {}:{:02}", half / 2, half % 2 * 30))
        })
        .collect();
    let clean: Vec<Vec<String>> = times
        .par_iter()
        .map(|time| {
            let minute = studio.minute_at_size(zone.parse_instant(time).unwrap(), &rulebook.search);
            let mut clean = vec![];
            for (off_nose_deg, composed) in &stands {
                let sheet = studio.grade_at(composed, &minute).sheet;
                let unclean = |one: &FaultResult| {
                    let light = one.group == Group::Light && one.fault != "own_shadow";
                    light && one.grade != Grade::Clean
                };
                if !sheet.faults.iter().any(unclean) {
                    clean.push(format!("{time} from {off_nose_deg}°"));
                }
            }
            clean
        })
        .collect();
    (times.len() * stands.len(), clean.concat())
}

#[test]
fn on_a_north_south_track_no_hour_is_clean_for_a_machine_that_heads_north() {
    let (tried, clean) = clean_hours(0.0);
    assert_eq!(tried, 640);
    assert_eq!(clean, Vec::<String>::new());
    // Twin: turned about it has clean hours, on both sides.
    let (_, clean) = clean_hours(180.0);
    for side in ["from -", "from 3"] {
        let found = clean.iter().any(|one| one.contains(side));
        assert!(found, "{clean:?}");
    }
}

#[test]
fn the_command_line_says_the_same_of_single_hours() {
    for (off_nose_deg, at) in [(40.0, "2027-06-21 09:30"), (-40.0, "2027-06-21 17:30")] {
        let north = Site::facing(0.0, at);
        let frame = north.grade_from(off_nose_deg, 29.0, &[]);
        assert_ne!(frame.findings("light"), Vec::<String>::new(), "{at}");
    }
    // Twin: the nose to the south, its left side to the morning.
    let south = Site::facing(180.0, "2027-03-21 11:00");
    let frame = south.grade_from(-45.0, 29.0, &[]);
    assert_eq!(frame.findings("light"), Vec::<String>::new());
}
