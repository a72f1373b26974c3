//! A batch of views as one submission: the machine drawn into every layer, taken alone, the rest drawn over
//! it, taken again (architecture, law 7). May not enter: waiting, what is made of it.

use super::device::Gpu;
use super::kept::Kept;
use super::passes::{COUNTED_BLOCK, Passes};
use super::readback::{CountBytes, FrameBytes, Pending, Pool};
use super::targets::{Easel, Targets};
use super::uniforms::{Counting, Depths, SightingView};
use crate::sighting::rasterizer::Around;
use crate::sighting::view::View;
use std::sync::{Arc, Mutex};

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
    let uniforms = Uniforms::new(tools, views, depths);
    let mut encoder = gpu.device.create_command_encoder(&Default::default());
    let (extent, bytes) = match taken {
        Taken::Frames(bytes) => (bytes.extent, bytes.total()),
        Taken::Counts(bytes) => (bytes.extent, bytes.total()),
    };
    let targets = tools.easel.targets(gpu, extent);
    let buffer = tools.pool.take(gpu, bytes);
    let counter = match taken {
        Taken::Counts(bytes) => Some(Counter::new(tools, &targets, bytes)),
        Taken::Frames(_) => None,
    };
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
        match (&taken, &counter) {
            (Taken::Counts(_), Some(counter)) => counter.count(tools, &mut encoder, &buffer, alone),
            (Taken::Frames(bytes), _) => copy(&mut encoder, &targets, bytes, &buffer, alone),
            (Taken::Counts(_), None) => {}
        }
    }
    let submission = gpu.queue.submit([encoder.finish()]);
    let mapped = Arc::new(Mutex::new(None));
    let told = Arc::clone(&mapped);
    buffer.map_async(wgpu::MapMode::Read, .., move |result| {
        if let Ok(mut told) = told.lock() {
            *told = Some(result);
        }
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
    fn new(tools: &Tools, views: &[View], depths: &[Depths]) -> Uniforms {
        let device = &tools.gpu.device;
        let least = device.limits().min_uniform_buffer_offset_alignment as usize;
        let step = size_of::<SightingView>().next_multiple_of(least);
        let mut bytes = vec![0; step * views.len()];
        for ((view, depths), bytes) in views.iter().zip(depths).zip(bytes.chunks_mut(step)) {
            let view = SightingView::of(view, *depths);
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
    let (width, height) = (view.width as u32, view.height as u32);
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

fn copy(
    encoder: &mut wgpu::CommandEncoder,
    targets: &Targets,
    bytes: &FrameBytes,
    buffer: &wgpu::Buffer,
    alone: bool,
) {
    let extent = bytes.extent;
    let first = if alone { 0 } else { 2 };
    let aspects = [
        (&targets.ids, wgpu::TextureAspect::All),
        (&targets.depths, wgpu::TextureAspect::DepthOnly),
    ];
    for (region, (texture, aspect)) in (first..).zip(aspects) {
        encoder.copy_texture_to_buffer(
            wgpu::TexelCopyTextureInfo {
                texture,
                mip_level: 0,
                origin: wgpu::Origin3d::ZERO,
                aspect,
            },
            wgpu::TexelCopyBufferInfo {
                buffer,
                layout: wgpu::TexelCopyBufferLayout {
                    offset: region * bytes.region(),
                    bytes_per_row: Some(4 * extent.width),
                    rows_per_image: Some(extent.height),
                },
            },
            wgpu::Extent3d {
                width: extent.width,
                height: extent.height,
                depth_or_array_layers: extent.layers,
            },
        );
    }
}

/// Counts what lies in the layers.
struct Counter {
    group: wgpu::BindGroup,
    counts: wgpu::Buffer,
    bytes: CountBytes,
}

impl Counter {
    fn new(tools: &Tools, targets: &Targets, bytes: CountBytes) -> Counter {
        let device = &tools.gpu.device;
        let counts = device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("counts"),
            size: bytes.region(),
            usage: wgpu::BufferUsages::STORAGE
                | wgpu::BufferUsages::COPY_SRC
                | wgpu::BufferUsages::COPY_DST,
            mapped_at_creation: false,
        });
        let told = Counting {
            patches: bytes.patches,
            spare_0: 0,
            spare_1: 0,
            spare_2: 0,
        };
        let told = tools.gpu.buffer(
            "counting",
            bytemuck::bytes_of(&told),
            wgpu::BufferUsages::UNIFORM,
        );
        let resources = [
            wgpu::BindingResource::TextureView(&targets.all_ids),
            told.as_entire_binding(),
            counts.as_entire_binding(),
        ];
        let entries = (0..).zip(resources);
        let entries = entries.map(|(binding, resource)| wgpu::BindGroupEntry { binding, resource });
        let group = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("counting"),
            layout: &tools.passes.count_layout,
            entries: &entries.collect::<Vec<_>>(),
        });
        Counter {
            group,
            counts,
            bytes,
        }
    }

    fn count(
        &self,
        tools: &Tools,
        encoder: &mut wgpu::CommandEncoder,
        buffer: &wgpu::Buffer,
        alone: bool,
    ) {
        encoder.clear_buffer(&self.counts, 0, None);
        let mut pass = encoder.begin_compute_pass(&Default::default());
        pass.set_pipeline(&tools.passes.count);
        pass.set_bind_group(0, &self.group, &[]);
        let [across, down] = COUNTED_BLOCK;
        pass.dispatch_workgroups(
            self.bytes.extent.width.div_ceil(across),
            self.bytes.extent.height.div_ceil(down),
            self.bytes.extent.layers,
        );
        drop(pass);
        let region = self.bytes.region();
        let to = if alone { 0 } else { region };
        encoder.copy_buffer_to_buffer(&self.counts, 0, buffer, to, Some(region));
    }
}
