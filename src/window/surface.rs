//! The surface of a window and egui's painter on it. May not enter: what is painted.

use super::painter::Painter;
use crate::gpu::device::{Gpu, GpuError};
use crate::picture::lit::Lit;
use egui::epaint::ClippedPrimitive;
use egui::{TextureId, TexturesDelta};
use std::sync::Arc;
use wgpu::CurrentSurfaceTexture as Current;
use winit::event_loop::ActiveEventLoop;
use winit::window::Window;

/// A window's surface with its device.
pub struct Surface {
    /// The device, for pictures too.
    pub gpu: Arc<Gpu>,
    /// egui's painter.
    pub painter: Painter,
    /// Paints frames, once one was asked for.
    pub lit: Option<Lit>,
    surface: wgpu::Surface<'static>,
    config: wgpu::SurfaceConfiguration,
}

/// What came of a paint.
#[derive(Clone, Debug, PartialEq, Eq)]
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
        let [width, height] = held_by(&gpu, [size.width.max(1), size.height.max(1)]);
        let refused = || GpuError::Refused("it cannot draw to this window".into());
        let config = surface.get_default_config(&adapter, width, height);
        let mut config = config.ok_or_else(refused)?;
        // egui blends in sRGB bytes.
        config.format = config.format.remove_srgb_suffix();
        config.present_mode = wgpu::PresentMode::AutoVsync;
        config.desired_maximum_frame_latency = 1;
        surface.configure(&gpu.device, &config);
        let painter = Painter::new(&gpu, config.format);
        gpu.check()?;
        Ok(Surface {
            gpu,
            painter,
            lit: None,
            surface,
            config,
        })
    }

    /// Paints one frame of the interface.
    pub fn paint(
        &mut self,
        size: [u32; 2],
        pixels_per_point: f32,
        textures: TexturesDelta,
        shapes: Vec<ClippedPrimitive>,
        touched: &[TextureId],
    ) -> Taken {
        let size = held_by(&self.gpu, size);
        let painted =
            (self.painter).paint(&self.gpu, size, pixels_per_point, textures, shapes, touched);
        match painted {
            Ok(()) => self.present(size),
            Err(error) => Taken::Lost(error),
        }
    }

    /// The page as it was, and nothing else of it: the window may have one surface only.
    pub fn into_painter(self) -> Painter {
        self.painter
    }

    /// Goes on with the page of a surface that is gone.
    pub fn take_over(&mut self, page: Painter) {
        self.painter = page.moved_to(&self.gpu, self.config.format);
    }

    /// Puts the page on the screen.
    fn present(&mut self, size: [u32; 2]) -> Taken {
        let Gpu { device, queue, .. } = &*self.gpu;
        if [self.config.width, self.config.height] != size {
            [self.config.width, self.config.height] = size;
            self.surface.configure(device, &self.config);
        }
        let frame = match self.surface.get_current_texture() {
            Current::Success(frame) | Current::Suboptimal(frame) => frame,
            none => {
                if matches!(none, Current::Outdated) {
                    self.surface.configure(device, &self.config);
                }
                return without_frame(&none);
            }
        };
        let mut encoder = device.create_command_encoder(&Default::default());
        let view = frame.texture.create_view(&Default::default());
        self.painter.show_on(&mut encoder, &view);
        queue.submit([encoder.finish()]);
        queue.present(frame);
        match self.gpu.check() {
            Err(error) if error.is_final() => Taken::Lost(error),
            _ => Taken::Painted,
        }
    }
}

/// Never more than the device's largest texture: of a larger window the rest stays empty.
fn held_by(gpu: &Gpu, size: [u32; 2]) -> [u32; 2] {
    let most = gpu.device.limits().max_texture_dimension_2d;
    size.map(|pixels| pixels.min(most))
}

/// What follows when the screen hands out no frame.
fn without_frame(answer: &Current) -> Taken {
    match answer {
        Current::Occluded => Taken::Never,
        Current::Lost => Taken::Lost(GpuError::Lost("the window's surface is gone".into())),
        // Slow, resized meanwhile, or refused once: the next frame may come.
        _ => Taken::Later,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_screen_without_a_frame_is_asked_again_left_alone_or_opened_anew() {
        // What each answer asks for is as wgpu documents it beside `CurrentSurfaceTexture`.
        for later in [Current::Timeout, Current::Outdated, Current::Validation] {
            assert_eq!(without_frame(&later), Taken::Later);
        }
        assert_eq!(without_frame(&Current::Occluded), Taken::Never);
        let Taken::Lost(error) = without_frame(&Current::Lost) else {
            panic!("a lost surface is opened anew");
        };
        assert!(error.is_final());
    }
}
