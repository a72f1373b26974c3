//! The survey of a small site over some days against brute force: every spot, lens and instant graded one by one, with an
//! eye of its own under the very sun. May not enter: sites that ship, refinement.

use super::plan_site::{Site, rectangle, request};
use chrono::{DateTime, Utc};
use rayon::prelude::*;
use std::collections::HashMap;
use std::sync::atomic::AtomicBool;
use sunside::grade::measure::eye::WIDEST_DEG;
use sunside::grade::{Rulebook, Stand, Studio, Verdict};
use sunside::plan::request::{Request, Watch};
use sunside::plan::spots::spots;
use sunside::plan::survey::{Look, calendar, survey};
use sunside::sighting::cpu::Cpu;
use sunside::sighting::shown::{Shown, Side};

const SPACING_M: f64 = 1.5;
const EVERY_MIN: u32 = 10;

/// The best that an instant gives on one side, by brute force.
#[derive(Clone, Copy)]
struct Exact {
    verdict: Verdict,
    score: f64,
}

/// By instant, and whether the right side is shown.
type BySide = HashMap<(DateTime<Utc>, bool), Exact>;

/// Every stand at every instant: the best of each instant and side, and each stand's best.
fn brute(studio: &Studio, asked: &Request) -> (BySide, Vec<(f64, Stand)>) {
    let minutes: Vec<_> = (calendar(&studio.scene.place, asked).par_iter())
        .map(|instant| studio.minute_at_size(instant.at, &studio.rulebook.search))
        .collect();
    let capture = studio.default_capture();
    let of_stand = |(spot_m, lens_mm): (_, f64)| {
        let mut stand = Stand {
            spot_m,
            height_m: 1.6,
            lens_mm,
            heading_deg: 0.0,
            pitch_deg: 0.0,
            roll_deg: 0.0,
        };
        stand.heading_deg = studio.balanced_heading_deg(&stand);
        let composed = studio.compose(&stand, &capture, &studio.rulebook.search, WIDEST_DEG);
        let is_right = Shown::to(studio.eye(&stand)).side == Side::Right;
        let graded = minutes.iter().map(|minute| {
            let sheet = studio.grade_unmended(&composed, minute).sheet;
            let (verdict, score) = (sheet.verdict, sheet.score);
            (minute.at, is_right, Exact { verdict, score })
        });
        (stand, graded.collect::<Vec<_>>())
    };
    let spots = spots(studio, SPACING_M);
    let lenses = &studio.scene.kit.lenses_mm;
    let stands: Vec<_> = (spots.iter())
        .flat_map(|spot| lenses.iter().map(|lens_mm| (spot.at_m, *lens_mm)))
        .collect();
    let graded: Vec<_> = stands.into_par_iter().map(of_stand).collect();
    let mut best = BySide::new();
    let mut stands = Vec::new();
    for (stand, graded) in graded {
        let mut most = f64::NEG_INFINITY;
        for (at, is_right, exact) in graded {
            most = most.max(exact.score);
            let slot = best.entry((at, is_right)).or_insert(exact);
            if exact.score > slot.score {
                *slot = exact;
            }
        }
        stands.push((most, stand));
    }
    stands.sort_by(|a, b| b.0.total_cmp(&a.0));
    (best, stands)
}

/// What the grid may err by: a lit share off by 0.03 moves a score by about a point where no limit lies between, and at a
/// limit turns one verdict into its neighbour. (Measured by `examples/interpolation`; the bound on hours is ours.)
const SCORE: f64 = 2.0;

#[test]
fn the_survey_says_of_hours_instants_and_stands_what_brute_force_says() {
    let site = Site {
        ground_m: rectangle(20.0, -27.0, 27.0, -20.0),
        lenses_mm: vec![50.0, 60.0],
        more: "[[pole]]\nname = \"pole\"\nposition_m = [9.0, 2.0]\nheight_m = 9\ndiameter_m = 0.4",
        ..Site::default()
    };
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(site.scene(), &book, &cpu, None);
    let asked = Request {
        spacing_m: Some(SPACING_M),
        ..request("2027-04-03", "2027-04-06", EVERY_MIN)
    };
    let watch = Watch {
        cancel: &AtomicBool::new(false),
        told: &|_, _| {},
    };
    let survey = survey(&studio, &asked, Look::ANSWERS, &watch).unwrap();
    let (exact, stands) = brute(&studio, &asked);
    assert!(survey.effort.instants > 100 && stands.len() > 20);

    // What closed form drops is lost by brute force too, whatever eye and lens.
    let found: HashMap<(DateTime<Utc>, bool), _> = (survey.instants.iter().zip(&survey.best))
        .flat_map(|(instant, [left, right])| {
            [((instant.at, false), *left), ((instant.at, true), *right)]
        })
        .collect();
    let (mut served, mut apart) = (0, 0);
    for (key, exact) in &exact {
        let Some(found) = found.get(key) else {
            assert_eq!(exact.verdict, Verdict::Lost, "{key:?} is dropped");
            continue;
        };
        if exact.verdict == Verdict::Lost && found.verdict == Verdict::Lost {
            continue;
        }
        served += 1;
        let steps = (exact.verdict as i32 - found.verdict as i32).abs();
        assert!(
            steps <= 1,
            "{key:?}: {:?} by the grid, {:?} in truth",
            found.verdict,
            exact.verdict
        );
        match steps {
            0 => assert!(
                (exact.score - found.score).abs() <= SCORE,
                "{key:?}: {} {}",
                found.score,
                exact.score
            ),
            _ => apart += 1,
        }
    }
    println!("{apart} of {served} instants apart");
    assert!(served >= 40 && apart * 10 <= served, "{apart} of {served}");

    // Hours, within the instants whose best is told otherwise, a twentieth of them at most.
    for (least, told) in [
        (Verdict::Good, survey.good_min[2]),
        (Verdict::Fair, survey.fair_min[2]),
    ] {
        let serves = |at: &&DateTime<Utc>| {
            [false, true].iter().any(|side| {
                exact
                    .get(&(**at, *side))
                    .is_some_and(|one| one.verdict >= least)
            })
        };
        let instants: std::collections::BTreeSet<DateTime<Utc>> =
            exact.keys().map(|(at, _)| *at).collect();
        let truth = instants.iter().filter(serves).count() as u32 * EVERY_MIN;
        println!("{least:?}: {told} min by the grid, {truth} in truth");
        assert!(
            told.abs_diff(truth) <= (truth / 20).max(EVERY_MIN),
            "{least:?}: {told} {truth}"
        );
    }

    // The first stands are the same, in order as far as their scores tell them apart.
    let mut firsts: Vec<(Stand, f64)> = Vec::new();
    for one in &survey.candidates {
        if !firsts.iter().any(|(stand, _)| *stand == one.stand) {
            firsts.push((one.stand, one.score));
        }
    }
    for (rank, ((stand, score), (best, _))) in firsts.iter().zip(&stands).take(10).enumerate() {
        let truth = stands
            .iter()
            .find(|(_, one)| one == stand)
            .expect("a stand of brute force")
            .0;
        println!(
            "{}: {score:.2} by the grid, {truth:.2} in truth; the best there {best:.2}",
            rank + 1
        );
        assert!(
            (score - truth).abs() <= SCORE,
            "rank {}: {score} {truth}",
            rank + 1
        );
        assert!(best - truth <= SCORE, "rank {}: {truth} {best}", rank + 1);
    }
}
