//! Remedies that speak of time agree with the sun: what they send one to is better, and on the right side of now. Open
//! siding, whose track and sun are known in closed form. May not enter: pixels' shares.

use chrono::{DateTime, Duration, NaiveTime, Utc};
use glam::DVec3;
use std::collections::BTreeMap;
use std::path::Path;
use sunside::document::Document;
use sunside::grade::{
    Composed, Finding, MeasureId, Rulebook, Sheet, Stand, Studio, WIDEST_GRADED_DEG,
};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

/// The scenes that ship.
const SHIPPED: [&str; 6] = [
    "birch_fell_yard",
    "crowded_shop",
    "hemlock_museum",
    "larkspur_lot",
    "open_siding",
    "poplar_elevator",
];

/// Calls `then` with the scene's studio, its own stand, and every hour of its day by light.
fn each_hour(name: &str, then: impl FnMut(&Studio, &Stand, DateTime<Utc>, &Sheet)) {
    hours_of(shipped(name), 1, Told::Mended, then);
}

/// How a frame is graded.
#[derive(Clone, Copy, PartialEq)]
enum Told {
    /// With remedies, which cost other minutes and spots.
    Mended,
    /// Without.
    Plain,
}

fn composed(studio: &Studio, stand: &Stand) -> Composed {
    let size = &studio.rulebook.proof;
    studio.compose(stand, &studio.default_capture(), size, WIDEST_GRADED_DEG)
}

/// The sheet of a stand at a minute, without remedies.
fn sheet_at(studio: &Studio, stand: &Stand, at: DateTime<Utc>) -> Sheet {
    let minute = studio.minute(at);
    studio
        .grade_unmended(&composed(studio, stand), &minute)
        .sheet
}

fn shipped(name: &str) -> Scene {
    Scene::load(Path::new(&format!("scenes/{name}.toml"))).unwrap()
}

/// The same every so many hours.
fn hours_of(
    scene: Scene,
    step: usize,
    told: Told,
    mut then: impl FnMut(&Studio, &Stand, DateTime<Utc>, &Sheet),
) {
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let date = scene.place.zone.local(scene.frame.at.unwrap()).naive.date();
    let zone = scene.place.zone.clone();
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let stand = studio.default_stand();
    let composed = composed(&studio, &stand);
    for hour in (5..=20).step_by(step) {
        let local = date.and_time(NaiveTime::from_hms_opt(hour, 7, 0).unwrap());
        let at = zone.instant(local).unwrap();
        let minute = studio.minute(at);
        if !minute.moment().is_night() {
            let graded = match told {
                Told::Mended => studio.grade_at(&composed, &minute),
                Told::Plain => studio.grade_unmended(&composed, &minute),
            };
            let sheet = graded.sheet;
            then(&studio, &stand, at, &sheet);
        }
    }
}

/// The instant that a remedy names, and whether it says to wait.
fn named(studio: &Studio, at: DateTime<Utc>, remedy: &str) -> Option<(DateTime<Utc>, bool)> {
    let (words, wait) = match (remedy.find("wait until "), remedy.find("come by ")) {
        (Some(from), _) => (&remedy[from + 11..], true),
        (None, Some(from)) => (&remedy[from + 8..], false),
        _ => return None,
    };
    let time = NaiveTime::parse_from_str(&words[..5], "%H:%M").unwrap();
    let zone = &studio.scene.place.zone;
    let date = zone.local(at).naive.date();
    Some((zone.instant(date.and_time(time)).unwrap(), wait))
}

#[test]
fn a_time_that_a_remedy_names_is_clean_and_on_its_side_of_now() {
    let (mut told, mut of) = (0, BTreeMap::new());
    for name in SHIPPED {
        hours_of(
            shipped(name),
            3,
            Told::Mended,
            |studio, stand, at, sheet| {
                for finding in &sheet.findings {
                    let remedy = finding.remedy.as_deref().unwrap_or_default();
                    let Some((then, wait)) = named(studio, at, remedy) else {
                        continue;
                    };
                    *of.entry(finding.measure).or_insert(0) += 1;
                    assert_eq!(then > at, wait, "{name} {at}: {}", finding.sentence);
                    let better = sheet_at(studio, stand, then);
                    let still = better.findings.iter().any(|f| f.measure == finding.measure);
                    assert!(!still, "{name} {at}: {} but at {then}", finding.sentence);
                    told += 1;
                }
            },
        );
    }
    assert!(told > 30, "only {told} times were told");
    // What closed form decides, and what pixels do.
    for id in [
        MeasureId::HandrailShadow,
        MeasureId::SunElevation,
        MeasureId::ShadowLine,
        MeasureId::NoseLit,
        MeasureId::SideLit,
        MeasureId::RunningGearLit,
        MeasureId::ForeignBody,
    ] {
        assert!(of.contains_key(&id), "no time was told for {id:?}: {of:?}");
    }
}

/// Shadows of stout posts beside the machine pass over its trucks and tanks; at the time that is named they are gone.
#[test]
fn a_shadow_on_the_running_gear_is_gone_at_the_time_that_is_named() {
    let mut told = 0;
    let file = Path::new("scenes/open_siding.toml");
    let mut text = std::fs::read_to_string(file).unwrap();
    let machine = Scene::load(file).unwrap().machine;
    for ahead_m in [-5.0, 0.0, 5.0] {
        for aside_m in [-4.5, 4.5] {
            let at = machine.frame().to_site(DVec3::new(ahead_m, aside_m, 0.0));
            let (east, north) = (at.x, at.y);
            text += &format!(
                "\n[[pole]]\nposition_m = [{east:.2}, {north:.2}]\nheight_m = 2.2\ndiameter_m = 0.9\n"
            );
        }
    }
    let scene = Scene::read(Document::parse("posts.toml", text.as_bytes()), file).unwrap();
    hours_of(scene, 1, Told::Mended, |studio, stand, at, sheet| {
        let of_gear = |one: &&Finding| one.measure == MeasureId::ForeignGear;
        let Some(finding) = sheet.findings.iter().find(of_gear) else {
            return;
        };
        let remedy = finding.remedy.as_deref().unwrap();
        let Some((then, wait)) = named(studio, at, remedy) else {
            return;
        };
        assert_eq!(then > at, wait, "{at}: {remedy}");
        let better = sheet_at(studio, stand, then);
        let still = better.findings.iter().find(of_gear);
        assert!(still.is_none(), "{at}: {remedy}, but at {then} {still:?}");
        told += 1;
    });
    assert!(told > 0);
}

/// The sun climbs until noon: then a low sun is a matter of waiting, after noon of coming by.
#[test]
fn a_low_sun_is_waited_for_in_the_morning_and_missed_in_the_evening() {
    let (mut mornings, mut evenings) = (0, 0);
    each_hour("open_siding", |studio, _, at, sheet| {
        let Some(finding) = sheet
            .findings
            .iter()
            .find(|f| f.measure == MeasureId::SunElevation)
        else {
            return;
        };
        let height = |minutes| {
            studio
                .moment(at + Duration::minutes(minutes))
                .sun
                .elevation_deg
        };
        let climbs = height(5) > height(0);
        let remedy = finding.remedy.as_deref().unwrap();
        assert_eq!(remedy.starts_with("wait until"), climbs, "{at}: {remedy}");
        assert_eq!(remedy.starts_with("come by"), !climbs, "{at}: {remedy}");
        *(if climbs { &mut mornings } else { &mut evenings }) += 1;
    });
    assert!(mornings > 0 && evenings > 0, "{mornings} {evenings}");
}

/// A side is waited for only while the sun swings toward it, and a side that the sun stands behind is a matter of the
/// sun's bearing.
#[test]
fn a_dark_side_is_waited_for_only_while_the_sun_swings_toward_it() {
    let (mut waited, mut behind) = (0, 0);
    each_hour("open_siding", |studio, stand, at, sheet| {
        let Some(finding) = sheet
            .findings
            .iter()
            .find(|f| f.measure == MeasureId::SideLit)
        else {
            return;
        };
        // Cosine of the sun's azimuth from the side's normal, in the machine frame: y is to its left.
        let side = studio.eye(stand).y.signum();
        let faced = |minutes| {
            let toward = studio.moment(at + Duration::minutes(minutes)).toward;
            side * toward.y / toward.x.hypot(toward.y)
        };
        let remedy = finding.remedy.as_deref().unwrap();
        if faced(0) < 0.0 {
            assert!(
                remedy.starts_with("the sun stands behind it"),
                "{at}: {remedy}"
            );
            assert!(remedy.contains("take the other side"), "{at}: {remedy}");
            behind += 1;
        } else if remedy.starts_with("wait") {
            assert!(faced(10) > faced(0), "{at}: {remedy}");
            waited += 1;
        } else if remedy.starts_with("come by") {
            assert!(faced(-10) > faced(0), "{at}: {remedy}");
            waited += 1;
        }
    });
    assert!(behind > 2 && waited > 0, "{behind} {waited}");
}

/// Farther below the doors than any body reaches it is not a number of metres any more.
#[test]
fn a_shadow_off_the_body_is_told_as_that() {
    let mut told = 0;
    for name in ["open_siding", "crowded_shop", "birch_fell_yard"] {
        hours_of(shipped(name), 1, Told::Plain, |_, _, at, sheet| {
            let finding = sheet
                .findings
                .iter()
                .find(|f| f.measure == MeasureId::HandrailShadow);
            if let Some(finding) = finding.filter(|finding| finding.value < -1.5) {
                let what = finding.what();
                assert!(what.contains("falls off the body"), "{name} {at}: {what}");
                told += 1;
            }
        });
    }
    assert!(told > 0);
}
