//! What planning takes, part by part, beside the same pairs one by one: `cargo bench --bench planning`. The crowded site
//! that ships, its six-axle machine. May not enter: what is right (tests).

mod one_by_one;

use chrono::NaiveDate;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use one_by_one::{Meshes, drawn, pairs};
use std::hint::black_box;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use sunside::grade::{Rulebook, Studio, WIDEST_GRADED_DEG};
use sunside::plan::eyes::{draw, posts};
use sunside::plan::hope::sun_light;
use sunside::plan::probe::probe;
use sunside::plan::request::{Rank, Request, Watch};
use sunside::plan::search::search;
use sunside::plan::spots::spots;
use sunside::plan::suns::{Nodes, Suns};
use sunside::plan::survey::{Look, calendar, survey};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

fn request(from: &str, to: &str) -> Request {
    let date = |text: &str| text.parse::<NaiveDate>().expect("a date");
    Request {
        from: date(from),
        to: date(to),
        every_min: 5,
        lenses_mm: vec![],
        spacing_m: Some(0.5),
        top: 10,
        slack: None,
        rank: Rank::Score,
    }
}

fn planning(bench: &mut Criterion) {
    let scene = Scene::load(Path::new("scenes/crowded_shop.toml")).expect("the scene");
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &book, &cpu, None);
    let cancel = AtomicBool::new(false);
    let watch = Watch {
        cancel: &cancel,
        told: &|_, _| {},
    };
    let year = request("2027-01-01", "2027-12-31");
    let month = request("2027-05-01", "2027-05-31");

    let instants = calendar(&studio.scene.place, &year);
    let mut group = bench.benchmark_group("sun positions");
    group.throughput(Throughput::Elements(instants.len() as u64));
    group.bench_function("a year, every 5 minutes", |timer| {
        timer.iter(|| calendar(&studio.scene.place, black_box(&year)))
    });
    group.finish();

    let pairs = pairs(&studio, &month, 16);
    let meshes = Meshes::of(&studio.stage);
    let mut group = bench.benchmark_group("a pair");
    let mut next = (0..pairs.len()).cycle();
    group.bench_function("drawn and graded by itself", |timer| {
        timer.iter(|| drawn(&studio, &pairs[next.next().unwrap_or(0)]))
    });
    group.bench_function("by a ray caster", |timer| {
        timer.iter(|| meshes.lit(&studio, &pairs[next.next().unwrap_or(0)]))
    });
    let (stand, at) = (
        studio.default_stand(),
        studio.scene.frame.at.expect("a minute"),
    );
    let capture = studio.default_capture();
    for (name, size) in [("a live grade", &book.search), ("a proof", &book.proof)] {
        group.bench_function(name, |timer| {
            timer.iter(|| {
                let composed = studio.compose(&stand, &capture, size, WIDEST_GRADED_DEG);
                let minute = studio.minute_at_size(at, size);
                studio.grade_unmended(&composed, &minute).sheet.score
            })
        });
    }
    group.finish();

    // W·L alone: what was drawn is given.
    let instants = calendar(&studio.scene.place, &month);
    let light = sun_light(&studio, &instants);
    let posts = posts(
        &studio,
        &spots(&studio, 0.5),
        &studio.scene.kit.lenses_mm,
        false,
    );
    let eyes = draw(&studio, posts, 256, &watch).expect("nobody cancels");
    let mut shown: Vec<_> = eyes.iter().map(|eye| eye.post.shown).collect();
    shown.sort_unstable();
    shown.dedup();
    let probe = probe(&studio, &eyes);
    let suns = Suns::draw(&studio, &instants, &shown, Nodes::Grid(&probe), 256, &watch)
        .expect("nobody cancels");
    let whole =
        || search(&studio, &eyes, &instants, &light, &suns, &watch).expect("nobody cancels");
    let mut group = bench.benchmark_group("W·L");
    group.throughput(Throughput::Elements(whole().graded as u64));
    group.bench_function("a month, pairs", |timer| timer.iter(|| whole().graded));
    group.finish();

    let mut group = bench.benchmark_group("a survey");
    for (name, asked) in [("a month", &month), ("a year", &year)] {
        let once = || survey(&studio, asked, Look::ANSWERS, &watch).expect("nobody cancels");
        group.throughput(Throughput::Elements(once().effort.asked as u64));
        group.bench_function(name, |timer| timer.iter(|| once().good_min));
    }
    group.finish();
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10).measurement_time(std::time::Duration::from_secs(3));
    targets = planning
}
criterion_main!(benches);
