//! The pass that draws the sky behind everything. May not enter: what stands before it.

use super::pipeline::{Kind, Onto};
use super::shader::SKY_PASS;
use crate::gpu::device::Gpu;

/// Its pipeline. It is drawn last, where nothing hides it: depth 0 is infinitely far.
pub fn pipeline(gpu: &Gpu, frame: &wgpu::BindGroupLayout, onto: Onto) -> wgpu::RenderPipeline {
    let groups = [frame];
    let kind = Kind {
        hides: false,
        behind: true,
        ..Kind::solid(&SKY_PASS, &groups, onto)
    };
    kind.pipeline(&gpu.device)
}
