//! Who paints: a graphics adapter where there is one, else the processor. Commands ask for a frame and get a
//! picture, and a sentence where it was not made as asked. May not enter: grades, files, where sentences are said.

use super::lit::{Lit, Options, Prepared, Quality};
use super::png::Picture;
use super::{Light, plain};
use crate::gpu::choice::Choice;
use crate::gpu::device::GpuError;
use crate::sighting::rasterizer::Rasterizer;
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Paints frames.
pub struct Painter {
    /// None on the processor.
    adapter: Option<Mutex<Adapter>>,
    /// Why there is none though one was looked for; told with the first picture.
    missing: Mutex<Option<GpuError>>,
}

struct Adapter {
    /// None once it failed: the processor goes on.
    lit: Option<Lit>,
    /// Stages that were uploaded, the latest last.
    stages: Vec<(u64, Arc<Prepared>)>,
}

/// A picture, and what did not go as asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Painted {
    /// The picture.
    pub picture: Picture,
    /// One sentence, told once.
    pub flaw: Option<String>,
}

/// Stages kept on the adapter: both facings of a scene, and one more.
const STAGES: usize = 3;
/// Widest tile, pixels: holds memory down on any adapter.
const TILE_PX: u32 = 2048;

impl Painter {
    /// Opens one. Without an adapter `Auto` means the processor, and the first picture says so.
    ///
    /// # Errors
    /// `Gpu` was chosen and there is none.
    pub fn open(choice: Choice) -> Result<Painter, GpuError> {
        let (lit, missing) = match choice {
            Choice::Cpu => (None, None),
            Choice::Gpu => (Some(Lit::open()?), None),
            Choice::Auto => match Lit::open() {
                Ok(lit) => (Some(lit), None),
                Err(error) => (None, Some(error)),
            },
        };
        let adapter = |lit| {
            Mutex::new(Adapter {
                lit: Some(lit),
                stages: vec![],
            })
        };
        Ok(Painter {
            adapter: lit.map(adapter),
            missing: Mutex::new(missing),
        })
    }

    /// The picture of a view, exposed for so much light (by default for the light there is).
    pub fn paint(
        &self,
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
        view: &View,
        light: &Light,
        exposed_for_lx: Option<f64>,
    ) -> Painted {
        let exposed_for = exposed_for_lx.unwrap_or_else(|| plain::exposed_for_lx(light));
        let instead = |error: GpuError| format!("{error}; the processor drew the picture instead");
        let missing = || {
            self.missing
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .take()
        };
        let mut flaw = missing().map(instead);
        if let Some(adapter) = &self.adapter {
            match drawn(adapter, rasterizer, stage, view, light, exposed_for) {
                Ok(Some(picture)) => {
                    return Painted {
                        picture,
                        flaw: None,
                    };
                }
                Ok(None) => {}
                Err(error) => {
                    lock(adapter).lit = None;
                    flaw = Some(instead(error));
                }
            }
        }
        let options = plain::Options {
            exposed_for_lx: Some(exposed_for),
            ..plain::Options::default()
        };
        Painted {
            picture: plain::render(rasterizer, stage, view, light, &options),
            flaw,
        }
    }
}

fn lock(adapter: &Mutex<Adapter>) -> MutexGuard<'_, Adapter> {
    adapter.lock().unwrap_or_else(PoisonError::into_inner)
}

/// By the adapter; none if it failed before.
fn drawn(
    adapter: &Mutex<Adapter>,
    rasterizer: &dyn Rasterizer,
    stage: &Stage,
    view: &View,
    light: &Light,
    exposed_for_lx: f64,
) -> Result<Option<Picture>, GpuError> {
    let key = key_of(stage);
    let kept = |adapter: &Adapter| {
        let found = adapter.stages.iter().find(|(other, _)| *other == key);
        found.map(|(_, prepared)| Arc::clone(prepared))
    };
    let known = kept(&lock(adapter));
    // Shaping a stage keeps all processors busy, and none of them may wait for this lock meanwhile.
    let mesh = known.is_none().then(|| Lit::shape(rasterizer, stage));
    let mut adapter = lock(adapter);
    let Adapter { lit, stages } = &mut *adapter;
    let Some(lit) = lit else { return Ok(None) };
    let prepared = match (known, mesh) {
        (Some(prepared), _) => prepared,
        (None, Some(mesh)) => {
            let prepared = lit.upload(stage, mesh)?;
            stages.push((key, Arc::clone(&prepared)));
            let surplus = stages.len().saturating_sub(STAGES);
            stages.drain(..surplus);
            prepared
        }
        (None, None) => return Ok(None),
    };
    let options = Options {
        quality: Quality::Still,
        exposed_for_lx,
        largest_tile: TILE_PX,
    };
    lit.set_stage(&prepared);
    lit.set_light(light, options.quality)?;
    lit.draw(view, &options).map(Some)
}

/// A number that tells stages apart by all that is drawn of them.
fn key_of(stage: &Stage) -> u64 {
    let mut hasher = DefaultHasher::new();
    stage.model.name.hash(&mut hasher);
    (stage.condition as u8).hash(&mut hasher);
    for material in &stage.model.materials {
        material.color_srgb.hash(&mut hasher);
    }
    let bits = |v: f64| v.to_bits();
    for vertex in stage.patches.vertices.iter() {
        vertex.to_array().map(bits).hash(&mut hasher);
    }
    for (object, soup) in stage.objects.iter().zip(&stage.soups) {
        object.kind.hash(&mut hasher);
        object.opacity.to_bits().hash(&mut hasher);
        object.coats.hash(&mut hasher);
        for vertex in &soup.vertices {
            vertex.to_array().map(bits).hash(&mut hasher);
        }
    }
    for wire in &stage.wires {
        wire.diameter_m.to_bits().hash(&mut hasher);
        for point in &wire.points {
            point.to_array().map(bits).hash(&mut hasher);
        }
    }
    hasher.finish()
}
