//! A copy of every picture that egui has handed over: letters, hatchings, slides. egui hands each over once; when a device
//! is lost, the next one gets them from here. May not enter: what is on them.

use crate::gpu::device::Gpu;
use egui::epaint::{ImageData, ImageDelta};
use egui::{ColorImage, TextureId, TexturesDelta};
use egui_wgpu::Renderer;
use std::collections::HashMap;
use std::sync::Arc;

/// The copies.
#[derive(Default)]
pub struct Textures {
    whole: HashMap<TextureId, ImageDelta>,
}

impl Textures {
    /// Takes down what is new, changed or gone.
    pub fn note(&mut self, changes: &TexturesDelta) {
        for (id, deltas) in &changes.set {
            for delta in deltas {
                match (delta.pos, self.whole.get_mut(id)) {
                    (None, _) => {
                        self.whole.insert(*id, delta.clone());
                    }
                    (Some(corner), Some(whole)) => put(whole, corner, delta),
                    (Some(_), None) => {} // a part of nothing
                }
            }
        }
        for id in &changes.free {
            self.whole.remove(id);
        }
    }

    /// Brings all of them to a painter that has none.
    pub fn bring(&self, gpu: &Gpu, renderer: &mut Renderer) {
        for (id, whole) in &self.whole {
            renderer.update_texture(&gpu.device, &gpu.queue, *id, whole);
        }
    }
}

/// Puts a part into its whole, its first pixel at `corner`.
fn put(whole: &mut ImageDelta, corner: [usize; 2], part: &ImageDelta) {
    let (ImageData::Color(image), ImageData::Color(new)) = (&mut whole.image, &part.image);
    let image: &mut ColorImage = Arc::make_mut(image);
    let [width, height] = new.size;
    if corner[0] + width > image.size[0] || corner[1] + height > image.size[1] {
        return; // egui never asks for it
    }
    for row in 0..height {
        let start = (corner[1] + row) * image.size[0] + corner[0];
        let from = &new.pixels[row * width..(row + 1) * width];
        image.pixels[start..start + width].copy_from_slice(from);
    }
    whole.options = part.options;
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Color32, TextureOptions};

    fn gray(size: [usize; 2], value: u8) -> ColorImage {
        ColorImage::filled(size, Color32::from_gray(value))
    }

    #[test]
    fn parts_are_put_where_they_belong_and_what_is_freed_is_gone() {
        let id = TextureId::Managed(7);
        let mut textures = Textures::default();
        let mut changes = TexturesDelta::default();
        changes.push(
            id,
            ImageDelta::full(gray([4, 3], 10), TextureOptions::LINEAR),
        );
        let part = ImageDelta::partial([1, 1], gray([2, 2], 200), TextureOptions::LINEAR);
        changes.push(id, part);
        textures.note(&changes);
        let ImageData::Color(image) = &textures.whole[&id].image;
        let values: Vec<u8> = image.pixels.iter().map(|pixel| pixel.r()).collect();
        assert_eq!(values, [10, 10, 10, 10, 10, 200, 200, 10, 10, 200, 200, 10]);
        changes.clear();
        changes.free(id);
        textures.note(&changes);
        assert!(textures.whole.is_empty());
        changes.clear();
    }
}
