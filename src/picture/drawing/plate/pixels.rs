//! A plate's marks as pixels. May not enter: markup.

use super::{Anchor, EDGE, Fill, Mark, Plate, Rect, Stroke, Type};
use crate::picture::canvas::{Canvas, Hand, INK, Ink, WHITE};
use crate::picture::png::Picture;

/// Words in pixels are as high as they are in SVG: a font's height, ascent to descent, over its square (from the fonts'
/// own tables).
const FONT_HEIGHT: f64 = 1.149;
impl Plate {
    /// As pixels, so many to a unit.
    pub fn pixels(&self, scale: f64) -> Picture {
        let size = [self.width, self.height].map(|length| (length.round() * scale).round());
        let mut canvas = Canvas::new(size[0] as usize, size[1] as usize, WHITE);
        for mark in &self.marks {
            match mark {
                Mark::Areas(rects, fill) => {
                    for rect in rects {
                        fill_area(&mut canvas, rect, *fill, scale);
                    }
                }
                Mark::Lines(ends, stroke) => {
                    for ends in ends {
                        draw_line(&mut canvas, *ends, stroke, scale);
                    }
                }
                Mark::Words(x, y, anchor, set, words) => {
                    set_words(
                        &mut canvas,
                        [x * scale, y * scale],
                        *anchor,
                        *set,
                        words,
                        scale,
                    );
                }
            }
        }
        canvas.finished()
    }
}

/// Fills whole pixels, so that neighbours meet without a seam.
fn fill_area(canvas: &mut Canvas, rect: &Rect, fill: Fill, scale: f64) {
    let edge = |length: f64| (length * scale).round().max(0.0) as usize;
    let (x, y) = (edge(rect.x), edge(rect.y));
    let (right, foot) = (edge(rect.right()), edge(rect.foot()));
    let (wide, tall) = (right.saturating_sub(x), foot.saturating_sub(y));
    match fill {
        Fill::Flat(ink) => canvas.fill(x, y, wide, tall, ink),
        Fill::Hatched(density) => canvas.fill_with(x, y, wide, tall, &|x, y| {
            density.at(f64::from(x) / scale, f64::from(y) / scale, scale)
        }),
    }
}

fn draw_line(canvas: &mut Canvas, [x1, y1, x2, y2]: [f64; 4], stroke: &Stroke, scale: f64) {
    let length = (x2 - x1).hypot(y2 - y1);
    let dash = stroke.dash.unwrap_or(f64::INFINITY);
    let mut from = 0.0;
    while from < length {
        let to = (from + dash).min(length);
        let point = |along: f64| {
            let share = along / length;
            [
                ((x1 + (x2 - x1) * share) * scale) as f32,
                ((y1 + (y2 - y1) * share) * scale) as f32,
            ]
        };
        let thick = (stroke.thick * scale) as f32;
        // A stroke's ends are round and reach beyond it: a dash has them within its length.
        let end = stroke
            .dash
            .map_or(0.0, |_| stroke.thick.min(to - from) / 2.0);
        canvas.stroke(point(from + end), point(to - end), thick, stroke.ink);
        from = to + dash;
    }
}

fn set_words(
    canvas: &mut Canvas,
    [x, base]: [f64; 2],
    anchor: Anchor,
    set: Type,
    words: &str,
    scale: f64,
) {
    let hand = |ink: Ink| Hand {
        px: (set.size * FONT_HEIGHT * scale) as f32,
        ink,
        heavy: set.heavy,
    };
    let wide = f64::from(canvas.width_of(words, &hand(INK)));
    let left = match anchor {
        Anchor::Start => x,
        Anchor::Middle => x - wide / 2.0,
        Anchor::End => x - wide,
    };
    for step in 0..8 {
        let (down, right) = (f64::from(step) * std::f64::consts::FRAC_PI_4).sin_cos();
        let off = [right, down].map(|part| part * EDGE * scale);
        canvas.write(
            (left + off[0]) as f32,
            (base + off[1]) as f32,
            words,
            &hand(WHITE),
        );
    }
    canvas.write(left as f32, base as f32, words, &hand(INK));
}

#[cfg(test)]
mod tests {
    use super::super::{PLAIN, inked};
    use super::*;
    use crate::picture::drawing::hatch::Density;

    /// A hatching's share of ink: stroke times √2 over the pattern's size, by plane geometry.
    #[test]
    fn hatchings_cover_in_pixels_what_their_strokes_cover() {
        for density in [
            Density::Sparse,
            Density::Close,
            Density::Dense,
            Density::Full,
        ] {
            let mut plate = Plate::new(100.0, 100.0, "");
            let all = Rect {
                x: 0.0,
                y: 0.0,
                width: 100.0,
                height: 100.0,
            };
            plate.areas(vec![all], Fill::Hatched(density));
            let tile = density.tile();
            let picture = plate.pixels(4.0);
            // By the channel in which ground and stroke differ most.
            let reach = |channel: &usize| tile.ground[*channel].abs_diff(tile.stroke[*channel]);
            let channel = (0..3).max_by_key(reach).unwrap();
            let of = |value: u8| f64::from(value.abs_diff(tile.ground[channel]));
            let sum: f64 = (picture.pixels_srgb.iter())
                .map(|pixel| of(pixel[channel]))
                .sum();
            let share = sum / picture.pixels_srgb.len() as f64 / of(tile.stroke[channel]);
            let expected = tile.thick * std::f64::consts::SQRT_2 / tile.size;
            assert!(
                (share - expected).abs() < 0.03,
                "{density:?}: {share} {expected}"
            );
        }
    }

    #[test]
    fn words_stand_where_they_are_anchored() {
        let ends = [Anchor::Start, Anchor::Middle, Anchor::End].map(|anchor| {
            let mut plate = Plate::new(200.0, 40.0, "");
            plate.words([100.0, 20.0], anchor, PLAIN, "Hood");
            let picture = plate.pixels(1.0);
            let dark = |x: &usize| (0..40).any(|y| picture.pixels_srgb[y * 200 + x][0] < 128);
            let dark: Vec<usize> = (0..200).filter(dark).collect();
            (dark[0], dark[dark.len() - 1])
        });
        assert!(ends[0].0 >= 100 && ends[2].1 <= 100, "{ends:?}");
        assert!(ends[1].0.abs_diff(200 - ends[1].1) <= 3, "{ends:?}");
    }

    #[test]
    fn dashes_leave_half_of_a_line_open() {
        let mut plate = Plate::new(120.0, 10.0, "");
        let dashed = Stroke {
            dash: Some(4.0),
            ..inked(2.0)
        };
        plate.line([0.0, 5.0, 120.0, 5.0], dashed);
        let picture = plate.pixels(1.0);
        let row = &picture.pixels_srgb[5 * 120..6 * 120];
        let dark = row.iter().filter(|pixel| pixel[0] < 128).count();
        assert!((50..=80).contains(&dark), "{dark}");
    }
}
