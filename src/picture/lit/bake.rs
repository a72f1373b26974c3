//! Works out, once for each stage, what corners' finishes come to on the mean. May not enter: light, eyes.

use super::pipeline::{buffer, buffer_type, entry};
use super::shader::BAKE;
use super::stage_mesh::Mesh;
use super::surfaces::CLASSES;
use super::uniforms::CoarseCorner;
use crate::gpu::device::Gpu;
use wgpu::{BufferBindingType, BufferUsages, ShaderStages};

/// Texels of the map of growth, across and down.
const GROWTH_TEXELS: u32 = 512;

/// The passes.
pub struct Bake {
    classes: [wgpu::ComputePipeline; CLASSES],
    growth: wgpu::ComputePipeline,
    group_layout: wgpu::BindGroupLayout,
}

/// What they made.
pub struct Baked {
    /// Corners, in the mesh's order.
    pub corners: wgpu::Buffer,
    /// How grass grows about the machine.
    pub growth: wgpu::TextureView,
}

impl Bake {
    /// Its pipelines; `stage` is the stage's layout.
    pub fn new(gpu: &Gpu, stage: &wgpu::BindGroupLayout) -> Bake {
        let device = &gpu.device;
        let storage = |read_only| buffer_type(BufferBindingType::Storage { read_only });
        let map = wgpu::BindingType::StorageTexture {
            access: wgpu::StorageTextureAccess::WriteOnly,
            format: wgpu::TextureFormat::Rgba8Unorm,
            view_dimension: wgpu::TextureViewDimension::D2,
        };
        let group_layout = device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some(BAKE.name),
            entries: &[
                entry(0, ShaderStages::COMPUTE, storage(true)),
                entry(1, ShaderStages::COMPUTE, storage(true)),
                entry(2, ShaderStages::COMPUTE, storage(false)),
                entry(3, ShaderStages::COMPUTE, map),
            ],
        });
        let module = BAKE.module(device);
        // No view and no light: group 0 is left empty.
        let layout = device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
            label: Some(BAKE.name),
            bind_group_layouts: &[None, Some(stage), Some(&group_layout)],
            immediate_size: 0,
        });
        let make = |entry_point, constants: &[(&str, f64)]| {
            device.create_compute_pipeline(&wgpu::ComputePipelineDescriptor {
                label: Some(BAKE.name),
                layout: Some(&layout),
                module: &module,
                entry_point: Some(entry_point),
                compilation_options: wgpu::PipelineCompilationOptions {
                    constants,
                    ..Default::default()
                },
                cache: None,
            })
        };
        Bake {
            classes: std::array::from_fn(|class| make("cs", &[("CLASS", class as f64)])),
            growth: make("cs_growth", &[]),
            group_layout,
        }
    }

    /// Bakes a mesh of a stage.
    pub fn mesh(&self, gpu: &Gpu, stage: &wgpu::BindGroup, mesh: &Mesh) -> Baked {
        let device = &gpu.device;
        let storage = |label, bytes: &[u8]| buffer(device, label, BufferUsages::STORAGE, bytes);
        let corners = storage("corners to bake", bytemuck::cast_slice(&mesh.corners));
        let coarse = device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("coarse corners"),
            size: (size_of::<CoarseCorner>() * mesh.corners.len().max(1)) as u64,
            usage: BufferUsages::STORAGE | BufferUsages::VERTEX,
            mapped_at_creation: false,
        });
        let growth = device.create_texture(&wgpu::TextureDescriptor {
            label: Some("growth"),
            size: wgpu::Extent3d {
                width: GROWTH_TEXELS,
                height: GROWTH_TEXELS,
                depth_or_array_layers: 1,
            },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: wgpu::TextureFormat::Rgba8Unorm,
            usage: wgpu::TextureUsages::STORAGE_BINDING | wgpu::TextureUsages::TEXTURE_BINDING,
            view_formats: &[],
        });
        let growth = growth.create_view(&Default::default());
        let mut encoder = device.create_command_encoder(&Default::default());
        let mut pass = encoder.begin_compute_pass(&Default::default());
        for (pipeline, indices) in self.classes.iter().zip(&mesh.indices) {
            if indices.is_empty() {
                continue;
            }
            let group = self.group(gpu, &corners, indices, &coarse, &growth);
            pass.set_pipeline(pipeline);
            pass.set_bind_group(1, stage, &[]);
            pass.set_bind_group(2, &group, &[]);
            let groups = (indices.len() as u32).div_ceil(64);
            pass.dispatch_workgroups(groups.min(65535), groups.div_ceil(65535), 1);
        }
        let group = self.group(gpu, &corners, &[0], &coarse, &growth);
        pass.set_pipeline(&self.growth);
        pass.set_bind_group(1, stage, &[]);
        pass.set_bind_group(2, &group, &[]);
        let groups = GROWTH_TEXELS.div_ceil(8);
        pass.dispatch_workgroups(groups, groups, 1);
        drop(pass);
        gpu.queue.submit([encoder.finish()]);
        Baked {
            corners: coarse,
            growth,
        }
    }

    fn group(
        &self,
        gpu: &Gpu,
        corners: &wgpu::Buffer,
        indices: &[u32],
        coarse: &wgpu::Buffer,
        growth: &wgpu::TextureView,
    ) -> wgpu::BindGroup {
        let bytes = bytemuck::cast_slice(indices);
        // Exactly as long as its contents: the shader asks its length.
        let triangles = gpu.buffer("triangles to bake", bytes, BufferUsages::STORAGE);
        let bind = |binding, resource| wgpu::BindGroupEntry { binding, resource };
        gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some(BAKE.name),
            layout: &self.group_layout,
            entries: &[
                bind(0, corners.as_entire_binding()),
                bind(1, triangles.as_entire_binding()),
                bind(2, coarse.as_entire_binding()),
                bind(3, wgpu::BindingResource::TextureView(growth)),
            ],
        })
    }
}
