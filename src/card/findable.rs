//! Things that can be found on the ground, from which a spot is measured. May not enter: how they are drawn.

use crate::grade::Studio;
use crate::picture::drawing::site_plan::Mark;
use crate::scene::Scene;
use crate::scene::surroundings::Kind;
use crate::sighting::shown::Side;
use crate::units::compass_word;
use glam::{DVec2, DVec3};

/// Nobody paces farther than this, metres.
const FAR_M: f64 = 60.0;
/// Poles and the like that are named at most.
const UPRIGHTS: usize = 3;

/// Where a spot lies along the machine's line, in words that need no drawing: from the nearer coupler and the near rail.
pub fn along(studio: &Studio, spot_m: DVec2) -> String {
    let scene = &studio.scene;
    let machine = &scene.machine;
    let ahead_m = machine.frame().to_machine(spot_m.extend(0.0)).x;
    let forward_deg = machine.forward_bearing_deg();
    let front_m = ahead_m - machine.model.head.coupler_x_m;
    let rear_m = machine.model.rear.coupler_x_m - ahead_m;
    // Positive: beyond the end, else back from it, toward the other one.
    let (end, beyond_m, out_deg) = match front_m > rear_m {
        true => (&machine.model.head, front_m, forward_deg),
        false => (&machine.model.rear, rear_m, forward_deg + 180.0),
    };
    let (how, toward_deg) = match beyond_m >= 0.0 {
        true => ("beyond", out_deg),
        false => ("back from", out_deg + 180.0),
    };
    let rail_m = scene.tracks[machine.track].distance_to_rail_m(spot_m);
    format!(
        "{:.1} m {how} the {} coupler toward the {}, {rail_m:.1} m from the near rail",
        beyond_m.abs(),
        end.name,
        compass_word(toward_deg)
    )
}

/// Distances to a spot: the nearest rail of the machine's track, the near corner of the machine's nearer end, then the
/// nearest uprights and the nearest corner of a building.
pub fn marks(studio: &Studio, side: Side, spot_m: DVec2) -> Vec<Mark> {
    let scene = &studio.scene;
    let mark = |name: &str, at_m: DVec2| Mark {
        name: name.to_string(),
        at_m,
        distance_m: at_m.distance(spot_m),
        walkable: is_walkable(studio, at_m, spot_m),
    };
    let mut marks = Vec::new();
    marks.extend(nearest_rail(scene, spot_m));
    let frame = scene.machine.frame();
    let model = &scene.machine.model;
    let is_ahead = frame.to_machine(spot_m.extend(0.0)).x >= 0.0;
    let end = match is_ahead {
        true => &model.head,
        false => &model.rear,
    };
    let corner = DVec3::new(end.corner_x_m, side.sign() * end.corner_half_width_m, 0.0);
    let corner = frame.to_site(corner).truncate();
    marks.push(mark(&format!("near {} corner", end.name), corner));
    // The ground's own end: the one thing to which one may walk.
    let area = scene.ground.may_stand(&scene.tracks, spot_m).ok();
    let ends = area.into_iter().flat_map(|area| {
        let name = format!("nearest corner of the {}", area.name);
        area.polygon_m.iter().map(move |at_m| mark(&name, *at_m))
    });
    let nearest = ends.min_by(|a, b| a.distance_m.total_cmp(&b.distance_m));
    marks.extend(nearest.filter(|mark| mark.distance_m <= FAR_M));
    let mut uprights: Vec<Mark> = scene
        .surroundings
        .iter()
        .filter(|object| {
            matches!(
                object.kind,
                Kind::Pole | Kind::Mast | Kind::Signal | Kind::SwitchStand
            )
        })
        .map(|object| mark(&object.name, object.foot_m()))
        .filter(|mark| mark.distance_m <= FAR_M)
        .collect();
    uprights.sort_by(|a, b| a.distance_m.total_cmp(&b.distance_m));
    uprights.truncate(UPRIGHTS);
    marks.extend(uprights);
    let corners = scene
        .surroundings
        .iter()
        .filter(|o| o.kind == Kind::Building)
        .flat_map(|object| {
            let corners = object
                .solids
                .iter()
                .flat_map(|solid| solid.convex().corners);
            corners.map(|p| mark(&format!("{}, nearest corner", object.name), p.truncate()))
        });
    let nearest = corners.min_by(|a, b| a.distance_m.total_cmp(&b.distance_m));
    marks.extend(nearest.filter(|mark| mark.distance_m <= FAR_M));
    marks
}

/// The last this much before a thing is not asked for: it stands there itself, or a step beside the ground.
const ARM_M: f64 = 0.8;

/// Whether the straight way from a thing to the spot stays on ground where one may stand.
fn is_walkable(studio: &Studio, from_m: DVec2, to_m: DVec2) -> bool {
    let length_m = from_m.distance(to_m);
    let steps = (length_m / 0.5).ceil().max(1.0) as usize;
    (0..=steps).map(|i| i as f64 / steps as f64).all(|share| {
        let at_m = from_m.lerp(to_m, share);
        share * length_m < ARM_M || studio.scene.may_stand(&studio.obstacles, at_m).is_ok()
    })
}

/// The nearest point of the nearest rail of the machine's track.
fn nearest_rail(scene: &Scene, spot_m: DVec2) -> Option<Mark> {
    let track = &scene.tracks[scene.machine.track];
    let nearest = track
        .points_m
        .windows(2)
        .filter(|pair| pair[0] != pair[1])
        .map(|pair| {
            let along = pair[1] - pair[0];
            let t = ((spot_m - pair[0]).dot(along) / along.length_squared()).clamp(0.0, 1.0);
            pair[0] + along * t
        })
        .min_by(|a, b| a.distance(spot_m).total_cmp(&b.distance(spot_m)))?;
    let distance_m = track.distance_to_rail_m(spot_m);
    let away = (nearest - spot_m).normalize_or_zero();
    Some(Mark {
        name: format!("nearest rail, {}", track.name),
        at_m: spot_m + away * distance_m,
        distance_m,
        // Nobody paces to a rail.
        walkable: false,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grade::Rulebook;
    use crate::sighting::cpu::Cpu;
    use std::path::Path;

    #[test]
    fn the_rail_the_corner_and_the_pole_are_measured_from_the_spot() {
        let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
        let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
        let studio = Studio::new(scene, &rulebook, &cpu, None);
        // The track runs from north to south through the origin and the machine heads south: its left
        // side faces east.
        let found = marks(&studio, Side::Left, DVec2::new(22.0, -22.0));
        let by = |start: &str| {
            found
                .iter()
                .find(|mark| mark.name.starts_with(start))
                .unwrap()
                .distance_m
        };
        assert!((by("nearest rail") - (22.0 - 0.7175 - 0.075)).abs() < 1e-9);
        assert!((by("near front corner") - (22.0f64 - 0.92).hypot(22.0 - 9.5)).abs() < 1e-9);
        // From behind the middle it is the other end that is near.
        let behind = marks(&studio, Side::Left, DVec2::new(22.0, 22.0));
        let corner = behind
            .iter()
            .find(|mark| mark.name == "near rear corner")
            .unwrap();
        assert!((corner.distance_m - (22.0f64 - 0.92).hypot(22.0 - 9.6)).abs() < 1e-9);
        // The pole at (-12, 30) stands 62 m off, too far to pace; from (5, 30) it is 17 m.
        assert!(!found.iter().any(|mark| mark.name == "pole"));
        let near = marks(&studio, Side::Left, DVec2::new(5.0, 30.0));
        let pole = near.iter().find(|mark| mark.name == "pole").unwrap();
        assert!((pole.distance_m - 17.0).abs() < 1e-9);
    }

    #[test]
    fn an_end_is_called_as_its_model_calls_it() {
        let scene = Scene::load(Path::new("scenes/birch_fell_yard.toml")).unwrap();
        let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
        let studio = Studio::new(scene, &rulebook, &cpu, None);
        let frame = studio.scene.machine.frame();
        for (ahead_m, end) in [(12.0, "hood end"), (-12.0, "cab end")] {
            let spot_m = frame.to_site(DVec3::new(ahead_m, 12.0, 0.0)).truncate();
            let corner = format!("near {end} corner");
            let found = marks(&studio, Side::Left, spot_m);
            assert!(found.iter().any(|mark| mark.name == corner), "{found:?}");
            let told = along(&studio, spot_m);
            assert!(
                told.contains(&format!("beyond the {end} coupler")),
                "{told}"
            );
        }
    }

    #[test]
    fn a_spot_is_told_from_the_nearer_coupler_along_the_track() {
        let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
        let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
        let studio = Studio::new(scene, &rulebook, &cpu, None);
        // It heads south, 10.5 m from its middle to either coupler; rails lie 0.7925 m from the middle of the track.
        for (north_m, told) in [
            (-24.5, "14.0 m beyond the front coupler toward the south"),
            (-4.5, "6.0 m back from the front coupler toward the north"),
            (4.5, "6.0 m back from the rear coupler toward the south"),
            (24.5, "14.0 m beyond the rear coupler toward the north"),
        ] {
            let wanted = format!("{told}, 9.2 m from the near rail");
            assert_eq!(along(&studio, DVec2::new(10.0, north_m)), wanted);
        }
    }
}
