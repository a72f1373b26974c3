//! Prints what the good patch of ground, the year as hours won and the day at one stand cost, and draws the year: to
//! be looked at, and carried to other machines. May not enter: what is right (tests).

use chrono::Datelike;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::time::Instant;
use sunside::grade::{Rulebook, Studio, Verdict};
use sunside::picture::drawing::hours::{self as page, Page};
use sunside::plan::day::{day, day_in_parts};
use sunside::plan::here::{Eyes, Hold, here};
use sunside::plan::hours::hours;
use sunside::plan::request::Watch;
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::rasterizer::Rasterizer;

fn main() {
    let mut args = std::env::args().skip(1);
    let file = args.next().expect("SCENE [here|day|hours [SVG]]");
    let what = args.next().unwrap_or_default();
    let is_asked = |name: &str| what.is_empty() || what == name;
    let scene = Scene::load(Path::new(&file)).unwrap_or_else(|problems| panic!("{problems}"));
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &book, &cpu, None);
    let cancel = AtomicBool::new(false);
    let watch = Watch {
        cancel: &cancel,
        told: &|_, _| {},
    };
    println!("{file}");
    if is_asked("here") {
        patches(&studio, &cpu, &watch);
    }
    let at = studio.scene.frame.at.expect("the scene has a minute");
    let date = studio.scene.place.zone.local(at).naive.date();
    if is_asked("day") {
        let start = Instant::now();
        let found = day(&studio, &studio.default_stand(), date, 60, &watch).expect("a day");
        println!("day: {:?}, {} looks", start.elapsed(), found.looks.len());
        let start = Instant::now();
        let mut parts = Vec::new();
        let (stand, capture) = (studio.default_stand(), studio.default_capture());
        let found = day_in_parts(&studio, &stand, &capture, date, &watch, &mut |part| {
            parts.push((start.elapsed(), part.looks.len()));
        });
        let looks = found.expect("a day").looks.len();
        println!(
            "day in parts: {parts:?}, then {:?}, {looks} looks",
            start.elapsed()
        );
    }
    if is_asked("hours") {
        year(&studio, date.year(), args.next(), &watch);
    }
}

fn year(studio: &Studio, year: i32, svg: Option<String>, watch: &Watch) {
    stops(studio, year);
    let start = Instant::now();
    let mut first = None;
    let found = hours(studio, year, 15, watch, &mut |_| {
        first.get_or_insert(start.elapsed());
    });
    let found = found.expect("nobody cancels");
    println!("hours: {:?}, first week after {first:?}", start.elapsed());
    let facings = [0, 1].map(|facing| {
        let [fair_h, good_h, fine_h] = [Verdict::Fair, Verdict::Good, Verdict::Fine]
            .map(|least| found.of_facing(facing, least));
        let (end, nose) = (found.head_ends[facing], found.nose_bearings_deg[facing]);
        println!(
            "  {end:?}, nose {nose:.0}°: {fine_h:.0} h fine, {good_h:.0} h good, {fair_h:.0} h fair"
        );
        format!("the nose points to {nose:.0}°")
    });
    let Some(svg) = svg else { return };
    let weeks: Vec<_> = found.weeks.iter().map(|week| week.of).collect();
    let page = Page {
        facings,
        year: &weeks,
        weeks: found.weeks.iter().collect(),
        faults: &studio.rulebook.faults,
    };
    let title = format!("{}: hours won in {year}", studio.scene.name);
    std::fs::write(svg, page::svg(&page, &title)).expect("the drawing is written");
}

/// How long the year goes on after it was asked to stop, at moments spread over its beginning.
fn stops(studio: &Studio, year: i32) {
    let latencies = (1..=8).filter_map(|k| {
        let cancel = AtomicBool::new(false);
        let asked = std::sync::Mutex::new(Instant::now());
        std::thread::scope(|threads| {
            threads.spawn(|| {
                std::thread::sleep(std::time::Duration::from_millis(350 * k));
                *asked.lock().unwrap() = Instant::now();
                cancel.store(true, std::sync::atomic::Ordering::Relaxed);
            });
            let watch = Watch {
                cancel: &cancel,
                told: &|_, _| {},
            };
            let stopped = hours(studio, year, 15, &watch, &mut |_| {});
            // A year that is counted before it is asked to stop tells nothing.
            let asked = asked.lock().unwrap().elapsed().as_millis();
            stopped.is_err().then_some(asked)
        })
    });
    println!("stops after {:?} ms", latencies.collect::<Vec<_>>());
}

fn patches(studio: &Studio, cpu: &Cpu, watch: &Watch) {
    let frame = &studio.scene.frame;
    let hold = Hold {
        lens_mm: frame.lens_mm,
        height_m: frame.height_m,
        capture: studio.default_capture(),
    };
    let eyes = Eyes::default();
    for minutes in [0, 0, 30, 60] {
        let start = Instant::now();
        let at = frame.at.expect("a minute") + chrono::Duration::minutes(minutes);
        let minute = studio.minute_at_size(at, &studio.rulebook.search);
        let drawn = start.elapsed();
        let before = cpu.views_drawn();
        let mut parts = Vec::new();
        let patch = here(studio, &eyes, &minute, &hold, watch, &mut |part| {
            parts.push((start.elapsed().as_millis(), part.graded, part.cells.len()));
        });
        let patch = patch.expect("nobody cancels");
        println!(
            "here +{minutes} min: {:?} (sun {drawn:?}), {} views, {} graded, {} cells of {} m, {:.0} m² good, \
             kept {:?}",
            start.elapsed(),
            cpu.views_drawn() - before,
            patch.graded,
            patch.cells.len(),
            patch.spacing_m,
            patch.area_m2(Verdict::Good),
            eyes.kept()
        );
        println!("  {:?}", parts.iter().take(12).collect::<Vec<_>>());
        if let Some(best) = patch.best() {
            println!("  best {best:?}");
        }
    }
}
