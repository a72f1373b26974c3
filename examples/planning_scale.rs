//! What planning costs as spots and calendar grow, and against two other ways: every pair of stand and minute drawn and
//! graded by itself, and the same pairs by a ray caster. `planning_scale grow SCENE` and `planning_scale against SCENE
//! [PAIRS]` print tables. May not enter: what is right (tests).

#[path = "../benches/one_by_one/mod.rs"]
mod one_by_one;

use chrono::NaiveDate;
use one_by_one::{Meshes, pairs};
use rayon::prelude::*;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::AtomicBool;
use std::time::Instant;
use sunside::grade::{Rulebook, Studio};
use sunside::plan::request::{Rank, Request, Watch};
use sunside::plan::survey::{Look, Survey, survey};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let usage = "planning_scale grow|against SCENE [PAIRS]";
    let [what, file] = [0, 1].map(|k| arguments.get(k).expect(usage).as_str());
    let scene = Scene::load(Path::new(file)).unwrap_or_else(|problems| panic!("{problems}"));
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &book, &cpu, None);
    println!(
        "{} on {} threads\n",
        studio.scene.name,
        rayon::current_num_threads()
    );
    match what {
        "grow" => grow(&studio),
        "against" => {
            let pairs = arguments
                .get(2)
                .map_or(48, |text| text.parse().expect(usage));
            against(&studio, pairs);
        }
        _ => panic!("{usage}"),
    }
}

fn request([from, to]: [&str; 2], every_min: u32, spacing_m: f64) -> Request {
    let date = |text: &str| text.parse::<NaiveDate>().expect("a date");
    Request {
        from: date(from),
        to: date(to),
        every_min,
        lenses_mm: vec![],
        spacing_m: Some(spacing_m),
        top: 10,
        slack: None,
        rank: Rank::Score,
    }
}

/// A survey, and the seconds of each of its steps.
fn timed(studio: &Studio, request: &Request) -> (Survey, Vec<(String, f64)>) {
    let steps = Mutex::new(vec![(String::from("the calendar"), Instant::now())]);
    let told = |what: &str, _| steps.lock().unwrap().push((what.into(), Instant::now()));
    let watch = Watch {
        cancel: &AtomicBool::new(false),
        told: &told,
    };
    let found = survey(studio, request, Look::ANSWERS, &watch).expect("nobody cancels");
    told("", 1.0);
    let steps = steps.into_inner().unwrap();
    let took =
        |pair: &[(String, Instant)]| (pair[0].0.clone(), (pair[1].1 - pair[0].1).as_secs_f64());
    (found, steps.windows(2).map(took).collect())
}

/// Spots doubled on the same ground, then the calendar: from one week of one month on.
fn grow(studio: &Studio) {
    println!(
        "| spots × | calendar × | spots | eyes | instants | suns | pairs | closed form, s | eyes, s | suns, s | pairs, s | in all, s |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    let spacings_m = [2.0f64, 2f64.sqrt(), 1.0];
    let ends = ["2027-05-07", "2027-05-14", "2027-05-28"];
    for (spots, spacing_m) in [1, 2, 4].into_iter().zip(spacings_m) {
        for (days, end) in [1, 2, 4].into_iter().zip(ends) {
            let asked = request(["2027-05-01", end], 5, spacing_m);
            let (found, steps) = timed(studio, &asked);
            let of = |names: &[&str]| {
                let named = steps
                    .iter()
                    .filter(|(what, _)| names.iter().any(|name| what.contains(name)));
                named.map(|(_, wall_s)| wall_s).sum::<f64>()
            };
            let parts = [
                of(&["calendar", "geometry"]),
                of(&["allowed spot"]),
                of(&["every sun"]),
                of(&["every minute"]),
                of(&[""]),
            ];
            let effort = found.effort;
            println!(
                "| × {spots} | × {days} | {} | {} | {} | {} | {} | {} |",
                effort.spots,
                effort.eyes,
                effort.instants,
                effort.suns,
                effort.pairs,
                parts.map(|wall_s| format!("{wall_s:.2}")).join(" | ")
            );
        }
    }
}

/// The year, and pairs of it one by one.
fn against(studio: &Studio, wanted: usize) {
    let asked = request(["2027-01-01", "2027-12-31"], 5, 0.5);
    let start = Instant::now();
    let (found, _) = timed(studio, &asked);
    let year_s = start.elapsed().as_secs_f64();
    let effort = found.effort;
    let pairs = pairs(studio, &asked, wanted);
    let drawn_s = seconds(&pairs, |pair| one_by_one::drawn(studio, pair));
    let meshes = Meshes::of(&studio.stage);
    let cast_s = seconds(&pairs, |pair| meshes.lit(studio, pair));
    println!(
        "{} spots, {} instants of daylight, {} eyes and {} suns drawn; {} pairs asked about, {} left by closed form",
        effort.spots, effort.instants, effort.eyes, effort.suns, effort.asked, effort.pairs
    );
    println!(
        "baselines: the same {} pairs of these, spread over ground, lenses and year\n",
        pairs.len()
    );
    println!(
        "| way | ms a pair | the {} pairs left, s | ratio |",
        effort.pairs
    );
    println!("| --- | --- | --- | --- |");
    let count = effort.pairs as f64;
    let row = |way: &str, whole_s: f64| {
        let (each_ms, ratio) = (1e3 * whole_s / count, whole_s / year_s);
        println!("| {way} | {each_ms:.4} | {whole_s:.0} | {ratio:.0} |");
    };
    row("the plan's survey", year_s);
    row("each pair drawn and graded", drawn_s * count);
    row("each pair by a ray caster", cast_s * count);
}

/// Seconds of wall that one pair takes, all threads at work.
fn seconds<T: Sync>(pairs: &[T], each: impl Fn(&T) -> f64 + Send + Sync) -> f64 {
    let start = Instant::now();
    let sum: f64 = pairs.par_iter().map(each).sum();
    assert!(sum.is_finite());
    start.elapsed().as_secs_f64() / pairs.len() as f64
}
