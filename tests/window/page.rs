//! The page painted by the window's own painter, without a screen, and read back. May not enter: windows, what is on the
//! page.

use egui::epaint::ClippedPrimitive;
use egui::{Context, FullOutput, TextureId, TexturesDelta};
use egui_kittest::TestRenderer;
use image::RgbaImage;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use sunside::gpu::device::Gpu;
use sunside::picture::lit::Lit;
use sunside::window::painter::Painter;

/// Of the page, and of the screen that it is put on.
const FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rgba8Unorm;

/// What a page is painted with.
pub struct Page {
    pub gpu: Arc<Gpu>,
    pub painter: Painter,
    pub lit: Option<Lit>,
    /// Textures whose pixels have changed since the last picture.
    pub touched: Vec<TextureId>,
    /// What egui has handed over since then.
    pending: TexturesDelta,
}

impl Page {
    pub fn new(gpu: Arc<Gpu>, lit: Option<Lit>) -> Page {
        Page {
            painter: Painter::new(&gpu, FORMAT),
            gpu,
            lit,
            touched: vec![],
            pending: TexturesDelta::default(),
        }
    }

    /// Goes on with another device, as the shell does.
    pub fn move_to(&mut self, gpu: Arc<Gpu>) {
        let empty = Painter::new(&gpu, FORMAT);
        let before = std::mem::replace(&mut self.painter, empty);
        self.painter = before.moved_to(&gpu, FORMAT);
        self.lit = None;
        self.gpu = gpu;
    }

    fn paint(
        &mut self,
        size: [u32; 2],
        pixels: f32,
        shapes: Vec<ClippedPrimitive>,
    ) -> Result<RgbaImage, String> {
        let pending = std::mem::take(&mut self.pending);
        let touched = std::mem::take(&mut self.touched);
        (self.painter)
            .paint(&self.gpu, size, pixels, pending, shapes, &touched)
            .map_err(|error| error.to_string())?;
        self.read(size).map_err(|error| error.to_string())
    }

    /// The page as it is put on a screen.
    fn read(&self, [width, height]: [u32; 2]) -> Result<RgbaImage, Box<dyn std::error::Error>> {
        let device = &self.gpu.device;
        let size = wgpu::Extent3d {
            width,
            height,
            depth_or_array_layers: 1,
        };
        let screen = device.create_texture(&wgpu::TextureDescriptor {
            label: Some("screen"),
            size,
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: FORMAT,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::COPY_SRC,
            view_formats: &[],
        });
        let row = (4 * width).next_multiple_of(wgpu::COPY_BYTES_PER_ROW_ALIGNMENT);
        let buffer = device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("screen"),
            size: u64::from(row) * u64::from(height),
            usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
            mapped_at_creation: false,
        });
        let mut encoder = device.create_command_encoder(&Default::default());
        let view = screen.create_view(&Default::default());
        self.painter.show_on(&mut encoder, &view);
        let layout = wgpu::TexelCopyBufferLayout {
            offset: 0,
            bytes_per_row: Some(row),
            rows_per_image: None,
        };
        let target = wgpu::TexelCopyBufferInfo {
            buffer: &buffer,
            layout,
        };
        encoder.copy_texture_to_buffer(screen.as_image_copy(), target, size);
        self.gpu.queue.submit([encoder.finish()]);
        buffer.map_async(wgpu::MapMode::Read, .., |_| {});
        self.gpu.wait()?;
        let bytes = buffer.get_mapped_range(..)?;
        let rows = bytes.chunks(row as usize);
        let pixels = rows.flat_map(|row| row[..4 * width as usize].iter().copied());
        let image = RgbaImage::from_raw(width, height, pixels.collect());
        Ok(image.ok_or("too few pixels")?)
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        self.pending.clear(); // nobody looks any more
    }
}

/// A page that harness and window share.
#[derive(Clone)]
pub struct Shared(Arc<Mutex<Page>>);

impl Shared {
    pub fn new(page: Page) -> Shared {
        Shared(Arc::new(Mutex::new(page)))
    }

    pub fn lock(&self) -> MutexGuard<'_, Page> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl TestRenderer for Shared {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        self.lock().pending.append(std::mem::take(delta));
    }

    fn render(&mut self, ctx: &Context, output: &FullOutput) -> Result<RgbaImage, String> {
        let pixels = output.pixels_per_point;
        let size = ctx.content_rect().size() * pixels;
        let shapes = ctx.tessellate(output.shapes.clone(), pixels);
        let size = [size.x, size.y].map(|side| side.round() as u32);
        self.lock().paint(size, pixels, shapes)
    }
}
