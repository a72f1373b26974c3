//! The card: whole markup, safe text, every part that the sheet owes, and a plain word for a lost frame.
//! May not enter: grading.

use chrono::{Duration, NaiveDate};
use std::path::Path;
use sunside::card::{self, CardExtras, cautions::CAUTIONS};
use sunside::gpu::choice::Choice;
use sunside::grade::{Rulebook, Studio, Verdict};
use sunside::picture::painter::Painter;
use sunside::plan::answer::{Answer, Beyond, Day, Window, WindowEnd};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::shown::Shown;

/// A card of the box machine with hostile names.
fn sample(verdict: Option<Verdict>) -> (Scene, Answer, CardExtras) {
    let mut scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
    scene.name = "Box & <script>alert(1)</script> \"Siding\"".into();
    scene.ground.areas[0].note = "mind the <gap> & the dog".into();
    let rulebook = Rulebook::roster();
    let cpu = Cpu::default();
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let at = studio.scene.frame.at.unwrap();
    let stand = studio.default_stand();
    let graded = studio.grade(&stand, &studio.default_capture(), &studio.minute(at));
    let end = |minutes: i64, sentence: &str| WindowEnd {
        at: at + Duration::minutes(minutes),
        beyond: Beyond::Worse,
        ended_by: None,
        sentence: sentence.into(),
    };
    let mut answer = Answer {
        head_end: studio.scene.machine.head_end,
        side: Shown::to(studio.eye(&stand)).side,
        area: "road".into(),
        stand,
        window: Window {
            start: end(-40, "the sun is too low"),
            best: at,
            end: end(50, "a < b"),
        },
        days: vec![],
        sheet: graded.sheet,
        trade_offs: vec!["two paces left & the pole is gone".into()],
        slack: None,
    };
    answer.days = [10, 14, 20]
        .map(|day| Day {
            date: NaiveDate::from_ymd_opt(2027, 5, day).unwrap(),
            window: answer.window.clone(),
        })
        .to_vec();
    if let Some(verdict) = verdict {
        answer.sheet.verdict = verdict;
    }
    let extras = CardExtras::of(&studio, &Painter::open(Choice::Cpu).unwrap(), &answer, 240);
    (studio.scene, answer, extras)
}

/// Every tag that opens closes, in order; no raw ampersand or angle bracket in text.
fn assert_well_formed(html: &str) {
    let body = html.strip_prefix("<!DOCTYPE html>").expect("a doctype");
    let mut open: Vec<&str> = Vec::new();
    let mut rest = body;
    while let Some(start) = rest.find('<') {
        assert!(
            !rest[..start].contains('>') || open.last() == Some(&"style"),
            "stray >"
        );
        let end = start + rest[start..].find('>').expect("a tag ends");
        let tag = &rest[start + 1..end];
        let name = tag
            .trim_start_matches('/')
            .split([' ', '/', '\n'])
            .next()
            .unwrap();
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name), "closing {name}");
        } else if !tag.ends_with('/') {
            open.push(name);
        }
        rest = &rest[end + 1..];
    }
    assert!(open.is_empty(), "left open: {open:?}");
    for piece in body.split('&').skip(1) {
        let entity = piece.split(';').next().unwrap();
        assert!(
            ["amp", "lt", "gt", "quot", "#39"].contains(&entity),
            "&{entity}"
        );
    }
}

#[test]
fn the_card_is_whole_markup_and_needs_nothing_else() {
    let (scene, answer, extras) = sample(None);
    let html = card::html(&scene, &answer, &extras);
    assert_well_formed(&html);
    assert!(!html.contains("<script") && !html.contains("<link"));
    let outside = html.replace("http://www.w3.org/2000/svg", "");
    assert!(!outside.contains("http://") && !outside.contains("https://"));
    assert!(html.contains("Box &amp; &lt;script&gt;alert(1)&lt;/script&gt; &quot;Siding&quot;"));
    assert!(html.contains("mind the &lt;gap&gt; &amp; the dog"));
}

#[test]
fn the_card_owes_spot_bearing_lens_exposure_window_and_cautions() {
    let (scene, answer, extras) = sample(None);
    let html = card::html(&scene, &answer, &extras);
    // The pole stands 34 m west and 52 m north of the spot, 62 m away: too far to pace.
    assert!(!extras.marks.iter().any(|mark| mark.name == "pole"));
    // 22 m from the track's middle less half the gauge and half a rail's head: 21.2 m, 70 ft. Nobody is sent
    // to pace to a rail.
    let row = "<td>nearest rail, siding</td><td class=\"n\">21.2</td><td class=\"n\">70</td><td class=\"n\">by eye</td>";
    assert!(html.contains(row));
    let declination = extras.declination.unwrap();
    let compass = (answer.stand.heading_deg - declination.deg).rem_euclid(360.0);
    assert!(html.contains(&format!("{compass:.0}° <span")));
    assert!(html.contains("WMM2025"));
    let advice = extras.advice.unwrap();
    assert!(html.contains(&format!(
        "f/{} at {} s",
        advice.aperture.text, advice.shutter.text
    )));
    assert!(html.contains("f/16 rule"));
    for words in [
        "09:20</td>",
        "10:00</td>",
        "10:50</td>",
        "The sun is too low",
        "50 mm",
        "Open to the public",
    ] {
        assert!(html.contains(words), "{words}");
    }
    for caution in CAUTIONS {
        assert!(html.contains(&caution.replace('\'', "&#39;")), "{caution}");
    }
    assert!(extras.handrail_svg.is_some());
}

#[test]
fn a_frame_not_worth_the_trip_says_so_at_the_top() {
    let (scene, answer, extras) = sample(Some(Verdict::Lost));
    let html = card::html(&scene, &answer, &extras);
    let warning = html
        .find("This is the least bad one, and it is lost.")
        .unwrap();
    assert!(warning < html.find("<img").unwrap());
    let (scene, answer, extras) = sample(Some(Verdict::Good));
    assert!(!card::html(&scene, &answer, &extras).contains("least bad"));
}

#[test]
fn a_card_is_written_with_its_frame_beside_it() {
    let (scene, answer, extras) = sample(None);
    let folder = tempfile::tempdir().unwrap();
    let [page, frame] = card::write(folder.path(), 1, &scene, &answer, &extras).unwrap();
    assert_eq!(std::fs::read(frame).unwrap(), extras.frame_png);
    assert_eq!(
        std::fs::read_to_string(page).unwrap(),
        card::html(&scene, &answer, &extras)
    );
    let error = card::write(&folder.path().join("none"), 1, &scene, &answer, &extras).unwrap_err();
    assert!(error.to_string().contains("does not exist"), "{error}");
}
