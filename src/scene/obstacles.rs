//! What nobody can stand in: the solids of a site, looked up by place. May not enter: whose ground it is.

use super::Scene;
use super::surroundings::Kind;
use crate::mesh::solid::Convex;
use glam::{DVec2, DVec3};

/// Heights over the ground at which a person is asked for: knees, and a camera's usual eye.
const PERSON_M: [f64; 2] = [0.5, 1.5];

struct Obstacle {
    name: String,
    low: DVec3,
    high: DVec3,
    piece: Convex,
}

/// The solids of a site.
#[derive(Default)]
pub struct Obstacles {
    all: Vec<Obstacle>,
}

impl Obstacles {
    /// Everything that fills its place; what hangs over the ground shades, and stops nobody below it.
    pub fn of(scene: &Scene) -> Obstacles {
        let mut all = Vec::new();
        for object in &scene.surroundings {
            if object.kind == Kind::Fence {
                continue; // a sheet without thickness: one stands before it or behind
            }
            for solid in &object.solids {
                let piece = solid.convex();
                let bound = |start: DVec3, pick: fn(DVec3, DVec3) -> DVec3| {
                    piece.corners.iter().fold(start, |bound, p| pick(bound, *p))
                };
                all.push(Obstacle {
                    name: object.name.clone(),
                    low: bound(DVec3::INFINITY, DVec3::min),
                    high: bound(DVec3::NEG_INFINITY, DVec3::max),
                    piece,
                });
            }
        }
        Obstacles { all }
    }

    /// The name of what fills a point of the site.
    pub fn at(&self, point: DVec3) -> Option<&str> {
        let fills = |one: &&Obstacle| {
            point.cmpge(one.low).all() && point.cmple(one.high).all() && one.piece.contains(point)
        };
        self.all.iter().find(fills).map(|one| one.name.as_str())
    }

    /// The name of what a person at a spot would stand in; `ground_z_m` is the ground's height there.
    pub fn person_in(&self, spot_m: DVec2, ground_z_m: f64) -> Option<&str> {
        let at = |height_m: f64| self.at(spot_m.extend(ground_z_m + height_m));
        PERSON_M.into_iter().find_map(at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn a_pole_fills_its_own_place_and_no_more() {
        let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
        // The pole at (-12, 30) of that site.
        let obstacles = Obstacles::of(&scene);
        let at = |east: f64| obstacles.person_in(DVec2::new(east, 30.0), -0.5);
        assert_eq!(at(-12.0), Some("pole"));
        assert_eq!(at(-11.0), None);
        assert_eq!(obstacles.at(DVec3::new(-12.0, 30.0, 200.0)), None);
    }
}
