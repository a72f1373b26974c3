//! A line drawing of a machine from an eye: where its faces meet, with a light tone on what is turned away from above, and
//! which of its points are seen there. For pages that point at parts of it. May not enter: sun, site, colours of a page.

use crate::sighting::frame::{Frame, Id, Sighting};
use crate::sighting::rasterizer::{Around, Rasterizer};
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use glam::{DVec2, DVec3};

/// Faces whose normals lie farther apart than this (cosine) meet in a line.
const EDGE_COS: f64 = 0.80;

/// Depths that differ by more than this share are two things, one behind the other.
const STEP_SHARE: f64 = 0.012;

/// A point on an edge shares its pixel with what lies behind it; it is seen where it is no farther back than this share.
const SEEN_SHARE: f64 = 0.004;

/// Ink of a line.
const LINE: f64 = 0.75;

/// Widest view that is drawn, degrees.
const WIDEST_DEG: f64 = 150.0;

/// The drawing.
#[derive(Clone, Debug)]
pub struct LineDrawing {
    /// Where from, and how its pixels lie.
    pub view: View,
    /// Ink of each pixel, 0 to 255, rows from the top.
    pub ink: Vec<u8>,
    frame: Frame,
    /// Pixels of the frame to one of the drawing.
    times: usize,
}

impl LineDrawing {
    /// Draws a stage's machine, so many pixels across; none where the eye stands too near.
    pub fn from(
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
        eye: DVec3,
        width_px: usize,
    ) -> Option<LineDrawing> {
        const TIMES: usize = 3;
        let points = &stage.hull[..];
        let mut fine = View::canonical(eye, points, TIMES * width_px, WIDEST_DEG)?;
        // Whole pixels of the drawing.
        let rows = fine.height.next_multiple_of(TIMES);
        let unit = (fine.high.x - fine.low.x) / fine.width as f64;
        (fine.height, fine.high.y) = (rows, fine.low.y + unit * rows as f64);
        let mut sighting = Sighting::default();
        rasterizer.sight(stage, &fine, Around::Nothing, &mut sighting);
        let frame = sighting.alone;
        let view = View {
            width: width_px,
            height: rows / TIMES,
            ..fine
        };
        let normals = &stage.patches.normal;
        let parts = &stage.patches.part;
        let ink = inked(&frame, TIMES, |a, b| {
            let apart = normals[a].dot(normals[b]) < EDGE_COS;
            apart || parts[a] != parts[b]
        });
        let tone = |id: Id| id.as_patch().map_or(0.0, |patch| shade(normals[patch]));
        let ink = toned(ink, &frame, TIMES, tone);
        Some(LineDrawing {
            view,
            ink,
            frame,
            times: TIMES,
        })
    }

    /// Where a point lies in the drawing, pixels right and down; none behind the eye.
    pub fn place(&self, point: DVec3) -> Option<DVec2> {
        Some(self.view.pixel(self.view.on_plane(point)?))
    }

    /// Whether a point of the machine's surface is seen, not behind another part of it.
    pub fn sees(&self, point: DVec3) -> bool {
        let Some(place) = self.place(point) else {
            return false;
        };
        let fine = place * self.times as f64;
        let near = self.view.near(point);
        let [width, height] = [self.frame.width, self.frame.height].map(|size| size as isize);
        let (column, row) = (fine.x.floor() as isize, fine.y.floor() as isize);
        let around = -2..=2;
        let open = |dx: isize, dy: isize| {
            let (x, y) = (column + dx, row + dy);
            let within = x >= 0 && y >= 0 && x < width && y < height;
            let at = |x: isize, y: isize| f64::from(self.frame.near[(y * width + x) as usize]);
            !within || at(x, y) <= near * (1.0 + SEEN_SHARE)
        };
        let count = around
            .clone()
            .flat_map(|dy| around.clone().map(move |dx| (dx, dy)));
        // Of twenty-five pixels round it, a corner that is hidden shows none.
        count.filter(|(dx, dy)| open(*dx, *dy)).count() >= 3
    }
}

/// Tone of a face: those that look down or along the machine are darker, as on a drawing lit from above.
fn shade(normal: DVec3) -> f64 {
    0.05 + 0.16 * (0.5 - 0.5 * normal.z) + 0.10 * normal.x.abs()
}

/// Share of each pixel that lines cover.
fn inked(frame: &Frame, times: usize, meet: impl Fn(usize, usize) -> bool) -> Vec<f64> {
    let (width, height) = (frame.width / times, frame.height / times);
    let mut ink = vec![0.0; width * height];
    let line = |a: usize, b: usize| {
        let (one, other) = (frame.ids[a], frame.ids[b]);
        match (one.as_patch(), other.as_patch()) {
            (None, None) => false,
            (Some(a_patch), Some(b_patch)) => {
                let (near, far) = (frame.near[a], frame.near[b]);
                let step = f64::from((near - far).abs() / near.max(far));
                step > STEP_SHARE || (a_patch != b_patch && meet(a_patch, b_patch))
            }
            _ => true,
        }
    };
    for y in 0..height * times {
        for x in 0..width * times {
            let at = y * frame.width + x;
            let right = x + 1 < frame.width && line(at, at + 1);
            let down = y + 1 < frame.height && line(at, at + frame.width);
            if right || down {
                ink[y / times * width + x / times] += 1.0;
            }
        }
    }
    // A line three fine pixels long crosses a whole pixel.
    ink.iter()
        .map(|count| (count / times as f64).min(1.0))
        .collect()
}

/// Lines over tones, as bytes.
fn toned(ink: Vec<f64>, frame: &Frame, times: usize, tone: impl Fn(Id) -> f64) -> Vec<u8> {
    let width = frame.width / times;
    let per_pixel = (times * times) as f64;
    let mut tones = vec![0.0; ink.len()];
    for y in 0..ink.len() / width * times {
        for x in 0..width * times {
            let at = y / times * width + x / times;
            tones[at] += tone(frame.ids[y * frame.width + x]) / per_pixel;
        }
    }
    let both = ink.iter().zip(tones);
    let byte = |(line, tone): (&f64, f64)| {
        (255.0 * (tone + (1.0 - tone) * LINE * line))
            .round()
            .clamp(0.0, 255.0) as u8
    };
    both.map(byte).collect()
}
