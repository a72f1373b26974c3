//! Pictures saved as PNG: whole or not at all, with colour space, title and instant. May not enter: how they
//! were made.

use crate::document::write_whole;
use image::RgbImage;
use std::io;
use std::path::Path;

/// A picture as PNG bytes: sRGB with perceptual intent, and text chunks Title, Creation Time, Software.
pub fn encode(picture: &RgbImage, title: &str, instant: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, picture.width(), picture.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    let texts = [
        ("Title", title),
        ("Creation Time", instant),
        ("Software", "sunside"),
    ];
    for (key, text) in texts {
        // International text: names need not be Latin.
        encoder
            .add_itxt_chunk(key.into(), text.into())
            .expect("keywords are short and plain");
    }
    let mut writer = encoder.write_header().expect("memory can be written");
    writer
        .write_image_data(picture.as_raw())
        .expect("the picture fills its own size");
    writer.finish().expect("memory can be written");
    bytes
}

/// Writes a picture.
pub fn save(path: &Path, picture: &RgbImage, title: &str, instant: &str) -> io::Result<()> {
    write_whole(path, &encode(picture, title, instant))
}
