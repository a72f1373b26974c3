//! The stage: the machine's patches and everything around them, as triangles in the machine frame, ready
//! to be drawn. May not enter: eyes.

use super::{ground, trackwork};
use crate::mesh::model::Model;
use crate::mesh::patch::Patches;
use crate::mesh::solid::{Convex, Solid};
use crate::scene::Scene;
use crate::scene::coat::Coat;
use crate::scene::machine::Condition;
use crate::scene::surroundings::Kind;
use glam::DVec3;
use std::collections::BTreeSet;
use std::sync::Arc;

/// What an object of the stage is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StageKind {
    /// An object of the scene.
    Thing(Kind),
    /// Equipment coupled to the machine: a fault of its own, not of the backdrop.
    Coupled,
    /// The plain ground, or a raised piece of it.
    Ground,
    /// Ballast under a track.
    Ballast,
    /// Ties.
    Tie,
    /// Rails.
    Rail,
}

/// One object around the machine.
#[derive(Clone, Debug)]
pub struct StageObject {
    /// Its name, for findings.
    pub name: String,
    /// What it is.
    pub kind: StageKind,
    /// Share of light and sight that it stops.
    pub opacity: f64,
    /// Its convex pieces, machine frame.
    pub pieces: Vec<Convex>,
    /// What its pieces are made of, one by one; the last serves for all that follow.
    pub coats: Vec<Coat>,
}

impl StageObject {
    /// Whether it can shade or hide the machine (ground, ballast, ties and rails are counted apart).
    pub fn is_caster(&self) -> bool {
        matches!(self.kind, StageKind::Thing(_) | StageKind::Coupled)
    }
}

/// Triangles of one object.
#[derive(Clone, Debug, Default)]
pub struct Soup {
    /// Positions.
    pub vertices: Vec<DVec3>,
    /// Corner indices, counter-clockwise from outside.
    pub triangles: Vec<[u32; 3]>,
    /// The piece of the object that each triangle belongs to.
    pub piece_of_triangle: Vec<u32>,
}

/// A wire: geometry only, never pixels.
#[derive(Clone, Debug)]
pub struct StageWire {
    /// Its name, for findings.
    pub name: String,
    /// Points along it, machine frame.
    pub points: Vec<DVec3>,
    /// Its thickness.
    pub diameter_m: f64,
}

impl StageWire {
    /// The wire as short round bars.
    pub fn pieces(&self) -> Vec<Convex> {
        let bar = |ends: &[DVec3]| {
            let radius = self.diameter_m / 2.0;
            Solid::Bar {
                a: ends[0],
                b: ends[1],
                radius_a_m: radius,
                radius_b_m: radius,
            }
            .convex()
        };
        self.points.windows(2).map(bar).collect()
    }
}

/// Everything there is to draw.
#[derive(Clone, Debug)]
pub struct Stage {
    /// The machine's model.
    pub model: Arc<Model>,
    /// Its patches.
    pub patches: Arc<Patches>,
    /// How clean the machine is.
    pub condition: Condition,
    /// The vertices of the model's convex hull: bounds of any view of it.
    pub hull: Arc<Vec<DVec3>>,
    /// Everything else; [`super::frame::Id::object`] counts over it.
    pub objects: Vec<StageObject>,
    /// Triangles of each object.
    pub soups: Vec<Soup>,
    /// Least and greatest coordinates of each object, so that most views can pass it by.
    pub bounds: Vec<[DVec3; 2]>,
    /// Wires.
    pub wires: Vec<StageWire>,
}

/// Pieces of a wire's parabola.
const WIRE_PIECES: usize = 24;

impl Stage {
    /// The machine of `model` alone on nothing.
    pub fn of_model(model: Arc<Model>) -> Stage {
        let patches = Arc::new(Patches::of(&model));
        let hull = Arc::new(extreme_points(&model.vertices));
        Stage {
            model,
            patches,
            condition: Condition::Clean,
            hull,
            objects: vec![],
            soups: vec![],
            bounds: vec![],
            wires: vec![],
        }
    }

    /// The stage of a scene, for its head end (unknown reads as second). `bare` brings the machine's own
    /// patches, if they were made before.
    pub fn of_scene(scene: &Scene, bare: Option<&Stage>) -> Stage {
        let machine = &scene.machine;
        let mut stage = match bare {
            Some(stage) => Stage {
                objects: vec![],
                soups: vec![],
                bounds: vec![],
                wires: vec![],
                ..stage.clone()
            },
            None => Stage::of_model(machine.model.clone()),
        };
        stage.condition = machine.condition;
        let frame = machine.frame();
        for object in &scene.surroundings {
            stage.add(StageObject {
                name: object.name.clone(),
                kind: match object.coupled_front {
                    Some(_) => StageKind::Coupled,
                    None => StageKind::Thing(object.kind),
                },
                opacity: object.opacity,
                pieces: (object.solids.iter())
                    .map(|solid| solid.convex().moved(|p| frame.to_machine(p)))
                    .collect(),
                coats: object.coats.clone(),
            });
        }
        let site = |solids: Vec<Solid>| -> Vec<Convex> {
            let moved = |one: Solid| one.convex().moved(|p| frame.to_machine(p));
            solids.into_iter().map(moved).collect()
        };
        let mut made = |name: &str, kind, coat, solids| {
            stage.add(StageObject {
                name: name.to_owned(),
                kind,
                opacity: 1.0,
                pieces: site(solids),
                coats: vec![coat],
            });
        };
        for piece in ground::pieces(scene) {
            made(&piece.name, StageKind::Ground, piece.coat, piece.solids);
        }
        for track in &scene.tracks {
            for (kind, coat, solids) in trackwork::solids(track, machine.centre_m) {
                made(&track.name, kind, coat, solids);
            }
        }
        stage.wires = (scene.wires.iter())
            .map(|wire| {
                let points = wire.points(WIRE_PIECES);
                StageWire {
                    name: wire.name.clone(),
                    points: points.into_iter().map(|p| frame.to_machine(p)).collect(),
                    diameter_m: wire.diameter_m,
                }
            })
            .collect();
        stage
    }

    /// Whether an object's bounds pass a test; one whose bounds nobody stated passes every test.
    pub fn may(&self, object: usize, test: impl Fn([DVec3; 2]) -> bool) -> bool {
        self.bounds.get(object).is_none_or(|bounds| test(*bounds))
    }

    /// Adds an object.
    pub fn add(&mut self, object: StageObject) {
        let mut soup = Soup::default();
        for (number, piece) in object.pieces.iter().enumerate() {
            let base = soup.vertices.len() as u32;
            soup.triangles
                .extend(piece.triangles().map(|t| t.map(|i| i + base)));
            soup.piece_of_triangle
                .resize(soup.triangles.len(), number as u32);
            soup.vertices.extend(&piece.corners);
        }
        let bounds = (soup.vertices.iter())
            .fold([DVec3::INFINITY, DVec3::NEG_INFINITY], |[low, high], p| {
                [low.min(*p), high.max(*p)]
            });
        self.bounds.push(bounds);
        self.objects.push(object);
        self.soups.push(soup);
    }
}

/// How far inside the hull of the unit cube a vertex may lie and still be asked for.
const NEAR_HULL: f64 = 0.01;

/// Unit vectors over the sphere, so many round its equator.
fn directions(turns: usize) -> impl Iterator<Item = DVec3> {
    let rises = turns / 4;
    (0..=rises).flat_map(move |rise| {
        let (sin, cos) = (std::f64::consts::PI * (rise as f64 / rises as f64 - 0.5)).sin_cos();
        (0..turns).map(move |turn| {
            let longitude = std::f64::consts::TAU * turn as f64 / turns as f64;
            DVec3::new(cos * longitude.cos(), cos * longitude.sin(), sin)
        })
    })
}

/// A small subset of the vertices with the same extremes in many directions: stands for the convex hull
/// wherever bounds are wanted (error of a bound under 15 mm for 20 m bodies, a twentieth of a percent of the
/// frame: see the test).
fn extreme_points(vertices: &[DVec3]) -> Vec<DVec3> {
    let (low, high) = vertices
        .iter()
        .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(l, h), v| {
            (l.min(*v), h.max(*v))
        });
    // Directions are spread evenly as a cube sees them: a body is seven times as long as wide, and the ends
    // of its long edges differ only to directions nearly square to these.
    let size = (high - low).max(DVec3::splat(1e-6));
    // First what lies near the hull at all, then the farthest of those.
    let reaches = |way: DVec3| move |i: &usize| vertices[*i].dot(way);
    let mut near: BTreeSet<usize> = BTreeSet::new();
    for way in directions(48).map(|way| way / size) {
        let most = (0..vertices.len())
            .map(|i| reaches(way)(&i))
            .fold(f64::NEG_INFINITY, f64::max);
        near.extend((0..vertices.len()).filter(|i| reaches(way)(i) > most - NEAR_HULL));
    }
    let mut chosen: BTreeSet<usize> = BTreeSet::new();
    for way in directions(192).map(|way| way / size) {
        let reach = reaches(way);
        chosen.extend(
            near.iter()
                .copied()
                .max_by(|i, j| reach(i).total_cmp(&reach(j))),
        );
    }
    // The box's own faces, exactly: ties along an axis leave whole edges undecided above.
    let [low, high] = [low, high].map(|bound| bound.to_array());
    for (i, v) in vertices.iter().enumerate() {
        let at_edge = (0..3).flat_map(|k| [low[k], high[k]].map(|bound| (v.to_array()[k], bound)));
        if at_edge.into_iter().any(|(a, b)| (a - b).abs() < 1e-6) {
            chosen.insert(i);
        }
    }
    chosen.into_iter().map(|i| vertices[i]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    #[test]
    fn a_few_points_bound_the_whole_machine() {
        let model = crate::mesh::sidecar::load(Path::new("models/hood_six_axle.toml")).unwrap();
        let chosen = extreme_points(&model.vertices);
        assert!(chosen.len() < model.vertices.len() / 10);
        let reach = |points: &[DVec3], way: DVec3| {
            points
                .iter()
                .map(|p| p.dot(way))
                .fold(f64::NEG_INFINITY, f64::max)
        };
        // Directions that the choice was not made by: a spiral over the sphere.
        for i in 0..997 {
            let z = 1.0 - (2 * i + 1) as f64 / 997.0;
            let turn = i as f64 * crate::sighting::scatter::GOLDEN_ANGLE_RAD;
            let flat = (1.0 - z * z).sqrt();
            let way = DVec3::new(flat * turn.cos(), flat * turn.sin(), z);
            let missed: f64 = reach(&model.vertices, way) - reach(&chosen, way);
            assert!(missed < 0.015, "{missed} m toward {way}");
        }
    }
}
