//! A photograph as it was read from its file, in the sizes that a page shows it in. May not enter: pages.

use super::watch::Stamp;
use crate::judge::photo::Photo;
use image::RgbImage;
use image::imageops::thumbnail;
use std::path::Path;
use std::sync::Arc;

/// Widest picture of a page, pixels, and the narrowest that is halved.
const WIDEST_PX: u32 = 4096;
const LEAST_PX: u32 = 800;

/// What was read.
pub(super) struct Opened {
    pub photo: Arc<Photo>,
    pub levels: Arc<Vec<RgbImage>>,
    /// Of the file it was read from.
    pub stamp: Stamp,
}

impl Opened {
    /// Reads a photograph; says in words why it cannot be read.
    pub(super) fn read(path: &Path) -> Result<Opened, String> {
        // Before the pixels: what is written meanwhile is noticed.
        let stamp = Stamp::of(path);
        let photo = Photo::open(path)?;
        Ok(Opened {
            levels: Arc::new(halved(&photo.pixels)),
            photo: Arc::new(photo),
            stamp,
        })
    }
}

/// The picture no wider or higher than a page holds, and halves of it.
fn halved(picture: &RgbImage) -> Vec<RgbImage> {
    let most = picture.width().max(picture.height());
    let smaller = |picture: &RgbImage, by: f64| {
        let size = |pixels: u32| (f64::from(pixels) * by).round().max(1.0) as u32;
        thumbnail(picture, size(picture.width()), size(picture.height()))
    };
    let mut all = vec![match most > WIDEST_PX {
        true => smaller(picture, f64::from(WIDEST_PX) / f64::from(most)),
        false => picture.clone(),
    }];
    while let Some(last) = all.last().filter(|last| last.width() > LEAST_PX) {
        all.push(smaller(last, 0.5));
    }
    all
}
