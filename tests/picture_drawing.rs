//! The drawings: the shadow line where the closed form's table has it. May not enter: frames.

use std::path::Path;
use std::sync::Arc;
use sunside::picture::drawing::handrail::{self, Moment};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::shown::Side;
use sunside::sighting::stage::Stage;
use sunside::sky::sun::toward;

#[test]
fn the_drawn_line_hangs_below_the_rail_by_stand_off_times_tangent() {
    let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
    let stage = Stage::of_model(Arc::clone(&scene.machine.model));
    // In the machine frame x is forward and y left; the left side's normal is bearing 0 there.
    let moment = |label: &str, azimuth_deg, elevation_deg| Moment {
        label: label.into(),
        toward: toward(azimuth_deg, elevation_deg),
    };
    let moments = [
        moment("start", 30.0, 25.0),
        moment("best", 0.0, 45.0),
        moment("end", 80.0, 50.0),
    ];
    let svg = handrail::svg(&Cpu::default(), &stage, Side::Left, &moments).unwrap();
    // 0.58 m x tan(25°)/cos(30°) = 0.31 m; 0.58 m x 1; 0.58 m x tan(50°)/cos(80°) = 3.98 m.
    assert!(svg.contains("0.31 m below the rail"));
    assert!(svg.contains("0.58 m below the rail"));
    assert!(svg.contains("3.98 m: off the doors"));
    let dark = handrail::svg(&Cpu::default(), &stage, Side::Right, &moments).unwrap();
    assert_eq!(dark.matches("no sun on this side").count(), 3);
}

#[test]
fn a_machine_without_a_handrail_has_no_such_drawing() {
    let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
    let mut model = (*scene.machine.model).clone();
    model.handrail = None;
    let stage = Stage::of_model(Arc::new(model));
    assert_eq!(
        handrail::svg(&Cpu::default(), &stage, Side::Left, &[]),
        None
    );
}
