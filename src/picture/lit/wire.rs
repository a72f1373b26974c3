//! The pass that draws wires. May not enter: where they hang.

use super::pipeline::{Kind, Onto, buffer};
use super::shader::{WIRE, WIRE_ON_FILM};
use super::uniforms::WireCorner;
use crate::gpu::device::Gpu;
use crate::sighting::stage::Stage;

const WIRE_ATTRIBUTES: [wgpu::VertexAttribute; 3] = wgpu::vertex_attr_array![
    0 => Float32x3, 1 => Float32, 2 => Float32x3
];

/// Pieces of wires on the device.
pub struct WiresOnDevice {
    pieces: wgpu::Buffer,
    count: u32,
}

impl WiresOnDevice {
    /// Uploads a stage's wires.
    pub fn new(gpu: &Gpu, stage: &Stage) -> WiresOnDevice {
        let pieces: Vec<WireCorner> = (stage.wires.iter())
            .flat_map(|wire| {
                wire.points.windows(2).map(|ends| WireCorner {
                    from: ends[0].as_vec3().to_array(),
                    diameter_m: wire.diameter_m as f32,
                    to: ends[1].as_vec3().to_array(),
                    spare: 0.0,
                })
            })
            .collect();
        let bytes = bytemuck::cast_slice(&pieces);
        WiresOnDevice {
            pieces: buffer(&gpu.device, "wires", wgpu::BufferUsages::VERTEX, bytes),
            count: pieces.len() as u32,
        }
    }

    /// Draws them with the pipeline that is set.
    pub fn draw(&self, pass: &mut wgpu::RenderPass) {
        if self.count > 0 {
            pass.set_vertex_buffer(0, self.pieces.slice(..));
            pass.draw(0..6, 0..self.count);
        }
    }
}

/// The pass's pipeline.
pub fn pipeline(gpu: &Gpu, groups: &[&wgpu::BindGroupLayout], onto: Onto) -> wgpu::RenderPipeline {
    let buffers = [Some(wgpu::VertexBufferLayout {
        array_stride: size_of::<WireCorner>() as u64,
        step_mode: wgpu::VertexStepMode::Instance,
        attributes: &WIRE_ATTRIBUTES,
    })];
    let kind = Kind {
        buffers: &buffers,
        hides: false,
        mixes: true,
        ..Kind::solid(onto.of(&WIRE, &WIRE_ON_FILM), groups, onto)
    };
    kind.pipeline(&gpu.device)
}
