//! The GPU's pixels against the processor's, which ray tracers vouch for. May not enter: batches, verdicts.

use crate::graphics::drawing;
use crate::graphics::stages::{differing, machine, of_machine, scene, sight, views};
use glam::{DVec2, DVec3};
use std::sync::Arc;
use sunside::mesh::patch::Patches;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::{Frame, Id};
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::Stage;
use sunside::sighting::view::View;

const MACHINES: [&str; 4] = [
    "hood_six_axle",
    "road_switcher",
    "end_cab_switcher",
    "carbody_unit",
];
const SCENES: [&str; 2] = ["open_siding", "crowded_shop"];

/// A view moved by parts of a pixel.
fn moved(view: &View, pixels: DVec2) -> View {
    let by = pixels / view.pixels_per_unit();
    View {
        low: view.low + by,
        high: view.high + by,
        ..view.clone()
    }
}

/// How two frames differ in the machine's pixels.
#[derive(Default)]
struct Difference {
    of_machine: usize,
    differing: usize,
    outline: usize,
}

impl Difference {
    fn add(&mut self, wanted: &Frame, drawn: &Frame) {
        assert_eq!((wanted.width, wanted.height), (drawn.width, drawn.height));
        for (a, b) in wanted.ids.iter().zip(&drawn.ids) {
            self.of_machine += usize::from(of_machine(*a));
            self.differing += usize::from(a != b && (of_machine(*a) || of_machine(*b)));
            self.outline += usize::from(of_machine(*a) != of_machine(*b));
        }
    }

    fn share(&self) -> f64 {
        self.differing as f64 / self.of_machine as f64
    }
}

/// Whether the machine shows all round a pixel. A hole of one pixel within it is no outline: where an edge ends
/// on another's middle, rounded corners may leave a gap between their faces.
fn is_within(frame: &Frame, pixel: usize) -> bool {
    let (width, height) = (frame.width, frame.height);
    let (column, row) = (pixel % width, pixel / width);
    let round = |row: usize| (column - 1..=column + 1).map(move |column| row * width + column);
    (1..width - 1).contains(&column)
        && (1..height - 1).contains(&row)
        && (row - 1..=row + 1).all(|row| round(row).all(|i| i == pixel || of_machine(frame.ids[i])))
}

/// How many pixels differ that no tie explains: those in the outline, and others. A tie is where the processor
/// sees the same when its grid is moved by a few thousandths of a pixel: an edge passes through the pixel's
/// centre. (Adapters place corners on a grid of 1/256 of a pixel.)
fn unexplained(
    stage: &Stage,
    view: &View,
    around: Around,
    wanted: &Frame,
    drawn: &Frame,
) -> (usize, usize) {
    let ring = |by: f64| {
        [-by, 0.0, by]
            .into_iter()
            .flat_map(move |x| [-by, 0.0, by].map(|y| DVec2::new(x, y)))
    };
    let shifts = ring(0.003).chain(ring(0.01));
    let near: Vec<Frame> = shifts
        .map(|by| match around {
            Around::Nothing => sight(&Cpu::default(), stage, &moved(view, by), around).alone,
            _ => sight(&Cpu::default(), stage, &moved(view, by), around).all,
        })
        .collect();
    let (mut outline, mut inner) = (0, 0);
    for (i, (a, b)) in wanted.ids.iter().zip(&drawn.ids).enumerate() {
        if a != b && near.iter().all(|frame| frame.ids[i] != *b) {
            match of_machine(*a) != of_machine(*b) && !is_within(wanted, i) {
                true => outline += 1,
                false => inner += 1,
            }
        }
    }
    (outline, inner)
}

/// Where both show the same, they agree how near it is: the machine to 2 mm (5 mm is one
/// surface to `sighting::lit`), the ground, a single face
/// that runs from underfoot to the horizon, to 20 mm at 50 m; but for a pixel in a thousand, where ties lie within
/// a patch, or a face is seen so edge-on that its depth changes much within a pixel.
fn agree_in_depth(view: &View, wanted: &Frame, drawn: &Frame) {
    let mut beyond = 0;
    for (i, (a, b)) in wanted.ids.iter().zip(&drawn.ids).enumerate() {
        if a != b {
            continue;
        }
        if *a == Id::NOTHING {
            assert_eq!(drawn.near[i], f32::NEG_INFINITY);
            continue;
        }
        let (column, row) = (i % wanted.width, i / wanted.width);
        let [p, q] = [wanted.near[i], drawn.near[i]].map(|near| view.point(column, row, near));
        let far_m = (p - view.eye).length();
        let within_m = if of_machine(*a) { 0.002 } else { 0.02 };
        beyond += usize::from(p.distance(q) > within_m * (far_m / 50.0).max(1.0).powi(2));
    }
    let pixels = wanted.ids.len();
    assert!(
        beyond * 1000 <= pixels,
        "{beyond} of {pixels} pixels lie elsewhere"
    );
}

#[test]
fn the_same_pixels_as_the_processors_but_for_ties_at_edges() {
    let Some(drawing) = drawing() else { return };
    let machines = MACHINES.map(|name| (name, machine(name), Around::Nothing));
    let scenes = SCENES.map(|name| (name, scene(name), Around::Everything));
    for (name, stage, around) in machines.into_iter().chain(scenes) {
        // Search and proof size each for itself.
        for (width, sun_width) in [(384, 512), (1152, 1024)] {
            let mut total = Difference::default();
            for view in views(&stage, width, sun_width) {
                let [wanted, drawn] = [&Cpu::default() as &dyn Rasterizer, drawing]
                    .map(|rasterizer| sight(rasterizer, &stage, &view, around));
                total.add(&wanted.alone, &drawn.alone);
                agree_in_depth(&view, &wanted.alone, &drawn.alone);
                if around != Around::Nothing {
                    total.add(&wanted.all, &drawn.all);
                    agree_in_depth(&view, &wanted.all, &drawn.all);
                }
                if width == 384 {
                    let frames = match around {
                        Around::Nothing => (&wanted.alone, &drawn.alone),
                        _ => (&wanted.all, &drawn.all),
                    };
                    let (outline, inner) = unexplained(&stage, &view, around, frames.0, frames.1);
                    println!("{name}: {outline} and {inner} pixels that no tie explains");
                    assert!(outline == 0 && inner <= 5, "{name}: {outline} {inner}");
                }
            }
            let Difference {
                of_machine,
                differing,
                outline,
            } = total;
            println!(
                "{name} at {width}: {differing} of {of_machine} differ, {outline} in the outline"
            );
            assert!(of_machine > 50_000, "{name}: {of_machine}");
            assert!(
                differing > 0 && !drawing.has_failed(),
                "{name}: the processor against itself"
            );
            assert!(
                total.share() <= 0.001,
                "{name} at {width}: {}",
                total.share()
            );
            assert!(
                (outline as f64) < 0.0001 * of_machine as f64,
                "{name}: {outline}"
            );
        }
    }
}

#[test]
fn an_open_mesh_shows_both_its_sides() {
    let Some(drawing) = drawing() else { return };
    let stage = machine("road_switcher");
    let mut patches = Patches::clone(&stage.patches);
    patches.closed = false;
    for corners in patches.triangles.iter_mut().step_by(2) {
        corners.swap(1, 2); // inside out
    }
    let stage = Stage {
        patches: Arc::new(patches),
        ..stage
    };
    let mut total = Difference::default();
    for view in views(&stage, 700, 900) {
        let [wanted, drawn] = [&Cpu::default() as &dyn Rasterizer, drawing]
            .map(|rasterizer| sight(rasterizer, &stage, &view, Around::Nothing).alone);
        total.add(&wanted, &drawn);
    }
    assert!(
        total.share() <= 0.001 && total.of_machine > 100_000,
        "{}",
        total.share()
    );
}

#[test]
fn an_eye_within_the_machine_sees_what_the_processor_sees() {
    let Some(drawing) = drawing() else { return };
    let stage = scene("open_siding");
    // Half a metre over the walkway, the hood all round: triangles pass behind the eye and through the near plane.
    let (sin, cos) = 0.4_f64.sin_cos();
    let basis = [
        DVec3::new(sin, -cos, 0.0),
        DVec3::Z,
        DVec3::new(cos, sin, 0.0),
    ];
    for at in [(-9.0, 1.35, 2.2), (0.0, 1.52, 2.0), (3.0, -1.5, 1.7)] {
        let half = DVec2::new(0.9, 0.6);
        let view = View::of_camera(DVec3::from(at), basis, -half, half, 600);
        let [wanted, drawn] = [&Cpu::default() as &dyn Rasterizer, drawing]
            .map(|rasterizer| sight(rasterizer, &stage, &view, Around::Everything).all);
        let seen = wanted.ids.iter().filter(|id| of_machine(**id)).count();
        let differing = differing(&wanted, &drawn);
        assert!(
            seen > 10_000 && differing * 500 <= seen,
            "{differing} of {seen}"
        );
    }
}
