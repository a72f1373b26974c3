//! The pass that draws sprays of leaves. May not enter: where they hang.

use super::leaves::CORNERS;
use super::pipeline::{Kind, Onto, buffer};
use super::shader::LEAF;
use super::uniforms::Spray;
use crate::gpu::device::Gpu;

const SPRAY: [wgpu::VertexAttribute; 6] = wgpu::vertex_attr_array![
    0 => Float32x4, 1 => Float32x4, 2 => Uint32, 3 => Uint32, 4 => Float32, 5 => Uint32
];

/// Sprays on the device.
pub struct SpraysOnDevice {
    sprays: wgpu::Buffer,
    count: u32,
}

impl SpraysOnDevice {
    /// Uploads them.
    pub fn new(gpu: &Gpu, sprays: &[Spray]) -> SpraysOnDevice {
        let bytes = bytemuck::cast_slice(sprays);
        SpraysOnDevice {
            sprays: buffer(&gpu.device, "sprays", wgpu::BufferUsages::VERTEX, bytes),
            count: sprays.len() as u32,
        }
    }

    /// Draws them with the pipeline that is set.
    pub fn draw(&self, pass: &mut wgpu::RenderPass) {
        if self.count > 0 {
            pass.set_vertex_buffer(0, self.sprays.slice(..));
            pass.draw(0..CORNERS, 0..self.count);
        }
    }
}

/// The pass's pipeline.
pub fn pipeline(gpu: &Gpu, groups: &[&wgpu::BindGroupLayout], onto: Onto) -> wgpu::RenderPipeline {
    let buffers = [Some(wgpu::VertexBufferLayout {
        array_stride: size_of::<Spray>() as u64,
        step_mode: wgpu::VertexStepMode::Instance,
        attributes: &SPRAY,
    })];
    let kind = Kind {
        buffers: &buffers,
        ..Kind::solid(&LEAF, groups, onto)
    };
    kind.pipeline(&gpu.device)
}
