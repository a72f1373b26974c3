//! Lines over the frame lie where closed forms put them: the handrail's shadow, the photographer's own, the eye's
//! height, plumb lines. Trigonometry of planar shadows and of central projection. May not enter: masks of surroundings.

use crate::silhouette_site::studio_of;
use glam::DVec3;
use std::path::Path;
use sunside::camera::projection::Camera;
use sunside::grade::{Culprits, Mark, MarkRole, MeasureId, Rulebook, Studio, WIDEST_GRADED_DEG};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::units::wrap_180;

const WIDTH_PX: usize = 720;

fn mark<'a>(found: &'a Culprits, label: &str) -> &'a Mark {
    let named = |mark: &&Mark| mark.label.as_deref() == Some(label);
    found
        .marks
        .iter()
        .find(named)
        .unwrap_or_else(|| panic!("no {label}: {found:?}"))
}

/// Where the ray through a place of the frame meets an upright plane beside the machine.
fn on_plane(camera: &Camera, [u, v]: [f64; 2], y: f64) -> DVec3 {
    let ray = camera.ray(u, v);
    camera.pose.eye + ray * ((y - camera.pose.eye.y) / ray.y)
}

fn siding(then: impl Fn(&Studio)) {
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    then(&Studio::new(scene, &rulebook, &cpu, None));
}

/// Drop = stand-off · tan(elevation) / cos(azimuth from the side's normal).
#[test]
fn the_handrails_shadow_is_drawn_so_far_below_the_rail_as_it_falls() {
    siding(|studio| {
        let stand = studio.default_stand();
        let capture = studio.default_capture();
        let composed = studio.compose(&stand, &capture, &studio.rulebook.search, WIDEST_GRADED_DEG);
        let minute = studio.minute(studio.scene.frame.at.unwrap());
        let found = studio.culprits(&composed, &minute, MeasureId::HandrailShadow, WIDTH_PX);
        let model = &studio.scene.machine.model;
        let (rail, doors) = (model.handrail.unwrap(), model.doors.unwrap());
        let camera = &composed.camera;
        let side = camera.pose.eye.y.signum();
        let forward = studio.frame.forward;
        let heading_deg = forward.x.atan2(forward.y).to_degrees();
        let normal_deg = heading_deg - 90.0 * side;
        let off = wrap_180(minute.sun.azimuth_deg - normal_deg).to_radians();
        let rise = minute.sun.elevation_deg.to_radians().tan();
        let drop_m = (rail.offset_m - doors.offset_m) * rise / off.cos();
        let shadow = mark(&found, "its shadow");
        assert_eq!(shadow.role, MarkRole::Value);
        for place in &shadow.points {
            let at = on_plane(camera, *place, side * doors.offset_m);
            assert!((at.z - (rail.height_m - drop_m)).abs() < 1e-6, "{at}");
            assert!(at.x > model.rear.corner_x_m - 1e-6 && at.x < model.head.corner_x_m + 1e-6);
        }
        for place in &mark(&found, "doors' lower edge").points {
            let at = on_plane(camera, *place, side * doors.offset_m);
            assert!((at.z - doors.bottom_m).abs() < 1e-6, "{at}");
        }
    });
}

/// A person of 1.75 m throws a shadow of 1.75 m / tan(elevation).
#[test]
fn the_photographers_shadow_ends_where_the_heads_shadow_falls() {
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = studio_of("", &rulebook, &cpu);
    let minute = studio.minute("2027-06-21T12:10:00Z".parse().unwrap());
    let mut stand = studio.default_stand();
    stand.heading_deg = minute.sun.azimuth_deg + 180.0;
    let capture = studio.default_capture();
    let composed = studio.compose(&stand, &capture, &rulebook.search, WIDEST_GRADED_DEG);
    let found = studio.culprits(&composed, &minute, MeasureId::OwnShadow, WIDTH_PX);
    let length_m = 1.75 / minute.sun.elevation_deg.to_radians().tan();
    // The eye is 1.5 m over the ground; 50 mm on a frame 24 mm high.
    let tip_row = (0.5 + 50.0 * 1.5 / length_m / 24.0) * found.mask.height as f64;
    assert!(
        tip_row < found.mask.height as f64,
        "{length_m} m reach into the frame"
    );
    let lit = |row: usize| found.mask.values[row * WIDTH_PX + WIDTH_PX / 2] > 0;
    let first = (0..found.mask.height).find(|row| lit(*row)).unwrap();
    assert!((first as f64 - tip_row).abs() <= 1.0, "{first} {tip_row}");
    assert!(
        (first..found.mask.height).all(lit),
        "from there to the lower edge"
    );
    // Twin: turned aside by more than the frame's half, nothing of it is seen.
    stand.heading_deg += 40.0;
    let aside = studio.compose(&stand, &capture, &rulebook.search, WIDEST_GRADED_DEG);
    let found = studio.culprits(&aside, &minute, MeasureId::OwnShadow, WIDTH_PX);
    assert_eq!(
        found.nothing.as_deref(),
        Some("your shadow falls outside the frame")
    );
}

/// The eye's height is the horizon, whatever the distance; a level camera has that in the frame's middle.
#[test]
fn the_eyes_height_lies_on_the_horizon_and_the_limits_line_on_the_side() {
    siding(|studio| {
        let stand = studio.default_stand();
        let capture = studio.default_capture();
        let composed = studio.compose(&stand, &capture, &studio.rulebook.search, WIDEST_GRADED_DEG);
        let minute = studio.minute(studio.scene.frame.at.unwrap());
        let found = studio.culprits(&composed, &minute, MeasureId::EyeOverRail, WIDTH_PX);
        let level = &mark(&found, "eye's height").points;
        assert!(
            level.iter().all(|[_, v]| (v - 0.5).abs() < 1e-9),
            "{level:?}"
        );
        let rail = &mark(&found, "rail").points;
        assert!(rail.iter().all(|[_, v]| *v > 0.5), "{rail:?}");
    });
}

/// Closed form: looking down, uprights right of the middle lean outward at their heads; the plumb line does not.
#[test]
fn a_leaning_edge_stands_beside_an_upright_plumb_line() {
    siding(|studio| {
        let mut stand = studio.default_stand();
        stand.pitch_deg = -6.0;
        let capture = studio.default_capture();
        let composed = studio.compose(&stand, &capture, &studio.rulebook.search, WIDEST_GRADED_DEG);
        let minute = studio.minute(studio.scene.frame.at.unwrap());
        let found = studio.culprits(&composed, &minute, MeasureId::Lean, WIDTH_PX);
        let plumb = mark(&found, "plumb");
        assert!((plumb.points[0][0] - plumb.points[1][0]).abs() < 1e-9);
        let edge = found
            .marks
            .iter()
            .find(|mark| mark.role == MarkRole::Value)
            .unwrap();
        let [foot, head] = [edge.points[0], edge.points[1]];
        assert!(foot[1] > head[1], "its foot is the lower end");
        assert_eq!((head[0] - foot[0]).signum(), (foot[0] - 0.5).signum());
        let lean = ((head[0] - foot[0]) * 36.0)
            .abs()
            .atan2((foot[1] - head[1]) * 24.0);
        let told = composed
            .measured
            .iter()
            .find(|one| one.id == MeasureId::Lean)
            .unwrap();
        let measured_deg = -told.signed.unwrap();
        assert!(
            (lean.to_degrees() - measured_deg).abs() < 1e-6,
            "{measured_deg}"
        );
        // The guides hold two plumb lines, the level and four margins.
        assert_eq!(studio.guides(&composed).len(), 7);
    });
}
