//! Who draws: asked for, or found out. May not enter: what is drawn.

use crate::graphics::adapter;
use assert_cmd::Command;
use glam::DVec3;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use sunside::gpu::choice::{Auto, Choice, Chosen};
use sunside::mesh::sidecar;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::{Id, Sighting};
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::Stage;
use sunside::sighting::view::View;

fn stage() -> Stage {
    Stage::of_model(Arc::new(
        sidecar::load(Path::new("tests/models/box_machine.toml")).unwrap(),
    ))
}

fn views(stage: &Stage) -> Vec<View> {
    (0..40)
        .map(|i| DVec3::new(20.0 - i as f64 / 4.0, -16.0, 0.5))
        .filter_map(|eye| View::canonical(eye, &stage.hull, 120, 100.0))
        .collect()
}

fn silent() -> Box<dyn Fn(&str) + Send + Sync> {
    Box::new(|_: &str| {})
}

/// Each view comes once, and shows what the processor's shows but for ties.
fn holds(rasterizer: &dyn Rasterizer) {
    let stage = stage();
    let views = views(&stage);
    let seen = AtomicUsize::new(0);
    rasterizer.sight_each(&stage, &views, Around::Nothing, &|i, sighting| {
        let mut wanted = Sighting::default();
        Cpu::default().sight(&stage, &views[i], Around::Nothing, &mut wanted);
        let pairs = wanted.alone.ids.iter().zip(&sighting.alone.ids);
        let differing = pairs.filter(|(a, b)| a != b).count();
        let machine = wanted
            .alone
            .ids
            .iter()
            .filter(|id| **id != Id::NOTHING)
            .count();
        assert!(
            machine > 500 && differing * 100 < machine,
            "{differing} of {machine}"
        );
        seen.fetch_add(i + 1, Ordering::Relaxed);
    });
    assert_eq!(seen.into_inner(), views.len() * (views.len() + 1) / 2);
}

#[test]
fn a_small_job_opens_no_adapter() {
    let auto = Auto::new(Duration::from_secs(3600), silent());
    holds(&auto);
    assert!(!auto.has_decided() && auto.gpu().is_none());
}

#[test]
fn a_large_job_tries_the_adapter_once_and_goes_on() {
    let auto = Auto::new(Duration::ZERO, silent());
    holds(&auto);
    assert!(auto.has_decided(), "found faster, slower, or not at all");
    holds(&auto);
    // Single views stay on the processor, to the last bit.
    let stage = stage();
    for view in views(&stage) {
        let [mut a, mut b] = [Sighting::default(), Sighting::default()];
        auto.sight(&stage, &view, Around::Nothing, &mut a);
        Cpu::default().sight(&stage, &view, Around::Nothing, &mut b);
        assert!(a.alone.ids == b.alone.ids && a.alone.near == b.alone.near);
    }
}

#[test]
fn many_threads_may_come_upon_the_trial_at_once() {
    let auto = Auto::new(Duration::ZERO, silent());
    let stage = stage();
    let views = views(&stage);
    let folded = Mutex::new(0);
    rayon::scope(|scope| {
        for _ in 0..6 {
            scope.spawn(|_| {
                auto.count_each(&stage, &views, Around::Nothing, &|_, counts| {
                    assert!(counts.alone.iter().sum::<u32>() > 500);
                    *folded.lock().unwrap() += 1;
                });
            });
        }
    });
    assert_eq!(folded.into_inner().unwrap(), 6 * views.len());
}

#[test]
fn what_is_asked_for_is_what_draws() {
    let cpu = Chosen::new(Choice::Cpu, silent()).unwrap();
    holds(cpu.rasterizer());
    assert_eq!(cpu.adapter(), None);
    let Some(gpu) = adapter() else { return };
    let drawing = Chosen::new(Choice::Gpu, silent()).unwrap();
    holds(drawing.rasterizer());
    assert_eq!(drawing.adapter(), Some(gpu.name.as_str()));
    assert_eq!(drawing.rasterizer().views_drawn(), views(&stage()).len());
}

/// Long work on a GPU that was asked for: batches go there, what is proved stays on the processor.
#[test]
fn a_search_leaves_single_views_to_the_processor() {
    if adapter().is_none() {
        return;
    }
    let drawing = Chosen::new(Choice::Gpu, silent()).unwrap().for_search();
    holds(drawing.rasterizer());
    let Chosen::Auto(auto) = &drawing else {
        panic!("nobody decided");
    };
    let (stage, views) = (stage(), views(&stage()));
    let by_gpu = || auto.gpu().expect("it was settled").views_drawn();
    assert_eq!(by_gpu(), views.len());
    let mut sighting = Default::default();
    (drawing.rasterizer()).sight(&stage, &views[0], Around::Casters, &mut sighting);
    assert_eq!(by_gpu(), views.len());
    assert_eq!(drawing.rasterizer().views_drawn(), views.len() + 1);
}

fn grade(who: &str, environment: &[(&str, &str)]) -> (i32, String, String) {
    sunside(
        &["grade", "scenes/open_siding.toml", "--rasterizer", who],
        environment,
    )
}

fn sunside(args: &[&str], environment: &[(&str, &str)]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("sunside").unwrap();
    command.args(args);
    let output = command.envs(environment.iter().copied()).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (
        output.status.code().unwrap(),
        text(output.stdout),
        text(output.stderr),
    )
}

/// Without a backend (this one is another system's) there is no adapter.
#[cfg(target_os = "linux")]
#[test]
fn without_an_adapter_the_gpu_is_refused_in_one_sentence_and_auto_goes_on() {
    let none = [("WGPU_BACKEND", "dx12"), ("NO_COLOR", "1")];
    let (status, out, err) = grade("gpu", &none);
    assert_eq!((status, out.as_str()), (2, ""), "{err}");
    let err = err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        err.contains("--rasterizer gpu: no graphics adapter was found"),
        "{err}"
    );
    assert!(err.contains("mesa-vulkan-drivers"), "{err}");
    let (status, out, err) = grade("auto", &none);
    assert_eq!(status, 0, "{err}");
    assert_eq!(out, grade("cpu", &none).1);
}

#[test]
fn the_command_line_s_gpu_says_what_the_processor_says() {
    if adapter().is_none() {
        return;
    }
    let (status, out, err) = grade("gpu", &[]);
    let (wanted_status, wanted, _) = grade("cpu", &[]);
    assert_eq!(status, wanted_status, "{err}");
    assert!(err.contains("Drawn with "), "{err}");
    let verdict = |text: &str| {
        text.lines()
            .find(|line| line.contains("Verdict") || line.contains("score"))
            .map(String::from)
    };
    assert_eq!(verdict(&out), verdict(&wanted), "{out}");
    assert!(out.lines().count() == wanted.lines().count());
}

#[test]
fn lenses_and_light_say_who_drew_and_say_the_same() {
    if adapter().is_none() {
        return;
    }
    let scene = "tests/scenes/box_siding.toml";
    let lenses = ["lenses", scene, "--lens", "50"];
    let light = ["light", scene, "--date", "2027-05-14"];
    for command in [&lenses, &light] {
        let by = |who| sunside(&[command.as_slice(), &["--rasterizer", who]].concat(), &[]);
        let ((status, out, err), (wanted_status, wanted, quiet)) = (by("gpu"), by("cpu"));
        assert_eq!(
            (status, out.lines().count()),
            (wanted_status, wanted.lines().count()),
            "{err}"
        );
        assert!(err.contains("Drawn with "), "{err}");
        assert!(!quiet.contains("Drawn with "), "{quiet}");
    }
}
