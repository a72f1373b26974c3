//! The passes that draw tufts and stones: their tones first, once for each, then their shapes. May not enter: where
//! they lie.

use super::pipeline::{Kind, Onto, buffer, buffer_type, entry, layout};
use super::runs::Looks;
use super::shader::{SCATTER, TONES};
use super::strewn::{Patch, Shape};
use crate::gpu::device::Gpu;
use glam::DVec3;
use wgpu::{BufferBindingType, BufferUsages, ShaderStages};

/// Corners of a near tuft, a far tuft and a stone; indices of triangles over a blade of five corners.
const NEAR_BLADES: u32 = 9;
const FAR_BLADES: u32 = 5;
const STONE_CORNERS: u32 = 24;
const BLADE: [u32; 9] = [0, 1, 2, 2, 1, 3, 2, 3, 4];

/// Layouts, and the pass that works out tones.
pub struct Tones {
    pipeline: wgpu::ComputePipeline,
    write_layout: wgpu::BindGroupLayout,
    read_layout: wgpu::BindGroupLayout,
    blades: wgpu::Buffer,
}

/// Pipelines of shapes.
pub struct Shapes {
    near: wgpu::RenderPipeline,
    far: wgpu::RenderPipeline,
    stones: wgpu::RenderPipeline,
}

/// A patch of tufts or stones on the device.
pub struct PatchOnDevice {
    shape: Shape,
    group: wgpu::BindGroup,
    count: u32,
    bounds: [DVec3; 2],
}

impl Tones {
    /// The pass; `groups` are the frame's and the stage's.
    pub fn new(gpu: &Gpu, groups: [&wgpu::BindGroupLayout; 2]) -> Tones {
        let device = &gpu.device;
        let make = |label, visibility, read_only| {
            let storage = |read_only| buffer_type(BufferBindingType::Storage { read_only });
            device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
                label: Some(label),
                entries: &[
                    entry(0, visibility, storage(true)),
                    entry(1, visibility, storage(read_only)),
                ],
            })
        };
        let write_layout = make("tones", ShaderStages::COMPUTE, false);
        let read_layout = make("strewn", ShaderStages::VERTEX, true);
        let module = TONES.module(device);
        let pipeline = device.create_compute_pipeline(&wgpu::ComputePipelineDescriptor {
            label: Some(TONES.name),
            layout: Some(&layout(device, &[groups[0], groups[1], &write_layout])),
            module: &module,
            entry_point: Some("cs"),
            compilation_options: Default::default(),
            cache: None,
        });
        let indices: Vec<u32> = (0..NEAR_BLADES)
            .flat_map(|blade| BLADE.map(|i| i + 5 * blade))
            .collect();
        Tones {
            pipeline,
            write_layout,
            read_layout,
            blades: buffer(
                device,
                "blades",
                BufferUsages::INDEX,
                bytemuck::cast_slice(&indices),
            ),
        }
    }

    /// Layout of the group that shapes read.
    pub fn read_layout(&self) -> &wgpu::BindGroupLayout {
        &self.read_layout
    }

    /// Uploads a patch and works out its tones.
    pub fn bring(
        &self,
        gpu: &Gpu,
        encoder: &mut wgpu::CommandEncoder,
        groups: [&wgpu::BindGroup; 2],
        patch: &Patch,
    ) -> PatchOnDevice {
        let list = &patch.things;
        let device = &gpu.device;
        let things = buffer(
            device,
            "strewn",
            BufferUsages::STORAGE,
            bytemuck::cast_slice(list.as_slice()),
        );
        let tones = device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("tones"),
            size: 16 * list.len() as u64 + 16,
            usage: BufferUsages::STORAGE,
            mapped_at_creation: false,
        });
        let group = |layout| {
            device.create_bind_group(&wgpu::BindGroupDescriptor {
                label: Some("strewn"),
                layout,
                entries: &[
                    wgpu::BindGroupEntry {
                        binding: 0,
                        resource: things.as_entire_binding(),
                    },
                    wgpu::BindGroupEntry {
                        binding: 1,
                        resource: tones.as_entire_binding(),
                    },
                ],
            })
        };
        let count = list.len() as u32;
        let mut pass = encoder.begin_compute_pass(&Default::default());
        pass.set_pipeline(&self.pipeline);
        pass.set_bind_group(0, groups[0], &[]);
        pass.set_bind_group(1, groups[1], &[]);
        pass.set_bind_group(2, &group(&self.write_layout), &[]);
        let workgroups = count.div_ceil(64);
        pass.dispatch_workgroups(workgroups.min(65535), workgroups.div_ceil(65535), 1);
        drop(pass);
        PatchOnDevice {
            shape: patch.shape,
            group: group(&self.read_layout),
            count,
            bounds: patch.bounds,
        }
    }

    /// Draws what may be seen of patches.
    pub fn draw(
        &self,
        pass: &mut wgpu::RenderPass,
        looks: &Looks,
        shapes: &Shapes,
        patches: &[PatchOnDevice],
    ) {
        pass.set_index_buffer(self.blades.slice(..), wgpu::IndexFormat::Uint32);
        for patch in patches {
            let [low, high] = patch.bounds;
            if !looks.meets(low, high) {
                continue;
            }
            pass.set_bind_group(2, &patch.group, &[]);
            match patch.shape {
                Shape::Near => {
                    pass.set_pipeline(&shapes.near);
                    let corners = NEAR_BLADES * BLADE.len() as u32;
                    pass.draw_indexed(0..corners, 0, 0..patch.count);
                }
                Shape::Far => {
                    pass.set_pipeline(&shapes.far);
                    pass.draw(0..FAR_BLADES * 3, 0..patch.count);
                }
                Shape::Stone => {
                    pass.set_pipeline(&shapes.stones);
                    pass.draw(0..STONE_CORNERS, 0..patch.count);
                }
            }
        }
    }
}

impl Shapes {
    /// The pipelines; `groups` are the frame's, the stage's and [`Tones::read_layout`].
    pub fn new(gpu: &Gpu, groups: &[&wgpu::BindGroupLayout], onto: Onto) -> Shapes {
        let kind = Kind::solid(&SCATTER, groups, onto);
        let make = |vs| kind.specialised(&gpu.device, vs, &[]);
        Shapes {
            near: make("vs_near"),
            far: make("vs_far"),
            stones: make("vs_stone"),
        }
    }
}
