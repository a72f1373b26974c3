//! Things that can be found on the ground, from which a spot is measured. May not enter: how they are drawn.

use crate::grade::Studio;
use crate::picture::drawing::site_plan::Mark;
use crate::scene::Scene;
use crate::scene::surroundings::{Kind, Object};
use crate::sighting::shown::Side;
use glam::{DVec2, DVec3};

/// Nobody paces farther than this, metres.
const FAR_M: f64 = 60.0;
/// Poles and the like that are named at most.
const UPRIGHTS: usize = 3;

/// Distances to a spot: the nearest rail of the machine's track, the machine's near front corner, then the
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
    let head = &scene.machine.model.head;
    let corner = DVec3::new(head.corner_x_m, side.sign() * head.corner_half_width_m, 0.0);
    let corner = scene.machine.frame().to_site(corner).truncate();
    marks.push(mark("near front corner", corner));
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
        .map(|object| mark(&object.name, foot(object)))
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

/// Where an upright thing stands: the middle of its lowest corners.
fn foot(object: &Object) -> DVec2 {
    let corners: Vec<DVec3> = object
        .solids
        .iter()
        .flat_map(|solid| solid.convex().corners)
        .collect();
    let lowest = corners.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
    let low: Vec<DVec2> = corners
        .iter()
        .filter(|p| p.z < lowest + 0.05)
        .map(|p| p.truncate())
        .collect();
    low.iter().sum::<DVec2>() / low.len().max(1) as f64
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
        // The pole at (-12, 30) stands 62 m off, too far to pace; from (5, 30) it is 17 m.
        assert!(!found.iter().any(|mark| mark.name == "pole"));
        let near = marks(&studio, Side::Left, DVec2::new(5.0, 30.0));
        let pole = near.iter().find(|mark| mark.name == "pole").unwrap();
        assert!((pole.distance_m - 17.0).abs() < 1e-9);
    }
}
