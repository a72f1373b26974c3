//! What views are drawn into: layers of an array of ids and one of depths. May not enter: what is drawn.

use super::device::Gpu;
use super::passes::{DEPTH, IDS};
use crate::sighting::view::View;
use std::sync::{Arc, Mutex};

/// Rows of a copy start at multiples of so many pixels of four bytes.
const ROW_STEP: u32 = wgpu::COPY_BYTES_PER_ROW_ALIGNMENT / 4;

/// A size that serves many views.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extent {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// One view each.
    pub layers: u32,
}

impl Extent {
    /// Room for each of the views in a layer, a little rounded up, so that the next batch may fit as well.
    pub fn of(views: &[View]) -> Extent {
        let most = |side: fn(&View) -> usize| views.iter().map(side).max().unwrap_or(1) as u32;
        Extent {
            width: most(|view| view.width).next_multiple_of(ROW_STEP),
            height: most(|view| view.height).next_multiple_of(ROW_STEP),
            layers: views.len() as u32,
        }
    }

    /// Bytes of one layer of ids, or of depths.
    pub fn layer_bytes(&self) -> u64 {
        4 * u64::from(self.width) * u64::from(self.height)
    }
}

/// Ids and depths, layer by layer.
#[derive(Debug)]
pub struct Targets {
    /// Their size.
    pub extent: Extent,
    /// All ids.
    pub ids: wgpu::Texture,
    /// All depths.
    pub depths: wgpu::Texture,
    /// Each layer's ids and depths.
    pub layers: Vec<(wgpu::TextureView, wgpu::TextureView)>,
    /// All layers of ids, to be counted.
    pub all_ids: wgpu::TextureView,
}

impl Targets {
    fn new(gpu: &Gpu, extent: Extent) -> Targets {
        let texture = |format, usage| {
            gpu.device.create_texture(&wgpu::TextureDescriptor {
                label: Some("sighting"),
                size: wgpu::Extent3d {
                    width: extent.width,
                    height: extent.height,
                    depth_or_array_layers: extent.layers,
                },
                mip_level_count: 1,
                sample_count: 1,
                dimension: wgpu::TextureDimension::D2,
                format,
                usage: usage
                    | wgpu::TextureUsages::RENDER_ATTACHMENT
                    | wgpu::TextureUsages::COPY_SRC,
                view_formats: &[],
            })
        };
        let ids = texture(IDS, wgpu::TextureUsages::TEXTURE_BINDING);
        let depths = texture(DEPTH, wgpu::TextureUsages::empty());
        let layer = |texture: &wgpu::Texture, layer| {
            texture.create_view(&wgpu::TextureViewDescriptor {
                dimension: Some(wgpu::TextureViewDimension::D2),
                base_array_layer: layer,
                array_layer_count: Some(1),
                ..Default::default()
            })
        };
        let all_ids = ids.create_view(&wgpu::TextureViewDescriptor {
            dimension: Some(wgpu::TextureViewDimension::D2Array),
            ..Default::default()
        });
        Targets {
            extent,
            layers: (0..extent.layers)
                .map(|i| (layer(&ids, i), layer(&depths, i)))
                .collect(),
            ids,
            depths,
            all_ids,
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
            (has.width, has.height) == (extent.width, extent.height) && has.layers >= extent.layers
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
