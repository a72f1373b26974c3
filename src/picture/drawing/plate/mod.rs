//! A drawing as marks (areas, lines, words), to be had as SVG and as pixels: the same marks, so the same numbers. May not
//! enter: what they mean.

mod pixels; // marks as pixels

use super::hatch::{Density, hatches};
use super::{escape, hex, open};
use crate::picture::canvas::{INK, Ink, SLATE};
use std::fmt::Write;

/// A rectangle of the page, in its own units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Rect {
    /// Lower edge.
    pub fn foot(&self) -> f64 {
        self.y + self.height
    }

    /// Right edge.
    pub fn right(&self) -> f64 {
        self.x + self.width
    }
}

/// What an area is filled with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fill {
    /// One ink.
    Flat(Ink),
    /// A hatching.
    Hatched(Density),
}

/// A line's ink and thickness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Its ink.
    pub ink: Ink,
    /// Its thickness.
    pub thick: f64,
    /// Broken into dashes of that length.
    pub dash: Option<f64>,
}

/// A line of ink.
pub const fn inked(thick: f64) -> Stroke {
    stroke(INK, thick)
}

/// A line of the lighter ink.
pub const fn faint(thick: f64) -> Stroke {
    stroke(SLATE, thick)
}

const fn stroke(ink: Ink, thick: f64) -> Stroke {
    Stroke {
        ink,
        thick,
        dash: None,
    }
}

/// Which point of a line of words is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// How words are set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Type {
    /// Height of the letters' square.
    pub size: f64,
    /// Bold.
    pub heavy: bool,
}

/// Words of the drawing's size.
pub const PLAIN: Type = Type {
    size: 9.0,
    heavy: false,
};
/// The same, bold.
pub const BOLD: Type = Type {
    heavy: true,
    ..PLAIN
};
/// A title.
pub const TITLE: Type = Type {
    size: 14.0,
    heavy: true,
};

#[derive(Clone, Debug, PartialEq)]
enum Mark {
    Areas(Vec<Rect>, Fill),
    Lines(Vec<[f64; 4]>, Stroke),
    Words(f64, f64, Anchor, Type, String),
}

/// A drawing.
#[derive(Clone, Debug)]
pub struct Plate {
    width: f64,
    height: f64,
    title: String,
    marks: Vec<Mark>,
}

/// Width of the pale edge of words, which keeps them readable over lines.
const EDGE: f64 = 1.2;

impl Plate {
    /// An empty one.
    pub fn new(width: f64, height: f64, title: &str) -> Plate {
        Plate {
            width,
            height,
            title: title.to_string(),
            marks: vec![],
        }
    }

    /// Fills areas alike. They may not overlap.
    pub fn areas(&mut self, rects: Vec<Rect>, fill: Fill) {
        if !rects.is_empty() {
            self.marks.push(Mark::Areas(rects, fill));
        }
    }

    /// Straight lines, upright or level: from x, y to x, y.
    pub fn lines(&mut self, ends: Vec<[f64; 4]>, stroke: Stroke) {
        if !ends.is_empty() {
            self.marks.push(Mark::Lines(ends, stroke));
        }
    }

    /// One straight line.
    pub fn line(&mut self, ends: [f64; 4], stroke: Stroke) {
        self.lines(vec![ends], stroke);
    }

    /// An area with an edge.
    pub fn edged(&mut self, rect: Rect, fill: Fill, stroke: Stroke) {
        self.areas(vec![rect], fill);
        let (x, y, right, foot) = (rect.x, rect.y, rect.right(), rect.foot());
        let sides = vec![
            [x, y, right, y],
            [x, foot, right, foot],
            [x, y, x, foot],
            [right, y, right, foot],
        ];
        self.lines(sides, stroke);
    }

    /// A line of words on a base line.
    pub fn words(&mut self, at: [f64; 2], anchor: Anchor, set: Type, words: &str) {
        let mark = Mark::Words(at[0], at[1], anchor, set, words.to_string());
        self.marks.push(mark);
    }

    /// As SVG.
    pub fn svg(&self) -> String {
        let (width, height) = (self.width, self.height);
        let mut svg = open(width, height, &self.title);
        let _ = write!(
            svg,
            "<rect width=\"{width:.0}\" height=\"{height:.0}\" fill=\"#fff\"/>"
        );
        svg += &hatches();
        for mark in &self.marks {
            let _ = match mark {
                Mark::Areas(rects, fill) => write!(
                    svg,
                    "<path d=\"{}\" fill=\"{}\"/>",
                    rects.iter().map(outline).collect::<String>(),
                    match fill {
                        Fill::Flat(ink) => hex(*ink),
                        Fill::Hatched(density) => format!("url(#{})", density.name()),
                    }
                ),
                Mark::Lines(ends, stroke) => write!(
                    svg,
                    "<path d=\"{}\" stroke=\"{}\" stroke-width=\"{}\"{} fill=\"none\"/>",
                    ends.iter().map(straight).collect::<String>(),
                    hex(stroke.ink),
                    stroke.thick,
                    stroke.dash.map_or(String::new(), |dash| format!(
                        " stroke-dasharray=\"{dash}\""
                    ))
                ),
                Mark::Words(x, y, anchor, set, words) => write!(
                    svg,
                    "<text x=\"{x:.1}\" y=\"{y:.1}\"{}{} stroke=\"#fff\" stroke-width=\"{}\" \
                     stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
                    match anchor {
                        Anchor::Start => "",
                        Anchor::Middle => " text-anchor=\"middle\"",
                        Anchor::End => " text-anchor=\"end\"",
                    },
                    match (set.size == PLAIN.size, set.heavy) {
                        (true, false) => String::new(),
                        (true, true) => " font-weight=\"bold\"".into(),
                        (false, heavy) => format!(
                            " font-size=\"{}\" font-weight=\"{}\"",
                            set.size,
                            if heavy { "bold" } else { "normal" }
                        ),
                    },
                    2.0 * EDGE,
                    escape(words)
                ),
            };
        }
        svg + "</svg>"
    }
}

/// A number of markup to a tenth, as short as it may be.
fn short(number: f64) -> String {
    let tenths = (number * 10.0).round() / 10.0 + 0.0;
    tenths.to_string()
}

fn outline(rect: &Rect) -> String {
    // Edges are rounded, not lengths: neighbours meet.
    let [x, y, right, foot] = [rect.x, rect.y, rect.right(), rect.foot()].map(short);
    format!("M{x} {y}H{right}V{foot}H{x}z")
}

fn straight([x1, y1, x2, y2]: &[f64; 4]) -> String {
    let [x1, y1, x2, y2] = [*x1, *y1, *x2, *y2].map(short);
    format!("M{x1} {y1}L{x2} {y2}")
}

#[cfg(test)]
mod tests {
    use super::*;

    const AREA: Rect = Rect {
        x: 10.0,
        y: 20.0,
        width: 30.0,
        height: 40.0,
    };

    #[test]
    fn an_area_is_as_large_in_pixels_as_in_markup() {
        let mut plate = Plate::new(100.0, 100.0, "<one>");
        plate.areas(vec![AREA], Fill::Flat(INK));
        assert!(plate.svg().contains("M10 20H40V60H10z"));
        assert!(plate.svg().contains("&lt;one&gt;"));
        let picture = plate.pixels(2.0);
        assert_eq!((picture.width, picture.height), (200, 200));
        let inked = |n: &usize| picture.pixels_srgb[*n] == INK;
        let inked: Vec<usize> = (0..200 * 200).filter(inked).collect();
        assert_eq!(inked.len(), 60 * 80);
        assert_eq!((inked[0] % 200, inked[0] / 200), (20, 40));
    }
}
