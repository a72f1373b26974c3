//! Sheets on which tiles are drawn, and their development: from light to sRGB bytes. May not enter: scenes.

use super::canvas::Canvas;
use super::pipeline::{DEPTH_FORMAT, FILM_FORMAT, LIGHT_FORMAT, entry, layout, texture_type};
use super::readback::{half_to_f32, read};
use super::shader::FILM;
use crate::gpu::covering::covering;
use crate::gpu::device::{Gpu, GpuError};
use std::ops::Range;
use wgpu::{TextureSampleType, TextureUsages, TextureViewDimension};

/// The pass.
pub struct Film {
    pipeline: wgpu::RenderPipeline,
    group_layout: wgpu::BindGroupLayout,
}

/// What one tile is drawn on.
pub struct Sheet {
    /// Samples, if there are more than one to a pixel.
    samples: Option<wgpu::TextureView>,
    /// Light, one value to a drawn pixel.
    light: wgpu::TextureView,
    light_texture: wgpu::Texture,
    /// Depths of the samples.
    depth: wgpu::TextureView,
    group: wgpu::BindGroup,
    /// Pixels of the picture.
    pub size: [u32; 2],
    /// Drawn pixels to one of the picture, across.
    pub times: u32,
    /// Samples to a drawn pixel.
    pub count: u32,
}

impl Film {
    /// Its pipeline.
    pub fn new(gpu: &Gpu, frame: &wgpu::BindGroupLayout) -> Film {
        let device = &gpu.device;
        let unfiltered = TextureSampleType::Float { filterable: false };
        let ty = texture_type(unfiltered, TextureViewDimension::D2);
        let group_layout = device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some(FILM.name),
            entries: &[entry(0, wgpu::ShaderStages::FRAGMENT, ty)],
        });
        let module = FILM.module(device);
        let groups = layout(device, &[frame, &group_layout]);
        let pipeline = covering(device, FILM.name, &module, &groups, FILM_FORMAT);
        Film {
            pipeline,
            group_layout,
        }
    }

    /// Something to draw on: `size` pixels of the picture, each drawn `times` by `times`, `count` samples each.
    pub fn sheet(&self, gpu: &Gpu, size: [u32; 2], times: u32, count: u32) -> Sheet {
        let make = |label, format, [width, height]: [u32; 2], sample_count, usage| {
            gpu.device.create_texture(&wgpu::TextureDescriptor {
                label: Some(label),
                size: wgpu::Extent3d {
                    width,
                    height,
                    depth_or_array_layers: 1,
                },
                mip_level_count: 1,
                sample_count,
                dimension: wgpu::TextureDimension::D2,
                format,
                usage,
                view_formats: &[],
            })
        };
        let drawn = size.map(|pixels| pixels * times);
        let target = TextureUsages::RENDER_ATTACHMENT;
        let read = target | TextureUsages::TEXTURE_BINDING | TextureUsages::COPY_SRC;
        let view = |texture: &wgpu::Texture| texture.create_view(&Default::default());
        let light_texture = make("light", LIGHT_FORMAT, drawn, 1, read);
        let light = view(&light_texture);
        let samples =
            (count > 1).then(|| view(&make("samples", LIGHT_FORMAT, drawn, count, target)));
        let depth = view(&make("depth", DEPTH_FORMAT, drawn, count, target));
        let group = gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some(FILM.name),
            layout: &self.group_layout,
            entries: &[wgpu::BindGroupEntry {
                binding: 0,
                resource: wgpu::BindingResource::TextureView(&light),
            }],
        });
        Sheet {
            samples,
            light,
            light_texture,
            depth,
            group,
            size,
            times,
            count,
        }
    }

    /// Develops some rows of what lies on a sheet, onto its place in the picture.
    pub fn develop(
        &self,
        gpu: &Gpu,
        frame: &wgpu::BindGroup,
        sheet: &Sheet,
        canvas: &Canvas,
        [column, row]: [usize; 2],
        rows: Range<u32>,
    ) {
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some(FILM.name),
            color_attachments: &[Some(attachment(&canvas.view, wgpu::LoadOp::Load, None))],
            ..Default::default()
        });
        pass.set_pipeline(&self.pipeline);
        pass.set_bind_group(0, frame, &[]);
        pass.set_bind_group(1, &sheet.group, &[]);
        let [x, y] = [column as f32, row as f32];
        let [width, height] = sheet.size.map(|pixels| pixels as f32);
        pass.set_viewport(x, y, width, height, 0.0, 1.0);
        let first = row as u32 + rows.start;
        pass.set_scissor_rect(column as u32, first, sheet.size[0], rows.end - rows.start);
        pass.draw(0..3, 0..1);
        drop(pass);
        gpu.queue.submit([encoder.finish()]);
    }
}

fn attachment<'a>(
    view: &'a wgpu::TextureView,
    load: wgpu::LoadOp<wgpu::Color>,
    resolve_target: Option<&'a wgpu::TextureView>,
) -> wgpu::RenderPassColorAttachment<'a> {
    wgpu::RenderPassColorAttachment {
        view,
        depth_slice: None,
        resolve_target,
        ops: wgpu::Operations {
            load,
            store: wgpu::StoreOp::Store,
        },
    }
}

impl Sheet {
    /// The pass in which a tile, or a piece of it, is drawn: `clears` empties the sheet first, `resolves` puts samples
    /// together afterwards.
    pub fn begin<'a>(
        &self,
        encoder: &'a mut wgpu::CommandEncoder,
        clears: bool,
        resolves: bool,
    ) -> wgpu::RenderPass<'a> {
        let view = self.samples.as_ref().unwrap_or(&self.light);
        let resolve_target = (resolves && self.samples.is_some()).then_some(&self.light);
        let (load, load_depth) = match clears {
            true => (
                wgpu::LoadOp::Clear(wgpu::Color::TRANSPARENT),
                wgpu::LoadOp::Clear(0.0),
            ),
            false => (wgpu::LoadOp::Load, wgpu::LoadOp::Load),
        };
        encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some("picture"),
            color_attachments: &[Some(attachment(view, load, resolve_target))],
            depth_stencil_attachment: Some(wgpu::RenderPassDepthStencilAttachment {
                view: &self.depth,
                depth_ops: Some(wgpu::Operations {
                    load: load_depth,
                    // Pieces that follow find theirs empty.
                    store: wgpu::StoreOp::Store,
                }),
                stencil_ops: None,
            }),
            ..Default::default()
        })
    }

    /// Puts the samples of all pieces together.
    pub fn resolve(&self, gpu: &Gpu) {
        let Some(samples) = &self.samples else { return };
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        drop(encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some("picture"),
            color_attachments: &[Some(attachment(
                samples,
                wgpu::LoadOp::Load,
                Some(&self.light),
            ))],
            ..Default::default()
        }));
        gpu.queue.submit([encoder.finish()]);
    }

    /// The light before development (red, green, blue, share), row by row of drawn pixels.
    pub fn light_values(&self, gpu: &Gpu) -> Result<Vec<[f32; 4]>, GpuError> {
        let bytes = read(gpu, &self.light_texture, 8)?;
        let half = |two: &[u8]| half_to_f32(u16::from_le_bytes([two[0], two[1]]));
        let pixel = |eight: &[u8]| [0, 2, 4, 6].map(|i| half(&eight[i..i + 2]));
        Ok(bytes.chunks_exact(8).map(pixel).collect())
    }
}
