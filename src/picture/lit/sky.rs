//! The pass that draws the sky behind everything. May not enter: what stands before it.

use super::pipeline::{Kind, Onto};
use super::shader::{DOME, SKY_PASS};
use crate::gpu::device::Gpu;

/// Corners of a moving picture's sky: the grid of shaders/dome.wgsl.
pub const DOME_CORNERS: u32 = 24 * 24 * 6;

/// Its pipeline. It is drawn last, where nothing hides it: depth 0 is infinitely far.
pub fn pipeline(gpu: &Gpu, frame: &wgpu::BindGroupLayout, onto: Onto) -> wgpu::RenderPipeline {
    let groups = [frame];
    let kind = Kind {
        hides: false,
        behind: true,
        ..Kind::solid(onto.of(&SKY_PASS, &DOME), &groups, onto)
    };
    kind.pipeline(&gpu.device)
}
