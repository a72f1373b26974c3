//! The picture while something moves, on adapters in software: only what the eye may see is handed to them, in one
//! pass, developed at once. May not enter: how stages are kept, sun maps.

use super::bake::{Bake, Baked};
use super::canvas::Canvas;
use super::crowns::Hulls;
use super::dome::Dome;
use super::pipeline::{Kind, Onto, buffer, entry, texture_type};
use super::runs::{Looks, Runs};
use super::shader::{CROWN, LAWN, MOVING};
use super::stage_mesh::StageMesh;
use super::surfaces::STANDING;
use super::uniforms::CoarseCorner;
use super::{Prepared, veil, wire};
use crate::gpu::device::Gpu;
use crate::sighting::view::View;
use glam::DVec3;
use wgpu::{BufferUsages, ShaderStages, TextureSampleType, TextureViewDimension};

const COARSE: [wgpu::VertexAttribute; 5] = wgpu::vertex_attr_array![
    0 => Float32x3, 1 => Float16x4, 2 => Snorm8x4, 3 => Unorm16x2, 4 => Snorm8x4
];
const HULL: [wgpu::VertexAttribute; 5] = wgpu::vertex_attr_array![
    0 => Float32x3, 1 => Float16x4, 2 => Snorm8x4, 3 => Unorm16x2, 4 => Uint32
];

/// Classes of finishes by the pipelines that draw them, in the order in which these run: the machine, what stands about
/// it, stones of the ground, grass.
const SORTS: [&[usize]; 4] = [&[0], &[3, 4, 5, 6], &[2], &[1]];
/// The first of them that the ground is made of.
const GROUND: usize = 2;

/// The pass.
pub struct Moving {
    /// Works out what the pass reads of a stage.
    bake: Bake,
    group_layout: wgpu::BindGroupLayout,
    smoothly: wgpu::Sampler,
    /// For meshes that are closed, and for others.
    passes: [Option<Passes>; 2],
}

struct Passes {
    sorts: [wgpu::RenderPipeline; SORTS.len()],
    crown: wgpu::RenderPipeline,
    dome: Dome,
    veil: wgpu::RenderPipeline,
    wire: wgpu::RenderPipeline,
}

/// What the pass reads of a stage.
pub struct MovingStage {
    baked: Baked,
    hulls: wgpu::Buffer,
    hull_runs: Runs,
}

impl MovingStage {
    /// Crowns in runs, and corners with their mean colours.
    pub fn new(gpu: &Gpu, moving: &Moving, stage: &wgpu::BindGroup, mesh: &StageMesh) -> Self {
        let Hulls { corners, triangles } = &mesh.hulls;
        let hull_place = |i: u32| DVec3::from_array(corners[i as usize].position.map(f64::from));
        MovingStage {
            baked: moving.bake.mesh(gpu, stage, &mesh.solid),
            hulls: buffer(
                &gpu.device,
                "hulls",
                BufferUsages::VERTEX,
                bytemuck::cast_slice(corners),
            ),
            hull_runs: Runs::of(triangles, &hull_place),
        }
    }
}

impl Moving {
    /// What does not depend on a stage.
    pub fn new(gpu: &Gpu, stage: &wgpu::BindGroupLayout) -> Moving {
        let filtered = TextureSampleType::Float { filterable: true };
        let sampler = wgpu::BindingType::Sampler(wgpu::SamplerBindingType::Filtering);
        let layout = wgpu::BindGroupLayoutDescriptor {
            label: Some(MOVING.name),
            entries: &[
                entry(
                    0,
                    ShaderStages::FRAGMENT,
                    texture_type(filtered, TextureViewDimension::D2),
                ),
                entry(1, ShaderStages::FRAGMENT, sampler),
            ],
        };
        Moving {
            bake: Bake::new(gpu, stage),
            group_layout: gpu.device.create_bind_group_layout(&layout),
            smoothly: gpu.device.create_sampler(&wgpu::SamplerDescriptor {
                mag_filter: wgpu::FilterMode::Linear,
                min_filter: wgpu::FilterMode::Linear,
                ..Default::default()
            }),
            passes: [None, None],
        }
    }

    /// Makes the pipelines for a stage, once; `groups` are the frame's and the stage's.
    pub fn make_passes(&mut self, gpu: &Gpu, groups: &[&wgpu::BindGroupLayout; 2], closed: bool) {
        let kept = &mut self.passes[usize::from(closed)];
        if kept.is_some() {
            return;
        }
        let layout = |attributes| {
            [Some(wgpu::VertexBufferLayout {
                array_stride: size_of::<CoarseCorner>() as u64,
                step_mode: wgpu::VertexStepMode::Vertex,
                attributes,
            })]
        };
        let (buffers, hulls) = (layout(&COARSE), layout(&HULL));
        let own = [groups[0], groups[1], &self.group_layout];
        let solid = Kind {
            buffers: &buffers,
            culls: closed,
            ..Kind::solid(&MOVING, &own, Onto::Film)
        };
        let crown = Kind {
            buffers: &hulls,
            culls: true,
            ..Kind::solid(&CROWN, groups, Onto::Film)
        };
        let ground = Kind {
            source: &LAWN,
            ..solid
        };
        let solid = |machine| solid.specialised(&gpu.device, "vs", &[("OF_MACHINE", machine)]);
        let ground = |grass| ground.specialised(&gpu.device, "vs", &[("IS_GRASS", grass)]);
        *kept = Some(Passes {
            sorts: [solid(1.0), solid(0.0), ground(0.0), ground(1.0)],
            crown: crown.pipeline(&gpu.device),
            dome: Dome::new(gpu, groups[0]),
            veil: veil::pipeline(gpu, groups, Onto::Film),
            wire: wire::pipeline(gpu, &groups[..1], Onto::Film),
        });
    }

    /// Draws a view onto the whole of a canvas.
    pub fn draw(
        &self,
        gpu: &Gpu,
        frame: &wgpu::BindGroup,
        stage: &Prepared,
        (view, over_hills): (&View, f64),
        canvas: &Canvas,
    ) {
        let Some(passes) = &self.passes[usize::from(stage.closed)] else {
            return;
        };
        let own = &stage.moving;
        let looks = Looks::of(view, stage.closed);
        let mut indices = vec![];
        let mut gather = |runs: &[&Runs]| {
            let start = indices.len() as u32;
            for runs in runs {
                runs.gather(&looks, &mut indices);
            }
            start..indices.len() as u32
        };
        let of_class = |class: &usize| &stage.solid.runs[*class];
        let sorts = SORTS.map(|sort| gather(&sort.iter().map(of_class).collect::<Vec<_>>()));
        let hulls = gather(&[&own.hull_runs]);
        let indices = buffer(
            &gpu.device,
            "seen",
            BufferUsages::INDEX,
            bytemuck::cast_slice(&indices),
        );
        let group = gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some(MOVING.name),
            layout: &self.group_layout,
            entries: &[
                wgpu::BindGroupEntry {
                    binding: 0,
                    resource: wgpu::BindingResource::TextureView(&own.baked.growth),
                },
                wgpu::BindGroupEntry {
                    binding: 1,
                    resource: wgpu::BindingResource::Sampler(&self.smoothly),
                },
            ],
        });
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        let depth = canvas.depth(gpu);
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some(MOVING.name),
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: canvas.shown().view,
                depth_slice: None,
                resolve_target: None,
                ops: wgpu::Operations {
                    load: wgpu::LoadOp::Clear(wgpu::Color::BLACK),
                    store: wgpu::StoreOp::Store,
                },
            })],
            depth_stencil_attachment: Some(wgpu::RenderPassDepthStencilAttachment {
                view: depth,
                depth_ops: Some(wgpu::Operations {
                    load: wgpu::LoadOp::Clear(0.0),
                    store: wgpu::StoreOp::Discard,
                }),
                stencil_ops: None,
            }),
            ..Default::default()
        });
        pass.set_bind_group(0, frame, &[]);
        pass.set_bind_group(1, &stage.group, &[]);
        pass.set_bind_group(2, &group, &[]);
        pass.set_index_buffer(indices.slice(..), wgpu::IndexFormat::Uint32);
        pass.set_vertex_buffer(0, own.baked.corners.slice(..));
        let [standing, ground] = [0..GROUND, GROUND..SORTS.len()];
        let draw = |pass: &mut wgpu::RenderPass, these: std::ops::Range<usize>| {
            for sort in these {
                if !sorts[sort].is_empty() {
                    pass.set_pipeline(&passes.sorts[sort]);
                    pass.draw_indexed(sorts[sort].clone(), 0, 0..1);
                }
            }
        };
        draw(&mut pass, standing);
        if !hulls.is_empty() {
            pass.set_pipeline(&passes.crown);
            pass.set_vertex_buffer(0, own.hulls.slice(..));
            pass.draw_indexed(hulls, 0, 0..1);
            pass.set_vertex_buffer(0, own.baked.corners.slice(..));
        }
        draw(&mut pass, ground);
        passes.dome.draw(&mut pass, view, over_hills);
        stage
            .veil
            .draw(&mut pass, &looks, &STANDING, &|_| &passes.veil);
        pass.set_pipeline(&passes.wire);
        stage.wires.draw(&mut pass);
        drop(pass);
        gpu.queue.submit([encoder.finish()]);
    }
}
