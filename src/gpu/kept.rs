//! Stages on the adapter: uploaded once, kept while they are asked for. May not enter: views.

use super::device::Gpu;
use super::geometry::Geometry;
use crate::mesh::patch::Patches;
use crate::sighting::stage::Stage;
use glam::DVec3;
use std::sync::{Arc, Mutex};

/// How many stages stay: both facings of a machine and what a search tries beside them.
const MOST_KEPT: usize = 4;

/// A stage on the adapter.
#[derive(Debug)]
pub struct Kept {
    /// Its triangles; their corners and indices have been handed over.
    pub geometry: Geometry,
    /// The corners; none where there is nothing to draw.
    pub buffers: Option<Buffers>,
    /// Held, so that its address stays its own.
    patches: Arc<Patches>,
    objects: Vec<Object>,
}

/// Where the triangles lie.
#[derive(Debug)]
pub struct Buffers {
    /// Corners.
    pub corners: wgpu::Buffer,
    /// Indices.
    pub indices: wgpu::Buffer,
}

/// What was uploaded of an object.
#[derive(Debug)]
struct Object {
    opacity: f64,
    casts: bool,
    vertices: Vec<DVec3>,
    triangles: Vec<[u32; 3]>,
}

impl Kept {
    fn upload(gpu: &Gpu, stage: &Stage) -> Kept {
        let mut geometry = Geometry::of(stage);
        let corners = std::mem::take(&mut geometry.corners);
        let indices = std::mem::take(&mut geometry.indices);
        let buffers = (!indices.is_empty()).then(|| Buffers {
            corners: gpu.buffer(
                "corners",
                bytemuck::cast_slice(&corners),
                wgpu::BufferUsages::VERTEX,
            ),
            indices: gpu.buffer(
                "indices",
                bytemuck::cast_slice(&indices),
                wgpu::BufferUsages::INDEX,
            ),
        });
        let objects = stage.objects.iter().zip(&stage.soups);
        let objects = objects.map(|(object, soup)| Object {
            opacity: object.opacity,
            casts: object.is_caster(),
            vertices: soup.vertices.clone(),
            triangles: soup.triangles.clone(),
        });
        Kept {
            geometry,
            buffers,
            patches: stage.patches.clone(),
            objects: objects.collect(),
        }
    }

    /// Whether the machine's back faces may be culled.
    pub fn is_closed(&self) -> bool {
        self.patches.closed
    }

    /// Whether this is what the stage would upload. Its objects are compared, not trusted by where they lie:
    /// memory that was given back is soon another stage's.
    fn is(&self, stage: &Stage) -> bool {
        let objects = stage.objects.iter().zip(&stage.soups);
        Arc::ptr_eq(&self.patches, &stage.patches)
            && self.objects.len() == stage.objects.len().min(stage.soups.len())
            && (self.objects.iter().zip(objects)).all(|(kept, (object, soup))| {
                kept.opacity == object.opacity
                    && kept.casts == object.is_caster()
                    && kept.triangles == soup.triangles
                    && kept.vertices == soup.vertices
            })
    }
}

/// The stages that were drawn last.
#[derive(Debug, Default)]
pub struct Shelf {
    kept: Mutex<Vec<Arc<Kept>>>,
}

impl Shelf {
    /// A stage on the adapter, uploaded unless it is there.
    pub fn stage(&self, gpu: &Gpu, stage: &Stage) -> Arc<Kept> {
        let mut kept = self.kept.lock().unwrap_or_else(|held| held.into_inner());
        let place = kept.iter().position(|one| one.is(stage));
        let found = match place {
            Some(place) => kept.remove(place),
            None => Arc::new(Kept::upload(gpu, stage)),
        };
        kept.insert(0, found.clone());
        kept.truncate(MOST_KEPT);
        found
    }
}
