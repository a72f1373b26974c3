//! Prints what the graphics adapter makes of sighting: start-up, views a second beside the processor's, and
//! in how many pixels the two differ: `cargo run --release --example gpu_report [SCENE …]`. One binary that
//! can be carried to a machine with an adapter of its own, with `models/` and `scenes/` beside it. May not
//! enter: limits, verdicts.

use glam::DVec3;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Instant;
use sunside::gpu::device::Gpu;
use sunside::gpu::rasterizer::GpuRasterizer;
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::{Frame, Sighting};
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::scatter::GOLDEN_ANGLE_RAD;
use sunside::sighting::stage::Stage;
use sunside::sighting::view::View;

fn main() -> ExitCode {
    let mut scenes: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    if scenes.is_empty() {
        scenes = vec![
            "scenes/open_siding.toml".into(),
            "scenes/crowded_shop.toml".into(),
        ];
    }
    let start = Instant::now();
    let gpu = match Gpu::open() {
        Ok(gpu) => Arc::new(gpu),
        Err(error) => {
            eprintln!("{error}");
            return ExitCode::from(2);
        }
    };
    let opened_ms = ms(start);
    let tell = Box::new(|told: &str| eprintln!("{told}"));
    let start = Instant::now();
    let drawing = match GpuRasterizer::new(gpu.clone(), tell) {
        Ok(drawing) => drawing,
        Err(error) => {
            eprintln!("{error}");
            return ExitCode::from(2);
        }
    };
    println!("{} · software: {}", gpu.name, gpu.is_software);
    println!(
        "device opened in {opened_ms:.0} ms, pipelines built in {:.0} ms · {} threads\n",
        ms(start),
        rayon::current_num_threads()
    );
    for path in scenes {
        match Scene::load(&path) {
            Ok(scene) => report(&scene, &drawing),
            Err(problems) => {
                eprintln!("{problems}");
                return ExitCode::from(2);
            }
        }
    }
    match drawing.has_failed() {
        true => ExitCode::FAILURE,
        false => ExitCode::SUCCESS,
    }
}

fn ms(start: Instant) -> f64 {
    start.elapsed().as_secs_f64() * 1e3
}

/// So many points or directions round the machine, spread by the golden angle.
fn cameras(stage: &Stage, count: usize, width: usize) -> Vec<View> {
    let eyes = (0..count).map(|i| {
        let (sin, cos) = (i as f64 * GOLDEN_ANGLE_RAD).sin_cos();
        let far_m = 22.0 + 18.0 * (i as f64 / count as f64);
        DVec3::new(far_m * cos, far_m * sin, 0.4 + (i % 5) as f64 * 0.4)
    });
    eyes.filter_map(|eye| View::canonical(eye, &stage.hull, width, 100.0))
        .collect()
}

fn suns(stage: &Stage, count: usize, width: usize) -> Vec<View> {
    let toward = (0..count).map(|i| {
        let z: f64 = 0.1 + 0.8 * (i as f64 + 0.5) / count as f64;
        let (sin, cos) = (i as f64 * GOLDEN_ANGLE_RAD).sin_cos();
        let flat = (1.0 - z * z).sqrt();
        DVec3::new(flat * cos, flat * sin, z)
    });
    toward
        .map(|toward| View::of_sun(toward, &stage.hull, width))
        .collect()
}

fn report(scene: &Scene, drawing: &GpuRasterizer) {
    let stage = Stage::of_scene(scene, None);
    println!(
        "{} · {} triangles, {} patches, {} objects",
        scene.name,
        stage.patches.triangles.len(),
        stage.patches.len(),
        stage.objects.len()
    );
    println!(
        "{:<34} {:>6} {:>9} {:>9} {:>9} {:>9} | {:>9} {:>9}",
        "ms a view", "views", "CPU", "GPU", "GPU cnt", "GPU one", "differ %", "outline %"
    );
    for (name, views, around) in [
        (
            "camera 384, alone",
            cameras(&stage, 256, 384),
            Around::Nothing,
        ),
        (
            "camera 384, everything",
            cameras(&stage, 256, 384),
            Around::Everything,
        ),
        (
            "camera 1152, everything",
            cameras(&stage, 32, 1152),
            Around::Everything,
        ),
        ("sun 512, alone", suns(&stage, 256, 512), Around::Nothing),
        ("sun 512, casters", suns(&stage, 256, 512), Around::Casters),
        ("sun 2048, casters", suns(&stage, 16, 2048), Around::Casters),
    ] {
        let timed = |rasterizer: &dyn Rasterizer, counted: bool| {
            let start = Instant::now();
            match counted {
                true => rasterizer.count_each(&stage, &views, around, &|_, _| {}),
                false => rasterizer.sight_each(&stage, &views, around, &|_, _| {}),
            }
            ms(start) / views.len() as f64
        };
        timed(drawing, false); // uploads the stage, makes the targets
        let (cpu_ms, gpu_ms) = (timed(&Cpu::default(), false), timed(drawing, false));
        let counted_ms = timed(drawing, true);
        let mut sighting = Sighting::default();
        let some = &views[..views.len().min(16)];
        let start = Instant::now();
        for view in some {
            drawing.sight(&stage, view, around, &mut sighting);
        }
        let one_ms = ms(start) / some.len() as f64;
        let (differing, outline) = differences(&stage, drawing, &views, around);
        println!(
            "{name:<34} {:>6} {cpu_ms:>9.3} {gpu_ms:>9.3} {counted_ms:>9.3} {one_ms:>9.3} | {differing:>9.4} \
             {outline:>9.4}",
            views.len()
        );
    }
    println!();
}

/// Of the machine's pixels, the percentage that show something else, and that show it or not.
fn differences(
    stage: &Stage,
    drawing: &GpuRasterizer,
    views: &[View],
    around: Around,
) -> (f64, f64) {
    let [of_machine, differing, outline] = [0, 1, 2].map(|_| AtomicUsize::new(0));
    drawing.sight_each(stage, views, around, &|i, drawn| {
        let mut wanted = Sighting::default();
        Cpu::default().sight(stage, &views[i], around, &mut wanted);
        let frames: [(&Frame, &Frame); 2] =
            [(&wanted.alone, &drawn.alone), (&wanted.all, &drawn.all)];
        for (a, b) in frames
            .into_iter()
            .flat_map(|(a, b)| a.ids.iter().zip(&b.ids))
        {
            let on = [a, b].map(|id| id.as_patch().is_some());
            of_machine.fetch_add(usize::from(on[0]), Ordering::Relaxed);
            differing.fetch_add(usize::from((on[0] || on[1]) && a != b), Ordering::Relaxed);
            outline.fetch_add(usize::from(on[0] != on[1]), Ordering::Relaxed);
        }
    });
    let share = |count: AtomicUsize| {
        100.0 * count.into_inner() as f64 / of_machine.load(Ordering::Relaxed) as f64
    };
    (share(differing), share(outline))
}
