//! A batch of views as one submission: the machine drawn into every layer, taken alone, the rest drawn over
//! it, taken again (DEVELOPERS.md, "How sighting runs on the GPU"). May not enter: waiting, what is made of it.

use super::device::Gpu;
use super::kept::Kept;
use super::passes::{COUNTED_BLOCK, PACKED_BLOCK, Passes};
use super::readback::{CountBytes, FrameBytes, Pending, Pool};
use super::targets::{Easel, Extent, Targets};
use super::uniforms::{Depths, SightingView, Taking};
use crate::sighting::rasterizer::Around;
use crate::sighting::view::View;
use std::sync::mpsc;

/// What is taken of a batch, and where it will lie.
#[derive(Clone, Copy, Debug)]
pub enum Taken {
    /// Ids and depths.
    Frames(FrameBytes),
    /// Pixels of each patch.
    Counts(CountBytes),
}

/// What a batch is drawn with.
pub struct Tools<'a> {
    /// The device.
    pub gpu: &'a Gpu,
    /// Pipelines.
    pub passes: &'a Passes,
    /// Targets.
    pub easel: &'a Easel,
    /// Buffers to read.
    pub pool: &'a Pool,
}

/// Submits a batch.
pub fn submit(
    tools: &Tools,
    kept: &Kept,
    views: &[View],
    depths: &[Depths],
    around: Around,
    taken: Taken,
) -> Pending {
    let gpu = tools.gpu;
    let faults_before = gpu.faults();
    let (extent, bytes) = match taken {
        Taken::Frames(bytes) => (bytes.extent, bytes.total()),
        Taken::Counts(bytes) => (bytes.extent, bytes.total()),
    };
    let uniforms = Uniforms::new(tools, views, depths, extent.scale);
    let mut encoder = gpu.device.create_command_encoder(&Default::default());
    let targets = tools.easel.targets(gpu, extent);
    let buffer = tools.pool.take(gpu, bytes);
    let taker = Taker::new(tools, &targets, taken);
    let layers: &[bool] = if around == Around::Nothing {
        &[true]
    } else {
        &[true, false]
    };
    for alone in layers.iter().copied() {
        for (layer, view) in views.iter().enumerate() {
            let mut pass = begin(&mut encoder, &targets, layer, view, alone);
            uniforms.bind(&mut pass, layer);
            draw(&mut pass, tools.passes, kept, around, alone);
        }
        taker.take(tools, &mut encoder, &buffer, alone);
    }
    let submission = gpu.queue.submit([encoder.finish()]);
    let (tell, mapped) = mpsc::channel();
    buffer.map_async(wgpu::MapMode::Read, .., move |result| {
        // Nobody waits any longer where the batch was given up.
        let _ = tell.send(result);
    });
    Pending {
        buffer,
        submission,
        mapped,
        faults_before,
    }
}

/// The batch's views, one after the other at the device's own step.
struct Uniforms {
    group: wgpu::BindGroup,
    step: usize,
}

impl Uniforms {
    fn new(tools: &Tools, views: &[View], depths: &[Depths], scale: u32) -> Uniforms {
        let device = &tools.gpu.device;
        let least = device.limits().min_uniform_buffer_offset_alignment as usize;
        let step = size_of::<SightingView>().next_multiple_of(least);
        let mut bytes = vec![0; step * views.len()];
        for ((view, depths), bytes) in views.iter().zip(depths).zip(bytes.chunks_mut(step)) {
            let view = SightingView::of(view, *depths, scale);
            bytes[..size_of::<SightingView>()].copy_from_slice(bytemuck::bytes_of(&view));
        }
        let buffer = tools
            .gpu
            .buffer("views", &bytes, wgpu::BufferUsages::UNIFORM);
        let group = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("views"),
            layout: &tools.passes.view_layout,
            entries: &[wgpu::BindGroupEntry {
                binding: 0,
                resource: wgpu::BindingResource::Buffer(wgpu::BufferBinding {
                    buffer: &buffer,
                    offset: 0,
                    size: wgpu::BufferSize::new(size_of::<SightingView>() as u64),
                }),
            }],
        });
        Uniforms { group, step }
    }

    fn bind(&self, pass: &mut wgpu::RenderPass, layer: usize) {
        pass.set_bind_group(0, &self.group, &[(layer * self.step) as u32]);
    }
}

/// Begins to draw one view; a first pass empties the layer, a second draws over it.
fn begin<'a>(
    encoder: &'a mut wgpu::CommandEncoder,
    targets: &Targets,
    layer: usize,
    view: &View,
    first: bool,
) -> wgpu::RenderPass<'a> {
    let (ids, depths) = &targets.layers[layer];
    let store = wgpu::StoreOp::Store;
    let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
        label: Some("sighting"),
        color_attachments: &[Some(wgpu::RenderPassColorAttachment {
            view: ids,
            depth_slice: None,
            resolve_target: None,
            ops: wgpu::Operations {
                load: match first {
                    true => wgpu::LoadOp::Clear(wgpu::Color::TRANSPARENT),
                    false => wgpu::LoadOp::Load,
                },
                store,
            },
        })],
        depth_stencil_attachment: Some(wgpu::RenderPassDepthStencilAttachment {
            view: depths,
            depth_ops: Some(wgpu::Operations {
                load: match first {
                    true => wgpu::LoadOp::Clear(0.0),
                    false => wgpu::LoadOp::Load,
                },
                store,
            }),
            stencil_ops: None,
        }),
        ..Default::default()
    });
    let scale = targets.extent.scale;
    let [width, height] = [view.width, view.height].map(|pixels| pixels as u32 * scale);
    pass.set_viewport(0.0, 0.0, width as f32, height as f32, 0.0, 1.0);
    pass.set_scissor_rect(0, 0, width, height);
    pass
}

fn draw(pass: &mut wgpu::RenderPass, passes: &Passes, kept: &Kept, around: Around, alone: bool) {
    let Some(buffers) = &kept.buffers else { return };
    let geometry = &kept.geometry;
    pass.set_vertex_buffer(0, buffers.corners.slice(..));
    pass.set_index_buffer(buffers.indices.slice(..), wgpu::IndexFormat::Uint32);
    if alone {
        pass.set_pipeline(if kept.is_closed() {
            &passes.solid
        } else {
            &passes.open
        });
        pass.draw_indexed(geometry.machine.clone(), 0, 0..1);
        return;
    }
    for run in geometry.around(around) {
        pass.set_pipeline(if run.sifted {
            &passes.sifted
        } else {
            &passes.solid
        });
        pass.draw_indexed(run.indices.clone(), 0, 0..1);
    }
}

/// Takes from the layers what is asked for.
struct Taker {
    group: wgpu::BindGroup,
    /// What is made of them, and how many bytes of it are read.
    made: wgpu::Buffer,
    bytes: u64,
    extent: Extent,
    counts: bool,
}

impl Taker {
    fn new(tools: &Tools, targets: &Targets, taken: Taken) -> Taker {
        let device = &tools.gpu.device;
        let (extent, bytes, patches) = match taken {
            Taken::Frames(bytes) => (bytes.extent, bytes.region(), 0),
            Taken::Counts(bytes) => (bytes.extent, bytes.region(), bytes.patches),
        };
        let counts = matches!(taken, Taken::Counts(_));
        let made = match counts {
            false => targets.packed.clone(),
            true => device.create_buffer(&wgpu::BufferDescriptor {
                label: Some("counts"),
                size: bytes,
                usage: wgpu::BufferUsages::STORAGE
                    | wgpu::BufferUsages::COPY_SRC
                    | wgpu::BufferUsages::COPY_DST,
                mapped_at_creation: false,
            }),
        };
        let taking = Taking {
            width: extent.width,
            height: extent.height,
            scale: extent.scale,
            patches,
        };
        let usage = wgpu::BufferUsages::UNIFORM;
        let taking = tools
            .gpu
            .buffer("taking", bytemuck::bytes_of(&taking), usage);
        let resources = [
            wgpu::BindingResource::TextureView(&targets.all.0),
            wgpu::BindingResource::TextureView(&targets.all.1),
            taking.as_entire_binding(),
            made.as_entire_binding(),
        ];
        let entries = (0..).zip(resources);
        let entries = entries.map(|(binding, resource)| wgpu::BindGroupEntry { binding, resource });
        let group = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("taking"),
            layout: &tools.passes.take_layout,
            entries: &entries.collect::<Vec<_>>(),
        });
        Taker {
            group,
            made,
            bytes,
            extent,
            counts,
        }
    }

    fn take(
        &self,
        tools: &Tools,
        encoder: &mut wgpu::CommandEncoder,
        buffer: &wgpu::Buffer,
        alone: bool,
    ) {
        let (pipeline, [across, down]) = match self.counts {
            true => (&tools.passes.count, COUNTED_BLOCK),
            false => (&tools.passes.pack, PACKED_BLOCK),
        };
        if self.counts {
            encoder.clear_buffer(&self.made, 0, None);
        }
        let mut pass = encoder.begin_compute_pass(&Default::default());
        pass.set_pipeline(pipeline);
        pass.set_bind_group(0, &self.group, &[]);
        let Extent {
            width,
            height,
            layers,
            ..
        } = self.extent;
        pass.dispatch_workgroups(width.div_ceil(across), height.div_ceil(down), layers);
        drop(pass);
        let to = if alone { 0 } else { self.bytes };
        encoder.copy_buffer_to_buffer(&self.made, 0, buffer, to, Some(self.bytes));
    }
}
