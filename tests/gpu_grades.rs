//! Grades from the GPU's frames are those from the processor's. May not enter: pixels.

use crate::graphics::drawing;
use std::path::Path;
use sunside::grade::{Grade, Graded, MeasureId, Reading, Rulebook, Studio};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::rasterizer::Rasterizer;

/// By how much a measure may differ between the two, in its own unit: percentages of a part in pixels whose
/// edges are ties, lengths in pixels of the body's elevations (20 mm), everything else hardly. Common practice:
/// a few times what was seen.
fn tolerance(id: MeasureId, value: f64) -> f64 {
    let word = format!("{id:?}");
    match word.contains("Shadow") || word.contains("Hidden") || word.contains("Lit") {
        true => 0.5_f64.max(0.01 * value.abs()),
        false => 0.1_f64.max(0.01 * value.abs()),
    }
}

fn graded(
    rasterizer: &dyn Rasterizer,
    scene: &Scene,
    rulebook: &Rulebook,
    hours: &[i64],
) -> Vec<Graded> {
    let studio = Studio::new(scene.clone(), rulebook, rasterizer, None);
    let at = scene.frame.at.expect("a shipped scene names its time");
    let minutes = hours
        .iter()
        .map(|hours| studio.minute(at + chrono::TimeDelta::hours(*hours)));
    let stand = studio.default_stand();
    minutes
        .map(|minute| studio.grade(&stand, &studio.default_capture(), &minute))
        .collect()
}

#[test]
fn verdicts_are_equal_unless_a_measure_lies_within_its_tolerance_of_a_limit() {
    let Some(drawing) = drawing() else { return };
    let rulebook = Rulebook::roster();
    let (mut values, mut verdicts, mut near_a_limit) = (0, Vec::new(), 0);
    for name in ["open_siding", "crowded_shop"] {
        let scene = Scene::load(Path::new(&format!("scenes/{name}.toml"))).unwrap();
        let hours = [-4, -2, 0, 2, 5, 8];
        let [cpu, gpu] = [&Cpu::default() as &dyn Rasterizer, drawing]
            .map(|rasterizer| graded(rasterizer, &scene, &rulebook, &hours));
        for ((cpu, gpu), hours) in cpu.iter().zip(&gpu).zip(hours) {
            let told = format!("{name}, {hours} h from its own time");
            let ids =
                |graded: &Graded| graded.measured.iter().map(|one| one.id).collect::<Vec<_>>();
            assert_eq!(ids(cpu), ids(gpu), "{told}");
            let mut excused = false;
            for (a, b) in cpu.measured.iter().zip(&gpu.measured) {
                let (Reading::Value(x), Reading::Value(y)) = (&a.reading, &b.reading) else {
                    assert_eq!(a.reading, b.reading, "{told}: {:?}", a.id);
                    continue;
                };
                values += 1;
                let within = (x - y).abs() <= tolerance(a.id, *x);
                assert!(within, "{told}: {:?} {x} {y}", a.id);
                let grades: Option<[Grade; 2]> = rulebook
                    .rule(a.id)
                    .map(|rule| [*x, *y].map(|v| rule.penalty(v).0));
                if grades.is_some_and(|[a, b]| a != b) {
                    println!("{told}: {:?} {x} {y} on either side of a limit", a.id);
                    excused = true;
                }
            }
            near_a_limit += usize::from(excused);
            assert!(excused || cpu.sheet.verdict == gpu.sheet.verdict, "{told}");
            assert!((cpu.sheet.score - gpu.sheet.score).abs() < 1.0, "{told}");
            verdicts.push(cpu.sheet.verdict);
        }
    }
    assert!(values > 200, "{values}");
    verdicts.dedup();
    assert!(
        verdicts.len() > 2,
        "minutes of more than one kind: {verdicts:?}"
    );
    assert!(near_a_limit <= 2, "{near_a_limit}");
}
