//! A picture tile by tile: what each pass needs is bound, the passes follow one another, and what they drew is handed
//! on. May not enter: how a pass draws.

use super::film::{Canvas, Film, Sheet};
use super::pipeline::{Onto, buffer};
use super::scatter::Shapes;
use super::strewn::{Strewn, strewn};
use super::{Lit, Options, Quality, frame, leaf, sky, surface, surfaces, veil, wire};
use crate::gpu::device::{Gpu, GpuError};
use crate::sighting::view::View;
use wgpu::BufferUsages;

/// Takes a drawn tile.
pub(super) type Take<'a> = dyn FnMut(&Drawn) -> Result<(), GpuError> + 'a;

/// A tile's light, drawn and not yet developed.
pub(super) struct Drawn<'a> {
    pub gpu: &'a Gpu,
    film: &'a Film,
    frame: &'a wgpu::BindGroup,
    pub sheet: &'a Sheet,
    /// The tile's first column and row.
    pub first: [usize; 2],
}

impl Drawn<'_> {
    /// Develops it onto a place of a canvas.
    pub fn develop(&self, canvas: &Canvas, to: [usize; 2]) {
        let mut encoder = self.gpu.device.create_command_encoder(&Default::default());
        self.film
            .develop(&mut encoder, self.frame, self.sheet, canvas, to);
        self.gpu.queue.submit([encoder.finish()]);
    }
}

/// What `draw` leaves on the device, per pixel.
pub(super) enum Wanted {
    Film,
    Light { lit_shares: bool },
}

/// Pipelines for one number of samples.
pub(super) struct Passes {
    onto: Onto,
    closed: bool,
    surface: [wgpu::RenderPipeline; surfaces::CLASSES],
    shapes: Shapes,
    leaf: wgpu::RenderPipeline,
    sky: wgpu::RenderPipeline,
    veil: wgpu::RenderPipeline,
    wire: wgpu::RenderPipeline,
}

impl Lit {
    pub(super) fn values(
        &mut self,
        view: &View,
        options: &Options,
        lit_shares: bool,
    ) -> Result<Vec<[f32; 4]>, GpuError> {
        let mut values = vec![[0.0; 4]; view.width * view.height];
        self.tiles(view, options, &Wanted::Light { lit_shares }, &mut |at| {
            let tile = at.sheet.light_values(at.gpu)?.into_iter();
            place(&mut values, view.width, at.first, at.sheet.size, tile);
            Ok(())
        })?;
        Ok(values)
    }

    /// Draws a view tile by tile and hands each to `take` with its first column and row.
    pub(super) fn tiles(
        &mut self,
        view: &View,
        options: &Options,
        wanted: &Wanted,
        take: &mut Take,
    ) -> Result<(), GpuError> {
        let (samples, times) = match wanted {
            Wanted::Film => (options.quality.samples(), options.quality.times()),
            Wanted::Light { .. } => (1, 1),
        };
        let most = self.gpu.device.limits().max_texture_dimension_2d / times;
        let largest = options.largest_tile.clamp(16, most) as usize;
        let closed = self.stage.as_ref().is_none_or(|stage| stage.closed);
        self.make_passes(samples, closed);
        let strewn = match (&self.stage, wanted) {
            // Measured light is that of surfaces, without what is strewn over them.
            (Some(stage), Wanted::Film) => {
                let sparse = if options.quality.is_still() {
                    1.0
                } else {
                    0.25
                };
                strewn(&stage.cover, view, sparse)
            }
            _ => Strewn::default(),
        };
        for row in (0..view.height).step_by(largest) {
            for column in (0..view.width).step_by(largest) {
                let size = [
                    (view.width - column).min(largest),
                    (view.height - row).min(largest),
                ];
                let tile = frame::tile(view, [column, row], size);
                let manner = frame::Manner {
                    exposed_for_lx: options.exposed_for_lx,
                    lit_shares: matches!(wanted, Wanted::Light { lit_shares: true }),
                    fineness: f64::from(u8::from(options.quality.is_still())),
                    times,
                    first: [column * times as usize, row * times as usize],
                };
                let frame = self.draw_tile(&tile, &manner, &strewn, samples, options.quality)?;
                if let Some(sheet) = &self.sheet {
                    take(&Drawn {
                        gpu: &self.gpu,
                        film: &self.film,
                        frame: &frame,
                        sheet,
                        first: [column, row],
                    })?;
                }
            }
        }
        Ok(())
    }

    /// Draws a moving picture onto a canvas of its size, or the share of the sun that each pixel has.
    pub(super) fn draw_moving(
        &mut self,
        canvas: &Canvas,
        view: &View,
        options: &Options,
        lit_shares: bool,
    ) -> Result<(), GpuError> {
        let stage = self.stage_set()?;
        let lamp = self.lamp_set(&stage, options.quality)?;
        let gpu = &self.gpu;
        let groups = [&self.frame_layout, &self.stage_layout];
        self.moving.make_passes(gpu, &groups, stage.closed);
        let manner = frame::Manner {
            exposed_for_lx: options.exposed_for_lx,
            lit_shares,
            fineness: 0.0,
            times: 1,
            first: [0, 0],
        };
        let uniform = frame::uniform(view, &manner);
        let bytes = bytemuck::bytes_of(&uniform);
        let uniform = buffer(&gpu.device, "frame", BufferUsages::UNIFORM, bytes);
        let group = frame::group(
            gpu,
            &self.frame_layout,
            &uniform,
            &lamp.buffer,
            &lamp.maps.view,
            &lamp.skyline,
        );
        self.moving.draw(gpu, &group, &stage, view, canvas);
        gpu.check()
    }

    fn make_passes(&mut self, samples: u32, closed: bool) {
        let onto = Onto::Light(samples);
        let made = |passes: &Passes| passes.onto == onto && passes.closed == closed;
        if self.passes.iter().any(made) {
            return;
        }
        let gpu = &self.gpu;
        let groups = [&self.frame_layout, &self.stage_layout];
        let strewn = [
            &self.frame_layout,
            &self.stage_layout,
            self.tones.read_layout(),
        ];
        self.passes.push(Passes {
            onto,
            closed,
            surface: surface::pipelines(gpu, &groups, onto, closed),
            shapes: Shapes::new(gpu, &strewn, onto),
            leaf: leaf::pipeline(gpu, &groups, onto),
            sky: sky::pipeline(gpu, &self.frame_layout, onto),
            veil: veil::pipeline(gpu, &groups, onto),
            wire: wire::pipeline(gpu, &groups[..1], onto),
        });
    }

    fn draw_tile(
        &mut self,
        tile: &View,
        manner: &frame::Manner,
        strewn: &Strewn,
        samples: u32,
        quality: Quality,
    ) -> Result<wgpu::BindGroup, GpuError> {
        let stage = self.stage_set()?;
        let lamp = self.lamp_set(&stage, quality)?;
        let onto = Onto::Light(samples);
        let gpu = &self.gpu;
        let size = [tile.width as u32, tile.height as u32];
        let fits = |sheet: &Sheet| {
            sheet.size == size && sheet.times == manner.times && sheet.count == samples
        };
        let sheet = match self.sheet.take().filter(fits) {
            Some(sheet) => sheet,
            None => self.film.sheet(gpu, size, manner.times, samples),
        };
        let drawn = View {
            width: tile.width * manner.times as usize,
            height: tile.height * manner.times as usize,
            ..tile.clone()
        };
        let uniform = frame::uniform(&drawn, manner);
        let uniform = buffer(
            &gpu.device,
            "frame",
            BufferUsages::UNIFORM,
            bytemuck::bytes_of(&uniform),
        );
        let group = frame::group(
            gpu,
            &self.frame_layout,
            &uniform,
            &lamp.buffer,
            &lamp.maps.view,
            &lamp.skyline,
        );
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        let strewn = self
            .tones
            .bring(gpu, &mut encoder, [&group, &stage.group], strewn);
        let made = |passes: &&Passes| passes.onto == onto && passes.closed == stage.closed;
        if let Some(passes) = self.passes.iter().find(made) {
            let mut pass = begin(&mut encoder, &sheet);
            pass.set_bind_group(0, &group, &[]);
            pass.set_bind_group(1, &stage.group, &[]);
            let surface = |class: usize| &passes.surface[class];
            stage.solid.draw(&mut pass, &surfaces::STANDING, &surface);
            pass.set_pipeline(&passes.leaf);
            stage.sprays.draw(&mut pass);
            self.tones.draw(&mut pass, &passes.shapes, &strewn);
            stage.solid.draw(&mut pass, &surfaces::GROUND, &surface);
            pass.set_pipeline(&passes.sky);
            pass.draw(0..3, 0..1);
            stage
                .veil
                .draw(&mut pass, &surfaces::STANDING, &|_| &passes.veil);
            pass.set_pipeline(&passes.wire);
            stage.wires.draw(&mut pass);
        }
        gpu.queue.submit([encoder.finish()]);
        self.sheet = Some(sheet);
        self.gpu.check()?;
        Ok(group)
    }
}

/// The pass in which a tile is drawn.
fn begin<'a>(encoder: &'a mut wgpu::CommandEncoder, sheet: &Sheet) -> wgpu::RenderPass<'a> {
    let (view, resolve_target) = match &sheet.samples {
        Some(samples) => (samples, Some(&sheet.light)),
        None => (&sheet.light, None),
    };
    encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
        label: Some("picture"),
        color_attachments: &[Some(wgpu::RenderPassColorAttachment {
            view,
            depth_slice: None,
            resolve_target,
            ops: wgpu::Operations {
                load: wgpu::LoadOp::Clear(wgpu::Color::TRANSPARENT),
                store: wgpu::StoreOp::Store,
            },
        })],
        depth_stencil_attachment: Some(wgpu::RenderPassDepthStencilAttachment {
            view: &sheet.depth,
            depth_ops: Some(wgpu::Operations {
                load: wgpu::LoadOp::Clear(0.0),
                store: wgpu::StoreOp::Discard,
            }),
            stencil_ops: None,
        }),
        ..Default::default()
    })
}

/// Puts a tile's pixels in their place.
pub(super) fn place<T>(
    whole: &mut [T],
    width: usize,
    [column, row]: [usize; 2],
    size: [u32; 2],
    pixels: impl Iterator<Item = T>,
) {
    for (i, pixel) in pixels.enumerate() {
        let (x, y) = (i % size[0] as usize, i / size[0] as usize);
        whole[(row + y) * width + column + x] = pixel;
    }
}
