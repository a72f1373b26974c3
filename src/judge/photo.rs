//! A photograph as it is opened: its pixels turned upright, and what it says of itself. May not enter: writing; a
//! photograph is only ever read.

use super::exif::{Said, read};
use image::metadata::Orientation;
use image::{DynamicImage, ImageFormat, ImageReader, Limits, RgbImage};
use std::io::{Cursor, Read};
use std::path::Path;

/// Larger files are no photographs of ours, bytes.
const LARGEST_FILE: u64 = 400 << 20;

/// The most memory that unpacking may take, bytes, the longest edge and the most pixels: a third more than the
/// largest sensors have. A file of some kilobytes may claim any of these.
const MOST_MEMORY: u64 = 1 << 30;
const LONGEST_PX: u32 = 30_000;
const MOST_PIXELS: u64 = 200_000_000;

/// Pixels that a JPEG codes together at least.
const BLOCK_PX: u32 = 8;

/// An opened photograph.
#[derive(Clone, Debug)]
pub struct Photo {
    /// Its file's name.
    pub name: String,
    /// Its pixels, upright.
    pub pixels: RgbImage,
    /// What it says of itself.
    pub said: Said,
    /// What is wrong with its file, though its picture is whole.
    pub flaw: Option<String>,
}

impl Photo {
    /// Opens a JPEG, PNG or TIFF file; says in words why it cannot be opened.
    pub fn open(path: &Path) -> Result<Photo, String> {
        let name = path.display().to_string();
        let told = |why: String| format!("{name}: {why}");
        // A pipe would be waited for, a folder opens and cannot be read.
        let about = std::fs::metadata(path).map_err(|e| told(format!("cannot read ({e})")))?;
        if !about.is_file() {
            return Err(told("not a file".to_string()));
        }
        let file = std::fs::File::open(path).map_err(|e| told(format!("cannot read ({e})")))?;
        let mut bytes = Vec::new();
        let taken = file.take(LARGEST_FILE + 1).read_to_end(&mut bytes);
        taken.map_err(|e| told(format!("cannot read ({e})")))?;
        if bytes.len() as u64 > LARGEST_FILE {
            return Err(told("larger than 400 MiB".to_string()));
        }
        Photo::read(&name, &bytes).map_err(told)
    }

    /// The same from a file's bytes.
    pub fn read(name: &str, bytes: &[u8]) -> Result<Photo, String> {
        let guessed = || {
            ImageReader::new(Cursor::new(bytes))
                .with_guessed_format()
                .map_err(|e| e.to_string())
        };
        let mut reader = guessed()?;
        let mut limits = Limits::default();
        limits.max_alloc = Some(MOST_MEMORY);
        (limits.max_image_width, limits.max_image_height) = (Some(LONGEST_PX), Some(LONGEST_PX));
        reader.limits(limits);
        let ours = [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::Tiff];
        if !reader.format().is_some_and(|format| ours.contains(&format)) {
            return Err("neither JPEG, PNG nor TIFF".to_string());
        }
        let endless = reader.format() == Some(ImageFormat::Jpeg) && !has_end(bytes);
        let broken = |e| format!("not a whole picture ({e})");
        let (width, height) = guessed()?.into_dimensions().map_err(broken)?;
        if u64::from(width) * u64::from(height) > MOST_PIXELS {
            return Err(format!(
                "{width} x {height} pixels found, 200 million or fewer allowed"
            ));
        }
        let picture = reader.decode().map_err(broken)?;
        // The decoder fills what is missing with grey, which would be judged like a picture.
        if endless && (is_layered(bytes) || ends_grey(&picture)) {
            return Err("not a whole picture (the file ends before its picture does)".to_string());
        }
        let said = read(bytes, Some([picture.width(), picture.height()]));
        let mut picture = DynamicImage::ImageRgb8(picture.into_rgb8());
        if let Some(way) = said.orientation.value.and_then(Orientation::from_exif) {
            picture.apply_orientation(way);
        }
        Ok(Photo {
            name: name.to_string(),
            pixels: picture.into_rgb8(),
            said,
            flaw: endless.then(|| {
                "its file lacks the mark of its end; the picture itself is whole".to_string()
            }),
        })
    }

    /// Pixels across and down, upright.
    pub fn size_px(&self) -> [f64; 2] {
        [self.pixels.width(), self.pixels.height()].map(f64::from)
    }
}

/// Whether a JPEG's markers lead to that of its end (ITU-T T.81, B.1.1.2).
fn has_end(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some(step) = bytes
        .get(at..)
        .and_then(|rest| rest.iter().position(|b| *b == 0xff))
    {
        at += step + 1;
        match bytes.get(at..).unwrap_or_default() {
            [0xd9, ..] => return true,
            // A filling byte before a marker.
            [0xff, ..] => {}
            // Markers that stand alone, and a level of the picture that looks like one.
            [0x00 | 0x01 | 0xd0..=0xd8, ..] => at += 1,
            [_, high, low, ..] => at += 1 + usize::from(u16::from_be_bytes([*high, *low])),
            _ => return false,
        }
    }
    false
}

/// Whether a JPEG is sent in layers over the whole picture (ITU-T T.81, table B.1, SOF2): one that was cut off is whole but
/// coarse.
fn is_layered(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some([0xff, marker, high, low]) = bytes.get(at..at + 4) {
        match marker {
            0xc2 | 0xc6 | 0xca | 0xce => return true,
            0xda => return false,
            _ => at += 2 + usize::from(u16::from_be_bytes([*high, *low])),
        }
    }
    // What cannot be followed is not believed whole.
    true
}

/// Whether the lower right corner is of the one grey that decoders put for what is missing.
fn ends_grey(picture: &DynamicImage) -> bool {
    let (width, height) = (picture.width(), picture.height());
    let (x, y) = (
        width.saturating_sub(BLOCK_PX),
        height.saturating_sub(BLOCK_PX),
    );
    let corner = picture.crop_imm(x, y, BLOCK_PX, BLOCK_PX).into_rgb8();
    corner
        .pixels()
        .all(|pixel| pixel.0.iter().all(|level| level.abs_diff(128) <= 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_end_is_found_behind_segments_that_look_like_it_and_missed_where_it_is_cut() {
        let whole = [
            0xff, 0xd8, 0xff, 0xe1, 0, 4, 0xff, 0xd9, 0xff, 0xda, 0, 2, 7, 0xff, 0, 0xff, 0xd3, 9,
            0xff, 0xff, 0xd9, 1, 2,
        ];
        assert!(has_end(&whole));
        for end in 0..=whole.len() - 3 {
            assert!(!has_end(&whole[..end]), "{end}");
        }
    }
}
