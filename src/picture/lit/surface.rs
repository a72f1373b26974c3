//! The pass that draws what is solid, and bind group 1, the stage's. May not enter: light.

use super::pipeline::{Kind, Onto, buffer, buffer_type, entry, numbers, texture_type};
use super::runs::{Looks, Runs};
use super::shader::SURFACE;
use super::stage_mesh::{Mesh, StageMesh};
use super::surfaces::CLASSES;
use super::uniforms::{Corner, DirtUniform};
use crate::gpu::device::Gpu;
use crate::picture::grime::{DUST, Grime, SOOT};
use crate::scene::machine::Condition;
use glam::{DVec3, DVec4, Vec4};
use wgpu::{
    BufferBindingType, BufferUsages, ShaderStages, TextureSampleType, TextureViewDimension,
};

/// Where a corner's parts lie.
const CORNER: [wgpu::VertexAttribute; 5] = wgpu::vertex_attr_array![
    0 => Float32x3, 1 => Uint32, 2 => Snorm16x4, 3 => Snorm16x4, 4 => Unorm16x2
];

/// Triangles on the device.
pub struct MeshOnDevice {
    corners: wgpu::Buffer,
    indices: wgpu::Buffer,
    /// Class by class, one after the other in `indices`.
    pub runs: [Runs; CLASSES],
}

impl MeshOnDevice {
    /// Uploads them.
    pub fn new(gpu: &Gpu, mesh: &Mesh) -> MeshOnDevice {
        let make = |label, usage, bytes: &[u8]| buffer(&gpu.device, label, usage, bytes);
        let place = |i: u32| DVec3::from_array(mesh.corners[i as usize].position.map(f64::from));
        let runs = mesh.indices.each_ref().map(|indices| {
            let triangles = indices.chunks_exact(3).map(|t| [t[0], t[1], t[2]]);
            Runs::of(&triangles.collect::<Vec<_>>(), &place)
        });
        let indices = runs.each_ref().map(|runs| runs.indices.as_slice()).concat();
        MeshOnDevice {
            corners: make(
                "corners",
                BufferUsages::VERTEX,
                bytemuck::cast_slice(&mesh.corners),
            ),
            indices: make(
                "triangles",
                BufferUsages::INDEX,
                bytemuck::cast_slice(&indices),
            ),
            runs,
        }
    }

    /// Draws what may be seen of some classes, each with its pipeline.
    pub fn draw<'a>(
        &self,
        pass: &mut wgpu::RenderPass,
        looks: &Looks,
        classes: &[usize],
        pipeline_of: &dyn Fn(usize) -> &'a wgpu::RenderPipeline,
    ) {
        pass.set_vertex_buffer(0, self.corners.slice(..));
        pass.set_index_buffer(self.indices.slice(..), wgpu::IndexFormat::Uint32);
        for class in classes {
            let before = self.runs[..*class].iter().map(|runs| runs.indices.len());
            let start = before.sum::<usize>() as u32;
            pass.set_pipeline(pipeline_of(*class));
            for range in self.runs[*class].seen_from(looks, start) {
                pass.draw_indexed(range, 0, 0..1);
            }
        }
    }
}

/// Layout of the stage's group.
pub fn stage_layout(gpu: &Gpu) -> wgpu::BindGroupLayout {
    let all = ShaderStages::VERTEX_FRAGMENT | ShaderStages::COMPUTE;
    let unfiltered = TextureSampleType::Float { filterable: false };
    let entries = [
        entry(
            0,
            all,
            buffer_type(BufferBindingType::Storage { read_only: true }),
        ),
        entry(1, all, buffer_type(BufferBindingType::Uniform)),
        entry(2, all, texture_type(unfiltered, TextureViewDimension::D2)),
    ];
    gpu.device
        .create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some("stage"),
            entries: &entries,
        })
}

/// The stage's group.
pub fn stage_group(
    gpu: &Gpu,
    layout: &wgpu::BindGroupLayout,
    mesh: &StageMesh,
    condition: Condition,
) -> wgpu::BindGroup {
    let rows = bytemuck::cast_slice(&mesh.surfaces.rows);
    let table = buffer(&gpu.device, "surfaces", BufferUsages::STORAGE, rows);
    let grid = mesh.openness.ground_grid();
    let origin = DVec4::new(grid.low.x, grid.low.y, grid.step_m, grid.columns as f64);
    let dirt = dirt(condition, origin.as_vec4());
    let dirt = buffer(
        &gpu.device,
        "dirt",
        BufferUsages::UNIFORM,
        bytemuck::bytes_of(&dirt),
    );
    let shares: Vec<f32> = grid.shares.iter().map(|share| *share as f32).collect();
    let size = (grid.columns as u32, (shares.len() / grid.columns) as u32);
    let open = numbers(gpu, "sky over the ground", size, &shares);
    let bind = |binding, resource| wgpu::BindGroupEntry { binding, resource };
    gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
        label: Some("stage"),
        layout,
        entries: &[
            bind(0, table.as_entire_binding()),
            bind(1, dirt.as_entire_binding()),
            bind(2, wgpu::BindingResource::TextureView(&open)),
        ],
    })
}

fn dirt(condition: Condition, grid: Vec4) -> DirtUniform {
    let grime = Grime::of(condition);
    let four = |a: f64, b: f64, c: f64, d: f64| DVec4::new(a, b, c, d).as_vec4();
    DirtUniform {
        low: four(grime.gear, grime.deck, grime.film, grime.splash),
        high: four(grime.streaks, grime.soot, grime.polish, 0.0),
        dust: DUST.extend(0.0).as_vec4(),
        soot: SOOT.extend(0.0).as_vec4(),
        grid,
    }
}

/// The pass's pipelines, class by class. `closed` meshes show no back faces.
pub fn pipelines(
    gpu: &Gpu,
    groups: &[&wgpu::BindGroupLayout],
    onto: Onto,
    closed: bool,
) -> [wgpu::RenderPipeline; CLASSES] {
    let buffers = [Some(corner_layout())];
    let kind = Kind {
        buffers: &buffers,
        culls: closed,
        ..Kind::solid(&SURFACE, groups, onto)
    };
    std::array::from_fn(|class| kind.specialised(&gpu.device, "vs", &[("CLASS", class as f64)]))
}

/// How corners lie in their buffer.
pub fn corner_layout() -> wgpu::VertexBufferLayout<'static> {
    wgpu::VertexBufferLayout {
        array_stride: size_of::<Corner>() as u64,
        step_mode: wgpu::VertexStepMode::Vertex,
        attributes: &CORNER,
    }
}
