//! A stage's triangles as the adapter draws them: indexed, every triangle's first corner carrying its id.
//! May not enter: buffers, views' pixels.

use super::uniforms::{Corner, Depths};
use crate::sighting::frame::Id;
use crate::sighting::rasterizer::Around;
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use glam::DVec3;
use std::collections::HashMap;
use std::ops::Range;

/// Triangles that are drawn in one call.
#[derive(Clone, Debug)]
pub struct Run {
    /// Their indices.
    pub indices: Range<u32>,
    /// Whether they belong to casters.
    pub casts: bool,
    /// Whether some pixels pass through them.
    pub sifted: bool,
    /// Least and greatest coordinates.
    bounds: Bounds,
}

/// All triangles of a stage.
#[derive(Clone, Debug, Default)]
pub struct Geometry {
    /// Corners, machine first.
    pub corners: Vec<Corner>,
    /// Three to a triangle.
    pub indices: Vec<u32>,
    /// Those of the machine.
    pub machine: Range<u32>,
    /// Everything else, in the stage's order, so that of two surfaces in one place the same wins as on the
    /// processor.
    pub runs: Vec<Run>,
    bounds: Bounds,
}

#[derive(Clone, Copy, Debug)]
struct Bounds {
    low: DVec3,
    high: DVec3,
}

impl Default for Bounds {
    fn default() -> Bounds {
        Bounds {
            low: DVec3::INFINITY,
            high: DVec3::NEG_INFINITY,
        }
    }
}

impl Bounds {
    fn of(vertices: &[DVec3]) -> Bounds {
        let mut bounds = Bounds::default();
        for vertex in vertices {
            (bounds.low, bounds.high) = (bounds.low.min(*vertex), bounds.high.max(*vertex));
        }
        bounds
    }

    fn with(self, other: &Bounds) -> Bounds {
        Bounds {
            low: self.low.min(other.low),
            high: self.high.max(other.high),
        }
    }
}

impl Geometry {
    /// The triangles of a stage.
    pub fn of(stage: &Stage) -> Geometry {
        let mut geometry = Geometry::default();
        let patches = &stage.patches;
        let ids = patches.patch_of_triangle.iter();
        let triangles =
            (patches.triangles.iter().copied()).zip(ids.map(|n| Id::patch(*n as usize)));
        geometry.add(&patches.vertices, triangles, u32::MAX);
        geometry.machine = 0..geometry.indices.len() as u32;
        geometry.bounds = Bounds::of(&patches.vertices);
        for (k, (object, soup)) in stage.objects.iter().zip(&stage.soups).enumerate() {
            let from = geometry.indices.len() as u32;
            let triangles = soup.triangles.iter().map(|t| (*t, Id::object(k)));
            geometry.add(&soup.vertices, triangles, stops_below(object.opacity));
            let run = Run {
                indices: from..geometry.indices.len() as u32,
                casts: object.is_caster(),
                sifted: object.opacity < 1.0,
                bounds: Bounds::of(&soup.vertices),
            };
            match geometry.runs.last_mut() {
                Some(last) if (last.casts, last.sifted) == (run.casts, run.sifted) => {
                    last.indices.end = run.indices.end;
                    last.bounds = last.bounds.with(&run.bounds);
                }
                _ => geometry.runs.push(run),
            }
        }
        geometry
    }

    /// Adds triangles. Each is turned until its first corner is one that speaks for its id or for none yet;
    /// where all three speak for others, the first is doubled.
    fn add(
        &mut self,
        vertices: &[DVec3],
        triangles: impl Iterator<Item = ([u32; 3], Id)>,
        stops_below: u32,
    ) {
        let base = self.corners.len() as u32;
        self.corners.extend(vertices.iter().map(|vertex| Corner {
            position: vertex.as_vec3().to_array(),
            id: Id::NOTHING.0,
            stops_below,
        }));
        let mut doubled: HashMap<(u32, u32), u32> = HashMap::new();
        for (corners, Id(id)) in triangles {
            let mut turned = corners.map(|i| base + i);
            let free = turned.iter().position(|i| {
                let speaks_for = self.corners[*i as usize].id;
                speaks_for == id || speaks_for == Id::NOTHING.0
            });
            match free {
                Some(turns) => turned.rotate_left(turns),
                None => {
                    let all = &mut self.corners;
                    turned[0] = *doubled.entry((turned[0], id)).or_insert_with(|| {
                        all.push(all[turned[0] as usize]);
                        all.len() as u32 - 1
                    });
                }
            }
            self.corners[turned[0] as usize].id = id;
            self.indices.extend(turned);
        }
    }

    /// The runs that are drawn round the machine.
    pub fn around(&self, around: Around) -> impl Iterator<Item = &Run> {
        self.runs.iter().filter(move |run| match around {
            Around::Nothing => false,
            Around::Casters => run.casts,
            Around::Everything => true,
        })
    }

    /// From where to where all that is drawn lies along a view's axis, with a metre to spare.
    pub fn depths(&self, view: &View, around: Around) -> Depths {
        let bounds = self.around(around).map(|run| &run.bounds);
        let Bounds { low, high } = bounds.fold(self.bounds, Bounds::with);
        if low.x > high.x {
            return Depths {
                near_m: 0.0,
                far_m: 1.0,
            };
        }
        let middle = ((low + high) / 2.0 - view.eye).dot(view.forward);
        let reach = ((high - low) / 2.0).dot(view.forward.abs()) + 1.0;
        Depths {
            near_m: middle - reach,
            far_m: middle + reach,
        }
    }
}

/// Hashes below this are stopped: as `hash < opacity · 2³²` decides on the processor.
fn stops_below(opacity: f64) -> u32 {
    (opacity * (f64::from(u32::MAX) + 1.0)).ceil() as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::sidecar;
    use std::path::Path;
    use std::sync::Arc;

    #[test]
    fn every_triangle_keeps_its_corners_its_sense_and_its_id() {
        let model = sidecar::load(Path::new("models/hood_six_axle.toml")).unwrap();
        let stage = Stage::of_model(Arc::new(model));
        let geometry = Geometry::of(&stage);
        let patches = &stage.patches;
        assert_eq!(geometry.indices.len(), 3 * patches.triangles.len());
        // A first corner serves a whole patch: far fewer corners than three to a triangle.
        assert!(geometry.corners.len() < patches.triangles.len());
        for (k, corners) in patches.triangles.iter().enumerate() {
            let drawn = &geometry.indices[3 * k..3 * k + 3];
            let first = geometry.corners[drawn[0] as usize].id;
            assert_eq!(first, Id::patch(patches.patch_of_triangle[k] as usize).0);
            let drawn = drawn.iter().map(|i| geometry.corners[*i as usize].position);
            let mut drawn: Vec<[f32; 3]> = drawn.collect();
            let wanted = corners.map(|i| patches.vertices[i as usize].as_vec3().to_array());
            let turns = (0..3).any(|_| {
                drawn.rotate_left(1);
                drawn == wanted
            });
            assert!(turns, "triangle {k}");
        }
    }

    #[test]
    fn half_of_all_hashes_lie_below_the_threshold_of_one_half() {
        assert_eq!(stops_below(0.5), 1 << 31);
        assert_eq!(stops_below(0.0), 0);
        assert_eq!(stops_below(1.0), u32::MAX);
    }
}
