//! What pictures are developed onto, whole, and left on the device. May not enter: how they are drawn.

use super::pipeline::{DEPTH_FORMAT, FILM_FORMAT};
use super::readback::read;
use crate::gpu::device::{Gpu, GpuError};
use crate::picture::png::Picture;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};
use wgpu::TextureUsages;

/// What pictures are developed onto, whole.
pub struct Canvas {
    texture: wgpu::Texture,
    pub(super) view: wgpu::TextureView,
    /// Pixels across and down.
    pub size: [u32; 2],
    generation: u64,
    /// For what is drawn onto it at once.
    depths: OnceLock<wgpu::TextureView>,
}

/// A developed picture that lies on the device: `Rgba8Unorm` texels that hold bytes encoded as sRGB, to be shown as
/// they are.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'a> {
    /// The whole picture, to be bound as a texture.
    pub view: &'a wgpu::TextureView,
    /// Pixels across and down.
    pub size: [u32; 2],
    /// Another number says that the texture is another one; under the same one only its content changes.
    pub generation: u64,
}

impl Canvas {
    /// An empty one.
    pub fn new(gpu: &Gpu, size: [u32; 2]) -> Canvas {
        static MADE: AtomicU64 = AtomicU64::new(1);
        let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
            label: Some("canvas"),
            size: wgpu::Extent3d {
                width: size[0],
                height: size[1],
                depth_or_array_layers: 1,
            },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: FILM_FORMAT,
            usage: TextureUsages::RENDER_ATTACHMENT
                | TextureUsages::TEXTURE_BINDING
                | TextureUsages::COPY_SRC,
            view_formats: &[],
        });
        Canvas {
            view: texture.create_view(&Default::default()),
            texture,
            size,
            generation: MADE.fetch_add(1, Ordering::Relaxed),
            depths: OnceLock::new(),
        }
    }

    /// Depths of its size.
    pub fn depth(&self, gpu: &Gpu) -> &wgpu::TextureView {
        self.depths.get_or_init(|| depths(gpu, self.size))
    }

    /// What others may know of it.
    pub fn shown(&self) -> Shown<'_> {
        Shown {
            view: &self.view,
            size: self.size,
            generation: self.generation,
        }
    }

    /// The developed picture.
    pub fn picture(&self, gpu: &Gpu) -> Result<Picture, GpuError> {
        let bytes = self.bytes(gpu)?;
        let pixels = bytes.chunks_exact(4).map(|p| [p[0], p[1], p[2]]);
        Ok(Picture {
            width: self.size[0] as usize,
            height: self.size[1] as usize,
            pixels_srgb: pixels.collect(),
        })
    }

    /// The developed bytes, red, green, blue and a fourth one, row by row.
    pub fn bytes(&self, gpu: &Gpu) -> Result<Vec<u8>, GpuError> {
        read(gpu, &self.texture, 4)
    }
}

/// Depths for a picture of some size.
fn depths(gpu: &Gpu, [width, height]: [u32; 2]) -> wgpu::TextureView {
    let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
        label: Some("depth"),
        size: wgpu::Extent3d {
            width,
            height,
            depth_or_array_layers: 1,
        },
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format: DEPTH_FORMAT,
        usage: wgpu::TextureUsages::RENDER_ATTACHMENT,
        view_formats: &[],
    });
    texture.create_view(&Default::default())
}
