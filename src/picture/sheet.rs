//! Frames as mounted slides, side by side on one sheet. May not enter: how a frame is made or graded.

use super::canvas::{Canvas, Hand, INK, Ink, OCHRE, OXIDE, PAPER, SLATE, SURROUND, WHITE};
use super::png::Picture;
use crate::grade::Verdict;
use std::sync::Arc;

/// One frame in its mount.
#[derive(Clone, Debug)]
pub struct Mount {
    /// The frame.
    pub frame: Arc<Picture>,
    /// On the mount's upper edge, left.
    pub left: String,
    /// On the mount's upper edge, right.
    pub right: String,
    /// Under the frame.
    pub figures: String,
    /// Beside them; none for a frame that was not judged.
    pub verdict: Option<Verdict>,
    /// The better and the worse one, where it is open.
    pub open: Option<[Verdict; 2]>,
    /// Whether that is only the best that may be, since something that could be worse is not known.
    pub at_best: bool,
    /// What is worst in it.
    pub worst: String,
    /// The ground to stand on, or why nobody may stand there.
    pub ground: Result<String, String>,
}

/// A sheet of them.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// What it shows.
    pub title: String,
    /// What is the same in every frame.
    pub subtitle: String,
    /// The mounts, in rows from the upper left; all frames are of one size.
    pub mounts: Vec<Mount>,
}

/// Widths in pixels, on a grid of four.
const GAP: usize = 24;
const HEAD: usize = 84;
const EDGE: usize = 16;
const UPPER: usize = 36;
const LOWER: usize = 92;

const TITLE: Hand = hand(28.0, INK, true);
const NAME: Hand = hand(20.0, INK, true);
const PLAIN: Hand = hand(18.0, INK, false);
const FAINT: Hand = hand(16.0, INK, false);
const WARNING: Hand = hand(16.0, OXIDE, true);

const fn hand(px: f32, ink: Ink, heavy: bool) -> Hand {
    Hand { px, ink, heavy }
}

impl Sheet {
    /// Mounts in a row: up to four, as leaves the fewest holes in the last row.
    fn columns(&self) -> usize {
        match self.mounts.len() {
            few @ 0..=3 => few.max(1),
            4 => 2,
            many if many.next_multiple_of(3) < many.next_multiple_of(4) => 3,
            _ => 4,
        }
    }

    /// The sheet as one picture.
    pub fn drawn(&self) -> Picture {
        let size = |of: fn(&Picture) -> usize| self.mounts.iter().map(|m| of(&m.frame)).max();
        let wide = size(|frame| frame.width).unwrap_or(0) + 2 * EDGE;
        let tall = size(|frame| frame.height).unwrap_or(0) + UPPER + LOWER;
        let columns = self.columns();
        let rows = self.mounts.len().div_ceil(columns);
        let width = columns * (wide + GAP) + GAP;
        let height = HEAD + rows * (tall + GAP) + GAP;
        let mut canvas = Canvas::new(width, height, SURROUND);
        canvas.fill(0, 0, width, HEAD, PAPER);
        canvas.fill(0, HEAD - 1, width, 1, INK);
        let room = (width - 2 * GAP) as f32;
        let title = canvas.fitted(&self.title, &TITLE, room);
        canvas.write(GAP as f32, 40.0, &title, &TITLE);
        let subtitle = canvas.fitted(&self.subtitle, &PLAIN, room);
        canvas.write(GAP as f32, 68.0, &subtitle, &PLAIN);
        for (i, mount) in self.mounts.iter().enumerate() {
            let x = GAP + i % columns * (wide + GAP);
            let y = HEAD + GAP + i / columns * (tall + GAP);
            mount.draw(&mut canvas, x, y, wide, tall);
        }
        canvas.finished()
    }
}

impl Mount {
    /// Its verdict in words.
    pub fn verdict_words(&self) -> String {
        let ends = self.open.or(self.verdict.map(|verdict| [verdict; 2]));
        let verdict = ends.map_or("not judged".to_string(), Verdict::between);
        match self.at_best {
            true => format!("at best {verdict}"),
            false => verdict,
        }
    }

    fn draw(&self, canvas: &mut Canvas, x: usize, y: usize, wide: usize, tall: usize) {
        canvas.fill(x, y, wide, tall, WHITE);
        canvas.outline(x, y, wide, tall, SLATE);
        let (left, right) = ((x + EDGE) as f32, (x + wide - EDGE) as f32);
        let base = (y + UPPER - 11) as f32;
        canvas.write(left, base, &self.left, &NAME);
        canvas.write_to(right, base, &self.right, &FAINT);
        let (frame_x, frame_y) = (x + EDGE, y + UPPER);
        canvas.picture(frame_x, frame_y, &self.frame);
        let (w, h) = (self.frame.width, self.frame.height);
        canvas.outline(frame_x - 1, frame_y - 1, w + 2, h + 2, INK);
        let base = (frame_y + h + 28) as f32;
        let known = self.open.or(self.verdict.map(|verdict| [verdict; 2]));
        // Neither colour nor form says what is not known.
        let ends = known.filter(|_| !self.at_best);
        let word = hand(
            18.0,
            ends.map_or(SLATE, |[_, worse]| verdict_ink(worse)),
            true,
        );
        let verdict = self.verdict_words().to_uppercase();
        let mut start = right - canvas.width_of(&verdict, &word);
        canvas.write(start, base, &verdict, &word);
        if let Some([better, worse]) = ends {
            let both = [worse, better];
            for one in &both[..1 + usize::from(better != worse)] {
                mark(canvas, start - 24.0, base - 12.0, *one);
                start -= 24.0;
            }
        }
        let figures = canvas.fitted(&self.figures, &PLAIN, start - 32.0 - left);
        canvas.write(left, base, &figures, &PLAIN);
        let (hand, ground) = match &self.ground {
            Ok(ground) => (&FAINT, ground),
            Err(refusal) => (&WARNING, refusal),
        };
        for (line, hand, words) in [(24.0, &FAINT, &self.worst), (48.0, hand, ground)] {
            let words = canvas.fitted(words, hand, right - left);
            canvas.write(left, base + line, &words, hand);
        }
    }
}

/// The colour that supports a verdict's form.
fn verdict_ink(verdict: Verdict) -> Ink {
    match verdict {
        Verdict::Fine => INK,
        Verdict::Good => SLATE,
        // Darker than the mark's own ochre: words want 4.5 : 1 on white.
        Verdict::Fair | Verdict::Poor => [0x80, 0x57, 0x10],
        Verdict::Lost => OXIDE,
    }
}

/// A verdict's form, 12 pixels square: an open ring, strokes, a filled square with a white diagonal.
fn mark(canvas: &mut Canvas, x: f32, y: f32, verdict: Verdict) {
    let strokes = |canvas: &mut Canvas, count: usize, ink: Ink| {
        let step = 5.0;
        let first = x + 6.0 - step * (count - 1) as f32 / 2.0;
        for i in 0..count {
            let at = first + step * i as f32;
            canvas.stroke([at - 2.5, y + 12.0], [at + 2.5, y], 2.0, ink);
        }
    };
    match verdict {
        Verdict::Fine => {
            let point = |i: usize| {
                let (sin, cos) = (std::f32::consts::TAU * i as f32 / 24.0).sin_cos();
                [x + 6.0 + 5.0 * cos, y + 6.0 + 5.0 * sin]
            };
            for i in 0..24 {
                canvas.stroke(point(i), point(i + 1), 2.0, INK);
            }
        }
        Verdict::Good => strokes(canvas, 1, SLATE),
        // As on pages and cards: the word beside it tells one from the other.
        Verdict::Fair | Verdict::Poor => strokes(canvas, 2, OCHRE),
        Verdict::Lost => {
            canvas.fill(x as usize, y as usize, 12, 12, OXIDE);
            canvas.stroke([x + 1.5, y + 10.5], [x + 10.5, y + 1.5], 2.0, WHITE);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(count: usize) -> Sheet {
        let shade = |i: usize| Picture {
            width: 60,
            height: 40,
            pixels_srgb: vec![[i as u8, 200, 100]; 60 * 40],
        };
        let mount = |i: usize| Mount {
            frame: shade(i).into(),
            left: "50 mm".into(),
            right: String::new(),
            figures: String::new(),
            verdict: Verdict::ALL.get(i % 6).copied(),
            open: (i % 4 == 1).then_some([Verdict::Fine, Verdict::Good]),
            at_best: i == 2,
            worst: String::new(),
            ground: Ok(String::new()),
        };
        Sheet {
            title: "Sheet".into(),
            subtitle: String::new(),
            mounts: (0..count).map(mount).collect(),
        }
    }

    #[test]
    fn every_frame_is_on_the_sheet_once_and_whole() {
        for count in [1, 2, 3, 4, 5, 8, 9, 10] {
            let picture = sheet(count).drawn();
            assert_eq!(picture.pixels_srgb.len(), picture.width * picture.height);
            for i in 0..count {
                let shown = |pixel: &&[u8; 3]| **pixel == [i as u8, 200, 100];
                let found = picture.pixels_srgb.iter().filter(shown).count();
                assert_eq!(found, 60 * 40, "{i} of {count}");
            }
        }
    }

    #[test]
    fn fair_and_poor_have_one_form_as_on_pages_and_cards() {
        let drawn = |verdict| {
            let mut canvas = Canvas::new(30, 30, WHITE);
            mark(&mut canvas, 8.0, 8.0, verdict);
            canvas.finished().pixels_srgb
        };
        let all = [Verdict::Fine, Verdict::Good, Verdict::Fair, Verdict::Lost].map(drawn);
        for (i, one) in all.iter().enumerate() {
            assert!(all[..i].iter().all(|other| other != one));
        }
        assert_eq!(drawn(Verdict::Poor), all[2]);
    }

    /// WCAG 2.1, success criterion 1.4.3: at least 4.5 : 1 for text.
    #[test]
    fn words_stand_out_from_their_ground() {
        let luminance = |ink: Ink| {
            let linear = super::super::tone::decode(ink);
            linear.dot(glam::DVec3::new(0.2126, 0.7152, 0.0722))
        };
        let contrast = |a: Ink, b: Ink| {
            let (a, b) = (luminance(a) + 0.05, luminance(b) + 0.05);
            a.max(b) / a.min(b)
        };
        for verdict in Verdict::ALL {
            assert!(contrast(verdict_ink(verdict), WHITE) >= 4.5, "{verdict:?}");
        }
        assert!(contrast(SLATE, WHITE) >= 4.5 && contrast(INK, PAPER) >= 4.5);
    }
}
