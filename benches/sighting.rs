//! Milliseconds per view of the processor's rasterizer, one thread. May not enter: what is right (tests).

use criterion::{Criterion, criterion_group, criterion_main};
use glam::DVec3;
use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use sunside::mesh::sidecar;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::Sighting;
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::Stage;
use sunside::sighting::view::View;

/// The library's largest model where it is there, the tests' box machine where not.
fn stage() -> Stage {
    let full = Path::new("models/hood_six_axle.toml");
    let path = if full.exists() {
        full
    } else {
        Path::new("tests/models/box_machine.toml")
    };
    let stage = Stage::of_model(Arc::new(sidecar::load(path).unwrap()));
    let patches = &stage.patches;
    println!(
        "{}: {} triangles, {} patches",
        path.display(),
        patches.triangles.len(),
        patches.len()
    );
    stage
}

fn views(bench: &mut Criterion) {
    let stage = stage();
    let eye = DVec3::new(22.0, -14.0, 0.6);
    let sun = DVec3::new(0.4, -0.7, 0.45).normalize();
    for (name, view) in [
        (
            "camera 384",
            View::canonical(eye, &stage.hull, 384, 100.0).unwrap(),
        ),
        (
            "camera 1152",
            View::canonical(eye, &stage.hull, 1152, 100.0).unwrap(),
        ),
        ("sun 512", View::of_sun(sun, &stage.hull, 512)),
        ("sun 2048", View::of_sun(sun, &stage.hull, 2048)),
    ] {
        let mut sighting = Sighting::default();
        let mut counts = vec![0; stage.patches.len()];
        bench.bench_function(name, |timer| {
            timer.iter(|| {
                Cpu::default().sight(&stage, black_box(&view), Around::Nothing, &mut sighting);
                sighting.alone.count_patches(&mut counts);
            })
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(30).measurement_time(std::time::Duration::from_secs(2));
    targets = views
}
criterion_main!(benches);
