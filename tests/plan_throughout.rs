//! A window holds at every whole minute inside it, at the stand where a crown's shadow comes and goes. May not enter:
//! how windows are followed.

use chrono::{DateTime, Duration, Utc};
use glam::DVec2;
use std::path::Path;
use std::sync::atomic::AtomicBool;

use sunside::grade::{Rulebook, Stand, Studio, Verdict};
use sunside::plan::request::Watch;
use sunside::plan::windows::Prover;
use sunside::scene::Scene;
use sunside::scene::machine::HeadEnd;
use sunside::sighting::cpu::Cpu;

/// Beside the grove at Hemlock: from 16:18 to 16:21 a crown's shadow takes a little more of the body than its limit.
fn among_crowns(then: impl FnOnce(&Studio, Stand, DateTime<Utc>)) {
    let scene = Scene::load(Path::new("scenes/hemlock_museum.toml")).unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene.with_head_end(HeadEnd::First), &rulebook, &cpu, None);
    let stand = Stand {
        spot_m: DVec2::new(-18.58975389, -11.0386763),
        height_m: 1.6,
        lens_mm: 50.0,
        heading_deg: 56.6475,
        pitch_deg: 0.0,
        roll_deg: 0.0,
    };
    then(&studio, stand, "2027-09-30T19:50:00Z".parse().unwrap());
}

#[test]
fn every_minute_of_a_window_holds_where_a_shadow_comes_and_goes() {
    among_crowns(|studio, stand, best| {
        let prover = Prover::new(studio, stand);
        let fine = |at| prover.at(at).sheet.verdict == Verdict::Fine;
        assert!(fine(best));
        let watch = Watch {
            cancel: &AtomicBool::new(false),
            told: &|_, _| (),
        };
        let window = prover.window(best, Verdict::Fine, true, &watch).unwrap();
        let [start, _, end] = window.whole_minutes();
        assert!(start < best && end > best);
        let mut at = start;
        while at <= end {
            assert!(fine(at), "{at} of {start} to {end}");
            at += Duration::minutes(1);
        }
        // It ends where it must, and not before.
        assert!(!fine(start - Duration::minutes(1)) && !fine(end + Duration::minutes(1)));
    });
}
