//! Every measure is answered for every shipped scene, whatever the eye: the scene's own, one inside the machine,
//! behind it, above it, turned away, by night. May not enter: what each answer shows (see `culprits_site`).

use chrono::Duration;
use glam::DVec2;
use std::path::Path;
use sunside::grade::{Culprits, Form, MeasureId, Rulebook, Stand, Studio, WIDEST_GRADED_DEG};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

/// Small: places and counts do not depend on it.
const WIDTH_PX: usize = 160;

const SCENES: [&str; 5] = [
    "birch_fell_yard",
    "crowded_shop",
    "hemlock_museum",
    "open_siding",
    "poplar_elevator",
];

#[track_caller]
fn sound(found: &Culprits, what: &str) {
    let size = found.mask.width * found.mask.height;
    assert_eq!(found.mask.values.len(), size, "{what}");
    let places = found.marks.iter().flat_map(|mark| &mark.points);
    for [u, v] in places.chain(&found.anchor) {
        assert!(
            (0.0..=1.0).contains(u) && (0.0..=1.0).contains(v),
            "{what}: {u} {v}"
        );
    }
    for mark in &found.marks {
        let least = if mark.form == Form::Area { 3 } else { 2 };
        assert!(mark.points.len() >= least, "{what}");
    }
    let empty = found.mask.is_empty() && found.marks.is_empty();
    assert_eq!(
        found.nothing.is_some(),
        empty,
        "{what}: {:?}",
        found.nothing
    );
    assert!(!empty || found.anchor.is_none(), "{what}");
    if let Some(why) = &found.nothing {
        assert!(why.len() > 10, "{what}: {why}");
    }
}

/// Stands that nobody should take, beside the scene's own.
fn stands(studio: &Studio) -> Vec<(&'static str, Stand)> {
    let own = studio.default_stand();
    let centre_m = studio.scene.machine.centre_m;
    let at = |spot_m: DVec2, height_m: f64| {
        let mut stand = Stand {
            spot_m,
            height_m,
            ..own
        };
        stand.heading_deg = studio.balanced_heading_deg(&stand);
        stand
    };
    let opposite = centre_m * 2.0 - own.spot_m;
    vec![
        ("own", own),
        ("inside the machine", at(centre_m, 2.0)),
        (
            "beside the machine",
            at(centre_m + DVec2::new(2.2, 1.0), 1.6),
        ),
        ("the other side", at(opposite, 1.6)),
        (
            "from above",
            Stand {
                pitch_deg: -35.0,
                ..at(own.spot_m, 30.0)
            },
        ),
        (
            "turned away",
            Stand {
                heading_deg: own.heading_deg + 180.0,
                ..own
            },
        ),
        (
            "tilted",
            Stand {
                roll_deg: 25.0,
                pitch_deg: 12.0,
                ..own
            },
        ),
    ]
}

#[test]
fn every_measure_is_answered_for_every_eye_and_hour() {
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    for name in SCENES {
        let scene = Scene::load(Path::new(&format!("scenes/{name}.toml"))).unwrap();
        let noon = scene.frame.at.unwrap();
        let studio = Studio::new(scene, &rulebook, &cpu, None);
        let minutes = [
            ("its hour", studio.minute_at_size(noon, &rulebook.search)),
            (
                "night",
                studio.minute_at_size(noon + Duration::hours(14), &rulebook.search),
            ),
        ];
        for (which, stand) in stands(&studio) {
            let capture = studio.default_capture();
            let composed = studio.compose(&stand, &capture, &rulebook.search, WIDEST_GRADED_DEG);
            for (hour, minute) in &minutes {
                for id in MeasureId::ALL {
                    let found = studio.culprits(&composed, minute, *id, WIDTH_PX);
                    sound(&found, &format!("{name}, {which}, {hour}, {}", id.key()));
                }
            }
            for mark in studio.guides(&composed) {
                assert!(
                    mark.points
                        .iter()
                        .flatten()
                        .all(|x| (0.0..=1.0).contains(x))
                );
            }
        }
    }
}

/// Where a measure counts pixels and is not clean, pixels light up.
#[test]
fn a_finding_that_counts_pixels_has_pixels() {
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let counted = [
        MeasureId::Hidden,
        MeasureId::WorstHiddenPart,
        MeasureId::Growths,
        MeasureId::RooflineChanges,
        MeasureId::BandBehind,
        MeasureId::NoseLit,
        MeasureId::SideLit,
        MeasureId::RunningGearLit,
        MeasureId::ForeignBody,
        MeasureId::ForeignGear,
        MeasureId::NoseSide,
    ];
    let mut asked = 0;
    for name in SCENES {
        let scene = Scene::load(Path::new(&format!("scenes/{name}.toml"))).unwrap();
        let noon = scene.frame.at.unwrap();
        let studio = Studio::new(scene, &rulebook, &cpu, None);
        let stand = studio.default_stand();
        let capture = studio.default_capture();
        let composed = studio.compose(&stand, &capture, &rulebook.search, WIDEST_GRADED_DEG);
        for hours in [-2, 0, 3, 6] {
            let minute = studio.minute_at_size(noon + Duration::hours(hours), &rulebook.search);
            let sheet = studio.grade_at(&composed, &minute).sheet;
            for finding in sheet
                .findings
                .iter()
                .filter(|f| counted.contains(&f.measure))
            {
                let found = studio.culprits(&composed, &minute, finding.measure, 480);
                let told = format!("{name} {hours} h: {}", finding.sentence);
                // The body's elevations see round corners: a cab's front behind a hood is counted though not seen.
                let unseen = "the shaded part of the body cannot be seen from here";
                if finding.measure == MeasureId::ForeignBody
                    && found.nothing.as_deref() == Some(unseen)
                {
                    continue;
                }
                assert!(!found.mask.is_empty(), "{told}: {:?}", found.nothing);
                asked += 1;
            }
        }
    }
    assert!(asked > 20, "only {asked} findings were asked about");
}

/// A switcher's hood stands before half of its cab's front: what falls there no frame from the other side shows, and
/// nothing is said of it. Beyond the Arctic Circle the sun goes round behind the birches.
#[test]
fn a_shadow_that_is_told_is_seen() {
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let scene = Scene::load(Path::new("scenes/birch_fell_yard.toml")).unwrap();
    let zone = scene.place.zone.clone();
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let (stand, capture) = (studio.default_stand(), studio.default_capture());
    let composed = studio.compose(&stand, &capture, &rulebook.proof, WIDEST_GRADED_DEG);
    let start = zone.parse_instant("2027-06-21 22:15").unwrap();
    let mut told = 0;
    for step in 0..21 {
        let at = start + Duration::minutes(5 * step);
        let minute = studio.minute(at);
        let sheet = studio.grade_at(&composed, &minute).sheet;
        for measure in [MeasureId::ForeignBody, MeasureId::ForeignCore] {
            if sheet.findings.iter().any(|one| one.measure == measure) {
                let found = studio.culprits(&composed, &minute, measure, 640);
                assert!(!found.mask.is_empty(), "{at}: {:?}", found.nothing);
                told += 1;
            }
        }
    }
    assert!(told > 3, "{told}");
}
