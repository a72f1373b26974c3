//! The surface of a window and egui's painter on it. May not enter: what is painted.

use crate::gpu::device::{Gpu, GpuError};
use egui::{ClippedPrimitive, TexturesDelta};
use egui_wgpu::{Renderer, RendererOptions, ScreenDescriptor};
use std::sync::Arc;
use winit::event_loop::ActiveEventLoop;
use winit::window::Window;

/// A window's surface with its device.
pub struct Surface {
    /// The device, for pictures too.
    pub gpu: Arc<Gpu>,
    /// egui's painter.
    pub renderer: Renderer,
    surface: wgpu::Surface<'static>,
    config: wgpu::SurfaceConfiguration,
}

/// What came of a paint.
pub enum Taken {
    /// It is on the screen.
    Painted,
    /// The screen was not ready: once more.
    Later,
    /// Nobody sees the window.
    Never,
    /// The device is gone.
    Lost(GpuError),
}

impl Surface {
    /// A surface on the best adapter that can draw to the window.
    ///
    /// # Errors
    /// There is none, or it gives no device.
    pub fn new(events: &ActiveEventLoop, window: &Arc<Window>) -> Result<Surface, GpuError> {
        let display = Box::new(events.owned_display_handle());
        let options = wgpu::InstanceDescriptor::new_with_display_handle_from_env(display);
        let instance = wgpu::Instance::new(options);
        // Without any driver it is the surface that cannot be made.
        let surface = instance.create_surface(Arc::clone(window));
        let surface = surface.map_err(|_| GpuError::NoAdapter)?;
        let (gpu, adapter) = Gpu::open_for(&instance, Some(&surface))?;
        let gpu = Arc::new(gpu);
        let size = window.inner_size();
        let refused = || GpuError::Refused("it cannot draw to this window".into());
        let config = surface.get_default_config(&adapter, size.width.max(1), size.height.max(1));
        let mut config = config.ok_or_else(refused)?;
        // egui blends in sRGB bytes.
        config.format = config.format.remove_srgb_suffix();
        config.present_mode = wgpu::PresentMode::AutoVsync;
        config.desired_maximum_frame_latency = 1;
        surface.configure(&gpu.device, &config);
        let renderer = Renderer::new(&gpu.device, config.format, RendererOptions::default());
        gpu.check()?;
        Ok(Surface {
            gpu,
            renderer,
            surface,
            config,
        })
    }

    /// Paints one frame of the interface.
    pub fn paint(
        &mut self,
        size: [u32; 2],
        pixels_per_point: f32,
        mut textures: TexturesDelta,
        shapes: &[ClippedPrimitive],
    ) -> Taken {
        let Gpu { device, queue, .. } = &*self.gpu;
        let screen = ScreenDescriptor {
            size_in_pixels: size,
            pixels_per_point,
        };
        // Textures are taken over even where nothing is shown: they are told only once.
        for (id, deltas) in textures.set.drain() {
            for delta in deltas {
                self.renderer.update_texture(device, queue, id, &delta);
            }
        }
        let taken = self.present(size, &screen, shapes);
        for id in textures.free.drain() {
            self.renderer.free_texture(&id);
        }
        match self.gpu.check() {
            Err(error @ (GpuError::Lost(_) | GpuError::OutOfMemory)) => Taken::Lost(error),
            // What one frame refused the next one may take.
            _ => taken,
        }
    }

    fn present(
        &mut self,
        size: [u32; 2],
        screen: &ScreenDescriptor,
        shapes: &[ClippedPrimitive],
    ) -> Taken {
        use wgpu::CurrentSurfaceTexture as Current;
        let Gpu { device, queue, .. } = &*self.gpu;
        if [self.config.width, self.config.height] != size {
            [self.config.width, self.config.height] = size;
            self.surface.configure(device, &self.config);
        }
        let frame = match self.surface.get_current_texture() {
            Current::Success(frame) | Current::Suboptimal(frame) => frame,
            Current::Occluded => return Taken::Never,
            Current::Outdated => {
                self.surface.configure(device, &self.config);
                return Taken::Later;
            }
            Current::Lost => {
                return Taken::Lost(GpuError::Lost("the window's surface is gone".into()));
            }
            _ => return Taken::Later,
        };
        let view = frame.texture.create_view(&Default::default());
        let mut encoder = device.create_command_encoder(&Default::default());
        let more = self
            .renderer
            .update_buffers(device, queue, &mut encoder, shapes, screen);
        {
            let pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
                label: Some("interface"),
                color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                    view: &view,
                    depth_slice: None,
                    resolve_target: None,
                    ops: wgpu::Operations {
                        load: wgpu::LoadOp::Clear(wgpu::Color::BLACK),
                        store: wgpu::StoreOp::Store,
                    },
                })],
                ..Default::default()
            });
            self.renderer
                .render(&mut pass.forget_lifetime(), shapes, screen);
        }
        queue.submit(more.into_iter().chain([encoder.finish()]));
        queue.present(frame);
        Taken::Painted
    }
}
