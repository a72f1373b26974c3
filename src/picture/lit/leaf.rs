//! The pass that draws sprays of leaves. May not enter: where they hang.

use super::leaves::CORNERS;
use super::pipeline::{Kind, Onto, buffer};
use super::runs::Looks;
use super::shader::LEAF;
use super::uniforms::Spray;
use crate::gpu::device::Gpu;
use glam::{DVec3, Vec3};

const SPRAY: [wgpu::VertexAttribute; 6] = wgpu::vertex_attr_array![
    0 => Float32x4, 1 => Float32x4, 2 => Uint32, 3 => Uint32, 4 => Float32, 5 => Uint32
];

/// Sprays on the device.
pub struct SpraysOnDevice {
    sprays: wgpu::Buffer,
    /// Those that lie together, and their bounds.
    runs: Vec<(std::ops::Range<u32>, [DVec3; 2])>,
}

/// Sprays of a run.
const MOST: usize = 512;
/// Leaves reach so many times a spray's half size from its middle.
const REACH: f32 = 3.0;

impl SpraysOnDevice {
    /// Uploads them.
    pub fn new(gpu: &Gpu, sprays: &[Spray]) -> SpraysOnDevice {
        let bytes = bytemuck::cast_slice(sprays);
        let run = |(i, part): (usize, &[Spray])| {
            let none = (DVec3::INFINITY, DVec3::NEG_INFINITY);
            let (low, high) = part.iter().fold(none, |(low, high), spray| {
                let [x, y, z, half_m] = spray.middle;
                let reach_m = f64::from(half_m * REACH);
                let middle = Vec3::new(x, y, z).as_dvec3();
                (low.min(middle - reach_m), high.max(middle + reach_m))
            });
            let start = (i * MOST) as u32;
            (start..start + part.len() as u32, [low, high])
        };
        SpraysOnDevice {
            sprays: buffer(&gpu.device, "sprays", wgpu::BufferUsages::VERTEX, bytes),
            runs: sprays.chunks(MOST).enumerate().map(run).collect(),
        }
    }

    /// Draws what may be seen with the pipeline that is set.
    pub fn draw(&self, pass: &mut wgpu::RenderPass, looks: &Looks) {
        pass.set_vertex_buffer(0, self.sprays.slice(..));
        for (range, [low, high]) in &self.runs {
            if looks.meets(*low, *high) {
                pass.draw(0..CORNERS, range.clone());
            }
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
