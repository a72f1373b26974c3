//! What was drawn or counted, brought back: one buffer and one wait per batch. May not enter: drawing.

use super::device::{Gpu, GpuError};
use super::targets::Extent;
use super::uniforms::Depths;
use crate::sighting::frame::{Counts, Frame, Id, Sighting};
use crate::sighting::view::View;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::Duration;

/// Buffers that wait for their next use.
#[derive(Debug, Default)]
pub struct Pool {
    idle: Mutex<Vec<wgpu::Buffer>>,
}

/// How many buffers wait at most: one that is read while the next is filled.
const MOST_IDLE: usize = 2;

impl Pool {
    /// A buffer of at least so many bytes, not much larger.
    pub fn take(&self, gpu: &Gpu, bytes: u64) -> wgpu::Buffer {
        let mut idle = self.idle.lock().unwrap_or_else(|held| held.into_inner());
        let fits = |one: &wgpu::Buffer| (bytes..=4 * bytes).contains(&one.size());
        if let Some(place) = idle.iter().position(fits) {
            return idle.remove(place);
        }
        gpu.device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("read back"),
            size: bytes,
            usage: wgpu::BufferUsages::MAP_READ | wgpu::BufferUsages::COPY_DST,
            mapped_at_creation: false,
        })
    }

    fn give_back(&self, buffer: wgpu::Buffer) {
        buffer.unmap();
        let mut idle = self.idle.lock().unwrap_or_else(|held| held.into_inner());
        idle.push(buffer);
        if idle.len() > MOST_IDLE {
            idle.remove(0);
        }
    }
}

/// How long, and how often, word of a finished batch is waited for.
const WORD: Duration = Duration::from_millis(20);
const WORDS_AWAITED: usize = 500;

/// A batch that is under way.
pub struct Pending {
    /// What it is copied into.
    pub buffer: wgpu::Buffer,
    /// Its place in the queue.
    pub submission: wgpu::SubmissionIndex,
    /// Told when the buffer can be read.
    pub mapped: Receiver<Result<(), wgpu::BufferAsyncError>>,
    /// Faults of the device before it was built.
    pub faults_before: usize,
}

impl Pending {
    /// Waits for the batch, lets `read` have its bytes, and gives the buffer back.
    pub fn read<T>(
        self,
        gpu: &Gpu,
        pool: &Pool,
        read: impl FnOnce(&[u8]) -> T,
    ) -> Result<T, GpuError> {
        let waited = gpu.device.poll(wgpu::PollType::Wait {
            submission_index: Some(self.submission.clone()),
            timeout: None,
        });
        let mapped = waited.is_ok() && self.is_mapped(gpu);
        let is_whole = mapped && gpu.faults() == self.faults_before;
        if !is_whole {
            gpu.check()?;
            let reason = waited.map_or_else(|e| e.to_string(), |_| "its work was dropped".into());
            return Err(GpuError::Lost(reason));
        }
        let range = self.buffer.get_mapped_range(..);
        let range = range.map_err(|error| GpuError::Lost(error.to_string()))?;
        let told = read(&range);
        drop(range);
        pool.give_back(self.buffer);
        Ok(told)
    }

    /// Whether the buffer can be read. Another thread's wait may have met the end of this batch, and be about to
    /// tell so: the work is done then, the word of it is still on its way.
    fn is_mapped(&self, gpu: &Gpu) -> bool {
        for _ in 0..WORDS_AWAITED {
            match self.mapped.recv_timeout(WORD) {
                Ok(mapped) => return mapped.is_ok(),
                Err(RecvTimeoutError::Disconnected) => return false,
                Err(RecvTimeoutError::Timeout) => {
                    if gpu.device.poll(wgpu::PollType::Poll).is_err() {
                        return false;
                    }
                }
            }
        }
        false
    }
}

/// Where in a batch's bytes each view's pixels lie: those alone, then those of all.
#[derive(Clone, Copy, Debug)]
pub struct FrameBytes {
    /// Size of the layers that were packed.
    pub extent: Extent,
    /// Whether `all` was drawn.
    pub has_all: bool,
}

impl FrameBytes {
    /// Bytes of the whole batch.
    pub fn total(&self) -> u64 {
        let regions = if self.has_all { 2 } else { 1 };
        regions * self.region()
    }

    /// Bytes of all layers.
    pub fn region(&self) -> u64 {
        self.extent.packed_bytes()
    }

    /// One view of the batch.
    pub fn unpack(
        &self,
        bytes: &[u8],
        layer: usize,
        view: &View,
        depths: &Depths,
        into: &mut Sighting,
    ) {
        let layer_bytes = (self.region() / u64::from(self.extent.layers)) as usize;
        let frame = |region: u64, frame: &mut Frame| {
            let start = (region * self.region()) as usize + layer * layer_bytes;
            let pixels: &[[u32; 2]] = bytemuck::cast_slice(&bytes[start..start + layer_bytes]);
            unpack_frame(pixels, self.extent.width as usize, view, depths, frame);
        };
        frame(0, &mut into.alone);
        match self.has_all {
            true => frame(1, &mut into.all),
            false => into.all.clear(0, 0),
        }
    }
}

fn unpack_frame(
    pixels: &[[u32; 2]],
    stride: usize,
    view: &View,
    depths: &Depths,
    frame: &mut Frame,
) {
    (frame.width, frame.height) = (view.width, view.height);
    frame.ids.clear();
    frame.near.clear();
    for row in pixels.chunks_exact(stride).take(view.height) {
        let row = &row[..view.width];
        frame.ids.extend(row.iter().map(|[id, _]| Id(*id)));
        frame.near.extend(row.iter().map(|[id, depth]| match id {
            0 => f32::NEG_INFINITY,
            _ => depths.nearness(view.rays, f32::from_bits(*depth)),
        }));
    }
}

/// Where each view's counts lie: rows of patches alone, then rows of all.
#[derive(Clone, Copy, Debug)]
pub struct CountBytes {
    /// Size of the layers that are counted.
    pub extent: Extent,
    /// Patches of the machine.
    pub patches: u32,
    /// Whether `all` was drawn.
    pub has_all: bool,
}

impl CountBytes {
    /// Bytes of the whole batch.
    pub fn total(&self) -> u64 {
        if self.has_all {
            2 * self.region()
        } else {
            self.region()
        }
    }

    /// Bytes of the rows of one kind; a row at least, for buffers are not empty.
    pub fn region(&self) -> u64 {
        4 * (u64::from(self.extent.layers) * u64::from(self.patches)).max(1)
    }

    /// One view of the batch.
    pub fn unpack(&self, bytes: &[u8], layer: usize) -> Counts {
        let row = |region: u64| {
            let row_bytes = 4 * self.patches as usize;
            let from = (region * self.region()) as usize + layer * row_bytes;
            bytemuck::cast_slice(&bytes[from..from + row_bytes]).to_vec()
        };
        Counts {
            alone: row(0),
            all: if self.has_all { row(1) } else { Vec::new() },
        }
    }
}
