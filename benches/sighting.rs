//! Milliseconds per view and per batch, the processor's rasterizer beside the GPU's where there is an adapter.
//! May not enter: what is right (tests).

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use glam::DVec3;
use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use sunside::gpu::device::Gpu;
use sunside::gpu::rasterizer::GpuRasterizer;
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

/// The adapter's rasterizer, if there is an adapter.
fn gpu() -> Option<GpuRasterizer> {
    let gpu = match Gpu::open() {
        Ok(gpu) => Arc::new(gpu),
        Err(error) => {
            println!("the processor alone: {error}");
            return None;
        }
    };
    println!("adapter: {}", gpu.name);
    GpuRasterizer::new(gpu, Box::new(|told| println!("{told}"))).ok()
}

/// Search and proof sizes of cameras and suns.
const SIZES: [(&str, usize); 4] = [
    ("camera 384", 384),
    ("camera 1152", 1152),
    ("sun 512", 512),
    ("sun 2048", 2048),
];

/// The `i`-th of many views like one another.
fn view(stage: &Stage, name: &str, width: usize, i: usize) -> View {
    let turn = DVec3::new(0.0, i as f64 * 0.05, 0.0);
    match name.starts_with("sun") {
        true => View::of_sun(
            (DVec3::new(0.4, -0.7, 0.45) + turn).normalize(),
            &stage.hull,
            width,
        ),
        false => View::canonical(
            DVec3::new(22.0, -14.0, 0.6) + turn,
            &stage.hull,
            width,
            100.0,
        )
        .expect("the machine lies before the eye"),
    }
}

/// One view, drawn on one thread, counted.
fn views(bench: &mut Criterion) {
    let stage = stage();
    let gpu = gpu();
    for (name, width) in SIZES {
        let view = view(&stage, name, width, 0);
        let mut sighting = Sighting::default();
        let mut counts = vec![0; stage.patches.len()];
        let mut one = |name: &str, rasterizer: &dyn Rasterizer| {
            bench.bench_function(name, |timer| {
                timer.iter(|| {
                    rasterizer.sight(&stage, black_box(&view), Around::Nothing, &mut sighting);
                    sighting.alone.count_patches(&mut counts);
                })
            });
        };
        one(name, &Cpu::default());
        if let Some(gpu) = &gpu {
            one(&format!("GPU {name}"), gpu);
        }
    }
}

/// A batch on all threads: frames brought back, or only counts.
fn batches(bench: &mut Criterion) {
    let stage = stage();
    let gpu = gpu();
    for (name, width) in SIZES {
        let many = if width > 1000 { 4 } else { 32 };
        let views: Vec<View> = (0..many).map(|i| view(&stage, name, width, i)).collect();
        let mut group = bench.benchmark_group(format!("batch of {many}, {name}"));
        group.throughput(Throughput::Elements(many as u64));
        let mut both = |who: &str, rasterizer: &dyn Rasterizer| {
            group.bench_function(format!("{who} frames"), |timer| {
                timer.iter(|| rasterizer.sight_each(&stage, &views, Around::Nothing, &|_, _| {}))
            });
            group.bench_function(format!("{who} counts"), |timer| {
                timer.iter(|| rasterizer.count_each(&stage, &views, Around::Nothing, &|_, _| {}))
            });
        };
        both("CPU", &Cpu::default());
        if let Some(gpu) = &gpu {
            both("GPU", gpu);
        }
        group.finish();
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(30).measurement_time(std::time::Duration::from_secs(2));
    targets = views, batches
}
criterion_main!(benches);
