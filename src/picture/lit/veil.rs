//! The pass that draws what is seen through. May not enter: where it stands.

use super::pipeline::Kind;
use super::shader::VEIL;
use super::surface::corner_layout;
use crate::gpu::device::Gpu;

/// The pass's pipeline.
pub fn pipeline(
    gpu: &Gpu,
    groups: &[&wgpu::BindGroupLayout],
    samples: u32,
) -> wgpu::RenderPipeline {
    let buffers = [Some(corner_layout())];
    let kind = Kind {
        buffers: &buffers,
        culls: true,
        hides: false,
        mixes: true,
        ..Kind::solid(&VEIL, groups, samples)
    };
    kind.pipeline(&gpu.device)
}
