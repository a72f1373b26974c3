//! The GPU behind sighting's trait: batches go out one ahead of those that are being folded. What goes wrong
//! is told once, and the processor draws on. May not enter: pipelines, which of the two is faster.

use super::batch::{self, Taken, Tools};
use super::device::{Gpu, GpuError};
use super::kept::{Kept, Shelf};
use super::passes::Passes;
use super::readback::{CountBytes, FrameBytes, Pending, Pool};
use super::targets::{Easel, Extent};
use super::uniforms::Depths;
use crate::sighting::cpu::Cpu;
use crate::sighting::frame::{Counts, Sighting};
use crate::sighting::rasterizer::{Around, Rasterizer};
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use rayon::prelude::*;
use std::ops::Range;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

/// What a batch may fill on the device and in what is read back, bytes; a single view may fill more.
const BATCH_BYTES: u64 = 128 << 20;

/// A view that would fill more is left to the processor: bytes.
const LARGEST_VIEW_BYTES: u64 = 512 << 20;

/// Views of a batch at most.
const MOST_LAYERS: u64 = 128;

/// How a fault is told, in one sentence.
pub type Tell = Box<dyn Fn(&str) + Send + Sync>;

/// Draws on the GPU.
pub struct GpuRasterizer {
    gpu: Arc<Gpu>,
    passes: Passes,
    shelf: Shelf,
    easel: Easel,
    pool: Pool,
    cpu: Cpu,
    tell: Tell,
    /// Whether the device has failed: from then on the processor draws.
    failed: AtomicBool,
    drawn: AtomicUsize,
}

/// What is needed to read a batch.
struct Tile {
    range: Range<usize>,
    depths: Vec<Depths>,
    taken: Taken,
}

impl GpuRasterizer {
    /// Draws on this device; `tell` is told why, should it fail.
    ///
    /// # Errors
    /// The device refuses sighting's pipelines.
    pub fn new(gpu: Arc<Gpu>, tell: Tell) -> Result<GpuRasterizer, GpuError> {
        let before = gpu.faults();
        let passes = Passes::new(&gpu);
        if gpu.faults() != before {
            gpu.check()?;
        }
        Ok(GpuRasterizer {
            gpu,
            passes,
            shelf: Shelf::default(),
            easel: Easel::default(),
            pool: Pool::default(),
            cpu: Cpu::default(),
            tell,
            failed: AtomicBool::new(false),
            drawn: AtomicUsize::new(0),
        })
    }

    /// The device.
    pub fn gpu(&self) -> &Arc<Gpu> {
        &self.gpu
    }

    /// Whether the device has failed, and the processor draws.
    pub fn has_failed(&self) -> bool {
        self.failed.load(Ordering::Relaxed)
    }

    fn fail(&self, error: &GpuError) {
        if !self.failed.swap(true, Ordering::Relaxed) {
            (self.tell)(&format!("{error}: the processor draws on"));
        }
    }

    /// Whether the device has room for a view of this size.
    fn fits(&self, view: &View) -> bool {
        let limits = self.gpu.device.limits();
        let extent = Extent::of(std::slice::from_ref(view));
        let [width, height] = extent.texels();
        let bytes = extent.packed_bytes();
        width.max(height) <= limits.max_texture_dimension_2d
            && 2 * bytes <= LARGEST_VIEW_BYTES.min(limits.max_buffer_size)
            && bytes <= limits.max_storage_buffer_binding_size
    }

    /// How many views of a size go into a batch.
    fn batch_size(&self, extent: Extent) -> usize {
        let one = Extent {
            layers: 1,
            ..extent
        };
        let [width, height] = extent.texels();
        // What is packed is read from a buffer of its own; ids and depths take as much for each texel.
        let texels = 8 * u64::from(width) * u64::from(height);
        let most = BATCH_BYTES / texels.max(2 * one.packed_bytes());
        let layers = u64::from(self.gpu.device.limits().max_texture_array_layers);
        most.clamp(1, layers.min(MOST_LAYERS)) as usize
    }

    /// Draws views in batches, each handed in before the one ahead of it is folded. Returns how many were
    /// folded: fewer than all where the device failed or has no room for them.
    fn each(
        &self,
        stage: &Stage,
        views: &[View],
        around: Around,
        asked: Asked,
        fold: &(dyn Fn(&Tile, &[u8]) + Sync),
    ) -> usize {
        if self.has_failed() || !views.iter().all(|view| self.fits(view)) {
            return 0;
        }
        let kept = self.shelf.stage(&self.gpu, stage);
        let extent = Extent::of(views);
        let size = self.batch_size(extent);
        let starts = (0..views.len()).step_by(size).map(Some).chain([None]);
        let mut done = 0;
        let mut ahead: Option<(Tile, Pending)> = None;
        for start in starts {
            let next = start.map(|from| {
                let range = from..(from + size).min(views.len());
                self.submit(&kept, &views[range.clone()], range, extent, around, asked)
            });
            if let Some((tile, pending)) = std::mem::replace(&mut ahead, next) {
                if let Err(error) = pending.read(&self.gpu, &self.pool, |bytes| fold(&tile, bytes))
                {
                    self.fail(&error);
                    break;
                }
                done = tile.range.end;
                self.drawn.fetch_add(tile.range.len(), Ordering::Relaxed);
            }
        }
        done
    }

    fn submit(
        &self,
        kept: &Kept,
        views: &[View],
        range: Range<usize>,
        extent: Extent,
        around: Around,
        asked: Asked,
    ) -> (Tile, Pending) {
        let has_all = around != Around::Nothing;
        let extent = Extent {
            layers: views.len() as u32,
            ..extent
        };
        let taken = match asked {
            Asked::Frames => Taken::Frames(FrameBytes { extent, has_all }),
            Asked::Counts { patches } => Taken::Counts(CountBytes {
                extent,
                patches: patches as u32,
                has_all,
            }),
        };
        let depths = views.iter().map(|view| kept.geometry.depths(view, around));
        let tile = Tile {
            range,
            depths: depths.collect(),
            taken,
        };
        let tools = Tools {
            gpu: &self.gpu,
            passes: &self.passes,
            easel: &self.easel,
            pool: &self.pool,
        };
        let pending = batch::submit(&tools, kept, views, &tile.depths, around, taken);
        (tile, pending)
    }

    /// Reads one of a batch's views as frames.
    fn unpack(tile: &Tile, bytes: &[u8], views: &[View], layer: usize, into: &mut Sighting) {
        if let Taken::Frames(layout) = tile.taken {
            let view = &views[tile.range.start + layer];
            layout.unpack(bytes, layer, view, &tile.depths[layer], into);
        }
    }
}

/// What a caller wants of its views.
#[derive(Clone, Copy)]
enum Asked {
    Frames,
    Counts { patches: usize },
}

impl Rasterizer for GpuRasterizer {
    fn sight(&self, stage: &Stage, view: &View, around: Around, sighting: &mut Sighting) {
        let views = std::slice::from_ref(view);
        // Nothing here may hand work to other threads: a caller may hold a lock that such work waits for.
        let slot = Mutex::new(sighting);
        let done = self.each(stage, views, around, Asked::Frames, &|tile, bytes| {
            let mut into = slot.lock().unwrap_or_else(|held| held.into_inner());
            GpuRasterizer::unpack(tile, bytes, views, 0, &mut into);
        });
        if done == 0 {
            let sighting = slot.into_inner().unwrap_or_else(|held| held.into_inner());
            self.cpu.sight(stage, view, around, sighting);
        }
    }

    fn sight_each(
        &self,
        stage: &Stage,
        views: &[View],
        around: Around,
        fold: &(dyn Fn(usize, &mut Sighting) + Sync),
    ) {
        // Used again from batch to batch: large frames cost more to allocate than to fill.
        let idle: Mutex<Vec<Sighting>> = Mutex::default();
        let idle = || idle.lock().unwrap_or_else(|held| held.into_inner());
        let done = self.each(stage, views, around, Asked::Frames, &|tile, bytes| {
            (0..tile.range.len()).into_par_iter().for_each(|layer| {
                let mut sighting = idle().pop().unwrap_or_default();
                GpuRasterizer::unpack(tile, bytes, views, layer, &mut sighting);
                fold(tile.range.start + layer, &mut sighting);
                idle().push(sighting);
            });
        });
        let rest = &views[done..];
        let shifted = |i: usize, sighting: &mut Sighting| fold(done + i, sighting);
        self.cpu.sight_each(stage, rest, around, &shifted);
    }

    fn count_each(
        &self,
        stage: &Stage,
        views: &[View],
        around: Around,
        fold: &(dyn Fn(usize, &Counts) + Sync),
    ) {
        let patches = stage.patches.len();
        let done = self.each(
            stage,
            views,
            around,
            Asked::Counts { patches },
            &|tile, bytes| {
                if let Taken::Counts(layout) = tile.taken {
                    (0..tile.range.len()).into_par_iter().for_each(|layer| {
                        fold(tile.range.start + layer, &layout.unpack(bytes, layer));
                    });
                }
            },
        );
        let shifted = |i: usize, counts: &Counts| fold(done + i, counts);
        self.cpu.count_each(stage, &views[done..], around, &shifted);
    }

    fn views_drawn(&self) -> usize {
        self.drawn.load(Ordering::Relaxed) + self.cpu.views_drawn()
    }
}
