//! What views are drawn into: layers of an array of ids and one of depths. May not enter: what is drawn.

use super::device::Gpu;
use super::passes::{DEPTH, IDS};
use crate::sighting::view::View;
use std::sync::{Arc, Mutex};

/// Views up to this width are drawn with two texels to a pixel, across and down.
const WIDEST_DOUBLED: usize = 640;

/// A size that serves many views.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extent {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Texels to a pixel, across and down.
    pub scale: u32,
    /// One view each.
    pub layers: u32,
}

impl Extent {
    /// Room for each of the views in a layer, a little rounded up, so that the next batch may fit as well.
    ///
    /// Adapters place corners on a grid of 1/256 texel, and in small views, whose patches are few pixels wide, so
    /// many edges pass that near a pixel's centre that a tenth of a percent of all pixels shows a neighbour. Two
    /// texels to a pixel halve that.
    pub fn of(views: &[View]) -> Extent {
        let most = |side: fn(&View) -> usize| views.iter().map(side).max().unwrap_or(1);
        let width = most(|view| view.width);
        Extent {
            width: (width as u32).next_multiple_of(16),
            height: (most(|view| view.height) as u32).next_multiple_of(64),
            scale: if width <= WIDEST_DOUBLED { 2 } else { 1 },
            layers: views.len() as u32,
        }
    }

    /// Texels across and down.
    pub fn texels(&self) -> [u32; 2] {
        [self.width * self.scale, self.height * self.scale]
    }

    /// Bytes of all layers' pixels once packed: id and depth each.
    pub fn packed_bytes(&self) -> u64 {
        8 * u64::from(self.width) * u64::from(self.height) * u64::from(self.layers)
    }
}

/// Ids and depths, layer by layer.
#[derive(Debug)]
pub struct Targets {
    /// Their size.
    pub extent: Extent,
    /// Each layer's ids and depths.
    pub layers: Vec<(wgpu::TextureView, wgpu::TextureView)>,
    /// All layers of ids and depths, to be packed or counted.
    pub all: (wgpu::TextureView, wgpu::TextureView),
    /// What they are packed into.
    pub packed: wgpu::Buffer,
}

impl Targets {
    fn new(gpu: &Gpu, extent: Extent) -> Targets {
        let [width, height] = extent.texels();
        let texture = |format| {
            gpu.device.create_texture(&wgpu::TextureDescriptor {
                label: Some("sighting"),
                size: wgpu::Extent3d {
                    width,
                    height,
                    depth_or_array_layers: extent.layers,
                },
                mip_level_count: 1,
                sample_count: 1,
                dimension: wgpu::TextureDimension::D2,
                format,
                usage: wgpu::TextureUsages::RENDER_ATTACHMENT
                    | wgpu::TextureUsages::TEXTURE_BINDING,
                view_formats: &[],
            })
        };
        let (ids, depths) = (texture(IDS), texture(DEPTH));
        let layer = |texture: &wgpu::Texture, layer| {
            texture.create_view(&wgpu::TextureViewDescriptor {
                dimension: Some(wgpu::TextureViewDimension::D2),
                base_array_layer: layer,
                array_layer_count: Some(1),
                ..Default::default()
            })
        };
        let all = |texture: &wgpu::Texture| {
            texture.create_view(&wgpu::TextureViewDescriptor {
                dimension: Some(wgpu::TextureViewDimension::D2Array),
                ..Default::default()
            })
        };
        Targets {
            extent,
            layers: (0..extent.layers)
                .map(|i| (layer(&ids, i), layer(&depths, i)))
                .collect(),
            all: (all(&ids), all(&depths)),
            packed: gpu.device.create_buffer(&wgpu::BufferDescriptor {
                label: Some("packed"),
                size: extent.packed_bytes(),
                usage: wgpu::BufferUsages::STORAGE | wgpu::BufferUsages::COPY_SRC,
                mapped_at_creation: false,
            }),
        }
    }
}

/// The targets that were used last. They may still be drawn into when they are handed out again: what is
/// submitted later is drawn later.
#[derive(Debug, Default)]
pub struct Easel {
    last: Mutex<Vec<Arc<Targets>>>,
}

/// How many sizes stay: the camera's and the sun's, of a few heights.
const MOST_KEPT: usize = 4;

impl Easel {
    /// Targets with that size and at least so many layers.
    pub fn targets(&self, gpu: &Gpu, extent: Extent) -> Arc<Targets> {
        let mut last = self.last.lock().unwrap_or_else(|held| held.into_inner());
        let serves = |one: &Arc<Targets>| {
            let has = one.extent;
            has.layers >= extent.layers
                && (Extent {
                    layers: extent.layers,
                    ..has
                }) == extent
        };
        let found = match last.iter().position(serves) {
            Some(place) => last.remove(place),
            None => Arc::new(Targets::new(gpu, extent)),
        };
        last.insert(0, found.clone());
        last.truncate(MOST_KEPT);
        found
    }
}
