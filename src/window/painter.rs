//! Paints the page onto a canvas of its own, anew only where it has changed. May not enter: what is on the page, windows.

use super::damage::Damage;
use super::screening::Screening;
use super::textures::Textures;
use crate::gpu::device::{Gpu, GpuError};
use egui::epaint::ClippedPrimitive;
use egui::{Rect, TextureId, TexturesDelta};
use egui_wgpu::{Renderer, RendererOptions, ScreenDescriptor};

/// How egui paints: no noise against bands, which costs an adapter in software a third of a redraw and of which flat
/// pages have none.
const OPTIONS: RendererOptions = RendererOptions {
    msaa_samples: 1,
    depth_stencil_format: None,
    dithering: false,
    predictable_texture_filtering: false,
};

/// The page on a device.
pub struct Painter {
    /// egui's own.
    pub renderer: Renderer,
    textures: Textures,
    damage: Damage,
    canvas: Option<Canvas>,
    screening: Screening,
    format: wgpu::TextureFormat,
    pixels_per_point: f32,
}

struct Canvas {
    texture: wgpu::Texture,
    view: wgpu::TextureView,
    group: wgpu::BindGroup,
}

impl Painter {
    /// For surfaces of a format.
    pub fn new(gpu: &Gpu, format: wgpu::TextureFormat) -> Painter {
        Painter {
            renderer: Renderer::new(&gpu.device, format, OPTIONS),
            textures: Textures::default(),
            damage: Damage::default(),
            canvas: None,
            screening: Screening::new(gpu, format),
            format,
            pixels_per_point: 1.0,
        }
    }

    /// The same page on another device.
    pub fn moved_to(self, gpu: &Gpu, format: wgpu::TextureFormat) -> Painter {
        let mut painter = Painter::new(gpu, format);
        painter.textures = self.textures;
        painter.textures.bring(gpu, &mut painter.renderer);
        painter
    }

    /// Paints one redraw; `touched` are textures whose pixels have changed.
    ///
    /// # Errors
    /// The device is gone: nothing was painted.
    pub fn paint(
        &mut self,
        gpu: &Gpu,
        size: [u32; 2],
        pixels_per_point: f32,
        mut textures: TexturesDelta,
        mut shapes: Vec<ClippedPrimitive>,
        touched: &[TextureId],
    ) -> Result<(), GpuError> {
        self.textures.note(&textures);
        // egui's painter cannot bear a device that takes no buffers.
        if let Err(error) = gpu.check()
            && error.is_final()
        {
            textures.clear();
            return Err(error);
        }
        let Gpu { device, queue, .. } = gpu;
        let mut touched = touched.to_vec();
        for (id, deltas) in textures.set.drain() {
            for delta in deltas {
                // Letters that join the others leave them as they are.
                if delta.pos.is_none() {
                    touched.push(id);
                }
                self.renderer.update_texture(device, queue, id, &delta);
            }
        }
        let fits = |canvas: &Canvas| [canvas.texture.width(), canvas.texture.height()] == size;
        if !self.canvas.as_ref().is_some_and(fits) || self.pixels_per_point != pixels_per_point {
            self.canvas = Some(self.canvas(gpu, size));
            self.pixels_per_point = pixels_per_point;
            self.damage.forget();
        }
        let places = self.damage.since(&shapes, &touched);
        if let Some(canvas) = self.canvas.as_ref().filter(|_| !places.is_empty()) {
            let screen = ScreenDescriptor {
                size_in_pixels: size,
                pixels_per_point,
            };
            let mut encoder = device.create_command_encoder(&Default::default());
            let more =
                (self.renderer).update_buffers(device, queue, &mut encoder, &shapes, &screen);
            let mut pass = encoder
                .begin_render_pass(&wgpu::RenderPassDescriptor {
                    label: Some("interface"),
                    color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                        view: &canvas.view,
                        depth_slice: None,
                        resolve_target: None,
                        ops: wgpu::Operations {
                            load: wgpu::LoadOp::Load,
                            store: wgpu::StoreOp::Store,
                        },
                    })],
                    ..Default::default()
                })
                .forget_lifetime();
            let clips: Vec<Rect> = shapes.iter().map(|shape| shape.clip_rect).collect();
            for place in places {
                let place = whole_pixels(place, pixels_per_point);
                for (shape, clip) in shapes.iter_mut().zip(&clips) {
                    shape.clip_rect = clip.intersect(place);
                }
                self.renderer.render(&mut pass, &shapes, &screen);
            }
            drop(pass);
            queue.submit(more.into_iter().chain([encoder.finish()]));
        }
        for id in textures.free.drain() {
            self.renderer.free_texture(&id);
        }
        match gpu.check() {
            Err(error) if error.is_final() => Err(error),
            // What one redraw refused the next one may take.
            _ => Ok(()),
        }
    }

    fn canvas(&self, gpu: &Gpu, size: [u32; 2]) -> Canvas {
        let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
            label: Some("page"),
            size: wgpu::Extent3d {
                width: size[0],
                height: size[1],
                depth_or_array_layers: 1,
            },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: self.format,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::TEXTURE_BINDING,
            view_formats: &[],
        });
        let view = texture.create_view(&Default::default());
        Canvas {
            group: self.screening.group(gpu, &view),
            view,
            texture,
        }
    }

    /// Puts the page onto a target of its size.
    pub fn show_on(&self, encoder: &mut wgpu::CommandEncoder, target: &wgpu::TextureView) {
        if let Some(canvas) = &self.canvas {
            self.screening.draw(encoder, &canvas.group, target);
        }
    }
}

/// A place grown to whole pixels: egui cuts where it clips, and soft edges reach beyond.
fn whole_pixels(place: Rect, pixels_per_point: f32) -> Rect {
    let round = |value: f32, to: fn(f32) -> f32| to(value * pixels_per_point) / pixels_per_point;
    Rect::from_min_max(
        egui::pos2(
            round(place.min.x, f32::floor),
            round(place.min.y, f32::floor),
        ),
        egui::pos2(round(place.max.x, f32::ceil), round(place.max.y, f32::ceil)),
    )
}
