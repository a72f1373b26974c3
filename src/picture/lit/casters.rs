//! What of a stage casts shadows. May not enter: devices, light.

use super::runs::Runs;
use super::surfaces::Manner;
use super::uniforms::VeilCorner;
use crate::scene::coat::Coat;
use crate::sighting::stage::{Stage, StageKind};
use glam::DVec3;

/// What casts shadows.
#[derive(Default)]
pub struct Casters {
    /// Places of what is solid.
    pub positions: Vec<[f32; 3]>,
    /// Corners of things that let some light through.
    pub veiled: Vec<VeilCorner>,
    /// The machine and things, tracks, and what is veiled.
    pub runs: [Runs; 3],
}

/// Size of the cells in which crowns, and meshes, are open or shut to the sun, metres.
const LEAF_M: f32 = 0.07;
const MESH_M: f32 = 0.025;

impl Casters {
    /// Those of a stage.
    pub fn of(stage: &Stage) -> Casters {
        let mut casters = Casters::default();
        let place = |v: &DVec3| v.as_vec3().to_array();
        let own = stage.patches.vertices.iter().map(place);
        casters.positions.extend(own);
        let mut things: Vec<[u32; 3]> = stage.patches.triangles.to_vec();
        let (mut tracks, mut veils): (Vec<[u32; 3]>, Vec<[u32; 3]>) = (vec![], vec![]);
        for (k, (object, soup)) in stage.objects.iter().zip(&stage.soups).enumerate() {
            if object.kind == StageKind::Ground {
                continue;
            }
            let is_solid = object.opacity >= 0.999;
            let base = if is_solid {
                casters.positions.len()
            } else {
                casters.veiled.len()
            };
            let moved = soup.triangles.iter().map(|t| t.map(|i| i + base as u32));
            if !is_solid {
                veils.extend(moved);
                let finish = Coat::of_piece(&object.coats, 0).finish;
                let leafy = Manner::of(finish, object.opacity) != Manner::Veiled;
                casters
                    .veiled
                    .extend(soup.vertices.iter().map(|v| VeilCorner {
                        position: place(v),
                        opacity: object.opacity as f32,
                        grain_m: if leafy { LEAF_M } else { MESH_M },
                        seed: k as u32 + 1,
                    }));
                continue;
            }
            let list = match object.is_caster() {
                true => &mut things,
                false => &mut tracks,
            };
            list.extend(moved);
            casters.positions.extend(soup.vertices.iter().map(place));
        }
        let solid = |i: u32| DVec3::from_array(casters.positions[i as usize].map(f64::from));
        let veiled = |i: u32| DVec3::from_array(casters.veiled[i as usize].position.map(f64::from));
        casters.runs = [
            Runs::of(&things, &solid),
            Runs::of(&tracks, &solid),
            Runs::of(&veils, &veiled),
        ];
        casters
    }
}

/// Things farther than this cast no shadow that a frame of the machine shows, metres.
const FARTHEST_CASTER_M: f64 = 450.0;

/// Bounds of all that casts shadows, tracks left out.
pub fn casters_bounds(stage: &Stage) -> [DVec3; 2] {
    let things = stage.objects.iter().zip(&stage.soups);
    let things = things.filter(|(object, _)| object.is_caster());
    let points = things.flat_map(|(_, soup)| &soup.vertices);
    let near = points.filter(|p| p.truncate().length() < FARTHEST_CASTER_M);
    let all = near.chain(stage.hull.iter());
    let none = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    let (low, high) = all.fold(none, |(low, high), p| (low.min(*p), high.max(*p)));
    if low.is_finite() {
        [low, high]
    } else {
        [DVec3::NEG_ONE, DVec3::ONE]
    }
}
