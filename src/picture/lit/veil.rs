//! The pass that draws what is seen through. May not enter: where it stands.

use super::pipeline::{Kind, Onto};
use super::shader::{VEIL, VEIL_ON_FILM};
use super::surface::corner_layout;
use crate::gpu::device::Gpu;

/// The pass's pipeline.
pub fn pipeline(gpu: &Gpu, groups: &[&wgpu::BindGroupLayout], onto: Onto) -> wgpu::RenderPipeline {
    let buffers = [Some(corner_layout())];
    let kind = Kind {
        buffers: &buffers,
        culls: true,
        hides: false,
        mixes: true,
        ..Kind::solid(onto.of(&VEIL, &VEIL_ON_FILM), groups, onto)
    };
    kind.pipeline(&gpu.device)
}
