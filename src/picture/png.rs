//! Pictures and their PNG bytes, with colour space, title and instant. May not enter: how they were made.

/// A picture of eight bits a channel, sRGB-encoded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Rows of pixels, top row first.
    pub pixels_srgb: Vec<[u8; 3]>,
}

/// A picture as PNG bytes: sRGB with perceptual intent, and text chunks Title, Creation Time, Software.
pub fn encode(picture: &Picture, title: &str, instant: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    let (width, height) = (picture.width as u32, picture.height as u32);
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
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
        .write_image_data(picture.pixels_srgb.as_flattened())
        .expect("the picture fills its own size");
    writer.finish().expect("memory can be written");
    bytes
}
