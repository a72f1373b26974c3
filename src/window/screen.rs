//! What pictures are put on the window with: the device and egui's painter on it. May not enter: what is drawn.

use crate::gpu::device::Gpu;
use crate::picture::lit::Lit;
use egui::TextureId;
use egui_wgpu::Renderer;
use std::sync::Arc;

/// A device and the painter that shows its textures.
pub struct Screen<'a> {
    /// The device.
    pub gpu: &'a Arc<Gpu>,
    /// egui's painter.
    pub renderer: &'a mut Renderer,
    /// Paints frames on it, once one was asked for: its passes take a second to build, and serve every scene.
    pub lit: &'a mut Option<Lit>,
    /// Textures whose pixels have changed since the last redraw.
    pub touched: &'a mut Vec<TextureId>,
}

/// A texture shown by egui, registered once and told anew when it is another one.
#[derive(Default)]
pub struct Slot {
    id: Option<TextureId>,
    generation: u64,
}

impl Slot {
    /// Its id for egui.
    pub fn id(&self) -> Option<TextureId> {
        self.id
    }

    /// Shows a view; `generation` tells one texture from another.
    pub fn show(&mut self, screen: &mut Screen, view: &wgpu::TextureView, generation: u64) {
        let filter = wgpu::FilterMode::Linear;
        let device = &screen.gpu.device;
        match self.id {
            Some(_) if self.generation == generation => {}
            Some(id) => screen
                .renderer
                .update_egui_texture_from_wgpu_texture(device, view, filter, id),
            None => {
                let id = screen
                    .renderer
                    .register_native_texture(device, view, filter);
                self.id = Some(id);
            }
        }
        self.generation = generation;
        screen.touched.extend(self.id);
    }
}
