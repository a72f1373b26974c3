//! A sheet of pixels to put pictures, rules and words on. May not enter: what they say.
//!
//! The letters are those of the free fonts that come with the crate `epaint_default_fonts` (NOTICE names their
//! licences), drawn on the processor, so that a picture reads the same on every machine.

use super::png::Picture;
use ab_glyph::{Font, FontRef, Glyph, GlyphId, PxScale, ScaleFont, point};

/// Colours, sRGB-encoded: the inks of a grade's forms, and the grey round a frame, which has no tint.
pub type Ink = [u8; 3];
/// For words.
pub const INK: Ink = [0x22, 0x30, 0x3a];
/// For what matters less.
pub const SLATE: Ink = [0x4e, 0x67, 0x78];
/// For what is marked.
pub const OCHRE: Ink = [0xb0, 0x7a, 0x1e];
/// For what is ruinous.
pub const OXIDE: Ink = [0x8e, 0x3b, 0x2e];
/// A mount.
pub const WHITE: Ink = [0xff, 0xff, 0xff];
/// A page.
pub const PAPER: Ink = [0xf3, 0xef, 0xe4];
/// Round a frame: middle grey, 18 % of white.
pub const SURROUND: Ink = [0x77, 0x77, 0x77];

/// Pixels to draw on.
pub struct Canvas {
    picture: Picture,
    /// What the first one lacks is taken from the second.
    fonts: [FontRef<'static>; 2],
}

/// A piece of text: its size in pixels, its colour, and whether it is set heavier.
#[derive(Clone, Copy, Debug)]
pub struct Hand {
    /// Height of the font, pixels.
    pub px: f32,
    /// Colour.
    pub ink: Ink,
    /// Heavier strokes.
    pub heavy: bool,
}

impl Canvas {
    /// A sheet of one colour.
    pub fn new(width: usize, height: usize, ground: Ink) -> Canvas {
        let font = |bytes: &'static [u8]| {
            FontRef::try_from_slice(bytes).expect("a font that is built in is sound")
        };
        Canvas {
            picture: Picture {
                width,
                height,
                pixels_srgb: vec![ground; width * height],
            },
            fonts: [
                font(epaint_default_fonts::UBUNTU_LIGHT),
                font(epaint_default_fonts::HACK_REGULAR),
            ],
        }
    }

    /// The finished sheet.
    pub fn finished(self) -> Picture {
        self.picture
    }

    /// Lays ink of a strength (0–1) on a pixel; beyond the edges nothing happens.
    fn touch(&mut self, x: i64, y: i64, ink: Ink, strength: f32) {
        let (width, height) = (self.picture.width as i64, self.picture.height as i64);
        if !(0..width).contains(&x) || !(0..height).contains(&y) {
            return;
        }
        let pixel = &mut self.picture.pixels_srgb[(y * width + x) as usize];
        for (channel, ink) in pixel.iter_mut().zip(ink) {
            let mixed = f32::from(*channel) + (f32::from(ink) - f32::from(*channel)) * strength;
            *channel = mixed.round() as u8;
        }
    }

    /// A filled rectangle.
    pub fn fill(&mut self, x: usize, y: usize, width: usize, height: usize, ink: Ink) {
        for row in y..y + height {
            for column in x..x + width {
                self.touch(column as i64, row as i64, ink, 1.0);
            }
        }
    }

    /// A rectangle filled with what each of its pixels, by its middle, is to be.
    pub fn fill_with(
        &mut self,
        x: usize,
        y: usize,
        width: usize,
        height: usize,
        ink_at: &dyn Fn(f32, f32) -> Ink,
    ) {
        for row in y..y + height {
            for column in x..x + width {
                let ink = ink_at(column as f32 + 0.5, row as f32 + 0.5);
                self.touch(column as i64, row as i64, ink, 1.0);
            }
        }
    }

    /// A rectangle's outline, one pixel wide, its outer edge at the rectangle's.
    pub fn outline(&mut self, x: usize, y: usize, width: usize, height: usize, ink: Ink) {
        self.fill(x, y, width, 1, ink);
        self.fill(x, y + height - 1, width, 1, ink);
        self.fill(x, y, 1, height, ink);
        self.fill(x + width - 1, y, 1, height, ink);
    }

    /// A picture, its upper left corner here.
    pub fn picture(&mut self, x: usize, y: usize, picture: &Picture) {
        for (i, pixel) in picture.pixels_srgb.iter().enumerate() {
            let (column, row) = (x + i % picture.width, y + i / picture.width);
            self.touch(column as i64, row as i64, *pixel, 1.0);
        }
    }

    /// A straight stroke between two points, with round ends.
    pub fn stroke(&mut self, a: [f32; 2], b: [f32; 2], thick: f32, ink: Ink) {
        let low = [0, 1].map(|k| (a[k].min(b[k]) - thick - 1.0).floor() as i64);
        let high = [0, 1].map(|k| (a[k].max(b[k]) + thick + 1.0).ceil() as i64);
        let span = [b[0] - a[0], b[1] - a[1]];
        let length_squared = (span[0] * span[0] + span[1] * span[1]).max(1e-9);
        for y in low[1]..=high[1] {
            for x in low[0]..=high[0] {
                let off = [x as f32 + 0.5 - a[0], y as f32 + 0.5 - a[1]];
                let along =
                    ((off[0] * span[0] + off[1] * span[1]) / length_squared).clamp(0.0, 1.0);
                let away = (off[0] - span[0] * along).hypot(off[1] - span[1] * along);
                self.touch(x, y, ink, (thick / 2.0 + 0.5 - away).clamp(0.0, 1.0));
            }
        }
    }

    /// Width of a text in pixels.
    pub fn width_of(&self, words: &str, hand: &Hand) -> f32 {
        self.glyphs(words, hand, 0.0, 0.0).1
    }

    /// Writes a line of text from its left end on a base line; returns where it ends.
    pub fn write(&mut self, x: f32, base: f32, words: &str, hand: &Hand) -> f32 {
        let (glyphs, end) = self.glyphs(words, hand, x, base);
        for (font, glyph) in glyphs {
            let Some(outlined) = self.fonts[font].outline_glyph(glyph) else {
                continue;
            };
            let bounds = outlined.px_bounds();
            let (left, top) = (bounds.min.x as i64, bounds.min.y as i64);
            let (wide, tall) = (bounds.width() as usize + 2, bounds.height() as usize + 1);
            let mut strength = vec![0.0_f32; wide * tall];
            outlined.draw(|dx, dy, cover| {
                let at = dy as usize * wide + dx as usize;
                strength[at] = (strength[at] + cover).min(1.0);
                // A heavier letter is the same one drawn again a little to its right.
                if hand.heavy {
                    strength[at + 1] = (strength[at + 1] + 0.55 * cover).min(1.0);
                }
            });
            for (at, strength) in strength.into_iter().enumerate() {
                let (dx, dy) = ((at % wide) as i64, (at / wide) as i64);
                self.touch(left + dx, top + dy, hand.ink, strength);
            }
        }
        end
    }

    /// The same, from its right end.
    pub fn write_to(&mut self, right: f32, base: f32, words: &str, hand: &Hand) {
        self.write(right - self.width_of(words, hand), base, words, hand);
    }

    /// As much of a text as fits a width, an ellipsis in place of the rest.
    pub fn fitted(&self, words: &str, hand: &Hand, width: f32) -> String {
        if self.width_of(words, hand) <= width {
            return words.to_string();
        }
        let letters: Vec<char> = words.chars().collect();
        let cut = |n: usize| {
            letters[..n]
                .iter()
                .collect::<String>()
                .trim_end()
                .to_string()
                + "…"
        };
        let fits = |n: &usize| self.width_of(&cut(*n), hand) <= width;
        (0..letters.len())
            .rev()
            .find(fits)
            .map_or(String::new(), cut)
    }

    /// Letters of a line, each with its font's place in the list, and where the line ends.
    fn glyphs(&self, words: &str, hand: &Hand, x: f32, base: f32) -> (Vec<(usize, Glyph)>, f32) {
        let scale = PxScale::from(hand.px);
        let (mut at, mut last) = (x, None);
        let place = |letter: char| {
            let (font, id) = self.find(letter);
            let scaled = self.fonts[font].as_scaled(scale);
            at += match last {
                Some((other, last)) if other == font => scaled.kern(last, id),
                _ => 0.0,
            };
            let glyph = id.with_scale_and_position(scale, point(at, base));
            at += scaled.h_advance(id);
            last = Some((font, id));
            (font, glyph)
        };
        let glyphs = words.chars().map(place).collect();
        (glyphs, at)
    }

    /// A letter in the first font that has it; the first one's empty box where none has.
    fn find(&self, letter: char) -> (usize, GlyphId) {
        let ids = self
            .fonts
            .iter()
            .map(|font| font.glyph_id(letter))
            .enumerate();
        let mut found = ids.filter(|(_, id)| id.0 != 0);
        found.next().unwrap_or((0, GlyphId(0)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HAND: Hand = Hand {
        px: 18.0,
        ink: [0; 3],
        heavy: false,
    };

    #[test]
    fn the_fonts_have_every_sign_that_pages_use() {
        let canvas = Canvas::new(1, 1, WHITE);
        for letter in "AZaz09 ·°−–×′″éüñß…:%()/,.".chars() {
            assert_ne!(canvas.find(letter).1.0, 0, "{letter}");
        }
    }

    #[test]
    fn words_leave_ink_between_their_ends_and_nowhere_else() {
        let mut canvas = Canvas::new(200, 40, WHITE);
        let end = canvas.write(20.0, 25.0, "Hood", &HAND);
        assert!((end - 20.0 - canvas.width_of("Hood", &HAND)).abs() < 1e-3);
        let picture = canvas.finished();
        let inked = |x: usize| (0..40).any(|y| picture.pixels_srgb[y * 200 + x] != WHITE);
        let columns: Vec<usize> = (0..200).filter(|x| inked(*x)).collect();
        assert!(columns[0] >= 20 && *columns.last().unwrap() <= end.ceil() as usize);
        assert!(columns.len() > 20);
    }

    #[test]
    fn a_long_text_is_cut_to_its_width_and_a_short_one_is_not() {
        let canvas = Canvas::new(1, 1, WHITE);
        let words = "outside the ground on which one may stand";
        assert_eq!(canvas.fitted(words, &HAND, 1000.0), words);
        let cut = canvas.fitted(words, &HAND, 120.0);
        assert!(cut.ends_with('…') && words.starts_with(cut.trim_end_matches('…')));
        assert!(canvas.width_of(&cut, &HAND) <= 120.0);
        assert_eq!(canvas.fitted(words, &HAND, 1.0), "");
    }

    #[test]
    fn nothing_happens_beyond_the_edges() {
        let mut canvas = Canvas::new(10, 10, WHITE);
        canvas.fill(8, 8, 20, 20, INK);
        canvas.stroke([-50.0, -50.0], [-20.0, 90.0], 3.0, INK);
        canvas.write(-30.0, 5.0, "far away", &HAND);
        let picture = canvas.finished();
        assert_eq!(picture.pixels_srgb.iter().filter(|p| **p == INK).count(), 4);
    }
}
