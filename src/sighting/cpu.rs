//! The processor's rasterizer: plain triangles over pixel centres, one view per thread. It is the
//! reference, and the default where there is no adapter. May not enter: what is counted.

use super::cover::box_corners;
use super::frame::{Frame, Id, Sighting};
use super::rasterizer::{Around, Rasterizer};
use super::scatter::hash;
use super::stage::Stage;
use super::view::{NEAREST_M, Rays, View};
use glam::{DVec2, DVec3};
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Draws on the processor.
#[derive(Debug, Default)]
pub struct Cpu {
    drawn: AtomicUsize,
}

impl Rasterizer for Cpu {
    fn sight(&self, stage: &Stage, view: &View, around: Around, sighting: &mut Sighting) {
        self.drawn.fetch_add(1, Ordering::Relaxed);
        let alone = &mut sighting.alone;
        alone.clear(view.width, view.height);
        sighting.all.clear(0, 0);
        let patches = &stage.patches;
        let mut brush = Brush::new(view);
        brush.transform(&patches.vertices);
        for (corners, patch) in patches.triangles.iter().zip(&patches.patch_of_triangle) {
            brush.triangle(
                alone,
                &patches.vertices,
                *corners,
                Id::patch(*patch as usize),
                patches.closed,
                1.0,
            );
        }
        if around == Around::Nothing {
            return;
        }
        sighting.all.clone_from(alone);
        for (k, (object, soup)) in stage.objects.iter().zip(&stage.soups).enumerate() {
            let asked = around == Around::Everything || object.is_caster();
            if asked && stage.may(k, |bounds| brush.may_show(bounds)) {
                brush.transform(&soup.vertices);
                for corners in &soup.triangles {
                    brush.triangle(
                        &mut sighting.all,
                        &soup.vertices,
                        *corners,
                        Id::object(k),
                        true,
                        object.opacity,
                    );
                }
            }
        }
    }

    fn sight_each(
        &self,
        stage: &Stage,
        views: &[View],
        around: Around,
        fold: &(dyn Fn(usize, &mut Sighting) + Sync),
    ) {
        views
            .par_iter()
            .enumerate()
            .for_each_init(Sighting::default, |sighting, (i, view)| {
                self.sight(stage, view, around, sighting);
                fold(i, sighting);
            });
    }

    fn views_drawn(&self) -> usize {
        self.drawn.load(Ordering::Relaxed)
    }
}

/// A vertex in pixels, with its nearness.
#[derive(Clone, Copy, Debug, Default)]
struct Placed {
    x: f64,
    y: f64,
    near: f64,
}

/// Draws triangles of one view.
struct Brush<'a> {
    view: &'a View,
    /// Rows that bring an offset from the eye to (pixel x, pixel y, 1) times depth.
    x_row: DVec3,
    y_row: DVec3,
    x_shift: f64,
    y_shift: f64,
    placed: Vec<Placed>,
    /// Whether a vertex of these lies behind the near plane: triangles must then be looked at one by one.
    any_behind: bool,
}

impl<'a> Brush<'a> {
    fn new(view: &'a View) -> Brush<'a> {
        let size = view.high - view.low;
        let (kx, ky) = (view.width as f64 / size.x, view.height as f64 / size.y);
        Brush {
            view,
            x_row: view.right * kx,
            y_row: view.up * -ky,
            x_shift: -view.low.x * kx,
            y_shift: view.high.y * ky,
            placed: Vec::new(),
            any_behind: false,
        }
    }

    /// Eye coordinates: pixel x · depth, pixel y · depth, depth.
    fn eye(&self, vertex: DVec3) -> DVec3 {
        let offset = vertex - self.view.eye;
        DVec3::new(
            offset.dot(self.x_row),
            offset.dot(self.y_row),
            offset.dot(self.view.forward),
        )
    }

    fn transform(&mut self, vertices: &[DVec3]) {
        let perspective = self.view.rays == Rays::Perspective;
        let mut placed = std::mem::take(&mut self.placed);
        placed.clear();
        self.any_behind = false;
        placed.extend(vertices.iter().map(|vertex| {
            let eye = self.eye(*vertex);
            if perspective && eye.z < NEAREST_M {
                self.any_behind = true;
                return Placed::default();
            }
            self.place(eye)
        }));
        self.placed = placed;
    }

    /// Whether anything inside a box may fall into the picture.
    fn may_show(&self, [low, high]: [DVec3; 2]) -> bool {
        let (mut least, mut most) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        for corner in box_corners(low, high) {
            let eye = self.eye(corner);
            if self.view.rays == Rays::Perspective && eye.z < NEAREST_M {
                return true; // beside or around the eye: its triangles are cut one by one
            }
            let placed = self.place(eye);
            let at = DVec2::new(placed.x, placed.y);
            (least, most) = (least.min(at), most.max(at));
        }
        let size = DVec2::new(self.view.width as f64, self.view.height as f64);
        most.cmpge(DVec2::ZERO).all() && least.cmple(size).all()
    }

    fn place(&self, eye: DVec3) -> Placed {
        match self.view.rays {
            Rays::Perspective => {
                let near = 1.0 / eye.z;
                Placed {
                    x: eye.x * near + self.x_shift,
                    y: eye.y * near + self.y_shift,
                    near,
                }
            }
            Rays::Orthographic => Placed {
                x: eye.x + self.x_shift,
                y: eye.y + self.y_shift,
                near: -eye.z,
            },
        }
    }

    /// Draws a triangle over the `vertices` that were transformed last.
    fn triangle(
        &self,
        frame: &mut Frame,
        vertices: &[DVec3],
        corners: [u32; 3],
        id: Id,
        cull: bool,
        opacity: f64,
    ) {
        if self.any_behind {
            let eyes = corners.map(|i| self.eye(vertices[i as usize]));
            match eyes.iter().filter(|eye| eye.z < NEAREST_M).count() {
                0 => {}
                3 => return,
                _ => return self.clipped(frame, eyes, id, cull, opacity),
            }
        }
        let placed = corners.map(|i| self.placed[i as usize]);
        fill(frame, placed, id, cull, opacity);
    }

    /// Cuts a triangle at the near plane and draws what is left of it.
    fn clipped(&self, frame: &mut Frame, eyes: [DVec3; 3], id: Id, cull: bool, opacity: f64) {
        let mut kept: Vec<Placed> = Vec::with_capacity(4);
        for i in 0..3 {
            let (p, q) = (eyes[i], eyes[(i + 1) % 3]);
            if p.z >= NEAREST_M {
                kept.push(self.place(p));
            }
            if (p.z < NEAREST_M) != (q.z < NEAREST_M) {
                let mut cut = p.lerp(q, (NEAREST_M - p.z) / (q.z - p.z));
                cut.z = NEAREST_M;
                kept.push(self.place(cut));
            }
        }
        for i in 1..kept.len().saturating_sub(1) {
            fill(frame, [kept[0], kept[i], kept[i + 1]], id, cull, opacity);
        }
    }
}

/// Fills the pixels whose centres lie inside; centres on an edge belong to its top or left side alone.
fn fill(frame: &mut Frame, corners: [Placed; 3], id: Id, cull: bool, opacity: f64) {
    let [a, mut b, mut c] = corners;
    let mut twice_area = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    // y runs down, so a face that is counter-clockwise in space has a negative area here.
    if twice_area > 0.0 {
        if cull {
            return;
        }
        std::mem::swap(&mut b, &mut c);
        twice_area = -twice_area;
    }
    if twice_area.is_nan() || twice_area > -1e-12 {
        return;
    }
    // By casts, which cut off and saturate: floor and ceil are calls on plain x86-64, and most triangles
    // cover no centre at all.
    let first = |low: f64| {
        let whole = (low - 0.5) as usize;
        whole.saturating_add(usize::from((whole as f64) < low - 0.5))
    };
    let last = |high: f64, size: usize| match high < 0.5 {
        true => 0,
        false => ((high - 0.5) as usize).saturating_add(1).min(size),
    };
    let (x0, x1) = (
        first(a.x.min(b.x).min(c.x)),
        last(a.x.max(b.x).max(c.x), frame.width),
    );
    let (y0, y1) = (
        first(a.y.min(b.y).min(c.y)),
        last(a.y.max(b.y).max(c.y), frame.height),
    );
    if x0 >= x1 || y0 >= y1 {
        return;
    }
    let edges = [Edge::new(b, c), Edge::new(c, a), Edge::new(a, b)];
    let scale = -1.0 / twice_area;
    // Nearness is linear over the pixels in both kinds of view.
    let slope = |by: [f64; 3]| scale * (by[0] * a.near + by[1] * b.near + by[2] * c.near);
    let near_dx = slope(edges.each_ref().map(|edge| edge.dx));
    for row in y0..y1 {
        let y = row as f64 + 0.5;
        let starts = edges.each_ref().map(|edge| edge.dy * y + edge.constant);
        let near_start = slope(starts);
        let (from, to) = span(&edges, &starts, x0, x1);
        let pixels = row * frame.width + from..row * frame.width + to;
        let depths = &mut frame.near[pixels.clone()];
        let ids = &mut frame.ids[pixels];
        // Every pixel is asked by its own coordinates, never by steps from a neighbour: two triangles then
        // agree on each pixel of the edge between them. Without branches: which pixels of a small triangle
        // are inside no processor can guess. (By i32: wider integers have no cast of their own on plain x86-64.)
        let first = from as f64 + 0.5;
        let sees = |i: usize, depth: f32| {
            let x = first + f64::from(i as i32);
            let holds = |k: usize| edges[k].dx * x + starts[k] >= edges[k].least;
            let drawn = (near_dx * x + near_start) as f32;
            (holds(0) & holds(1) & holds(2) & (drawn > depth), drawn)
        };
        if opacity >= 1.0 {
            for (i, (depth, pixel)) in depths.iter_mut().zip(ids).enumerate() {
                let (shows, drawn) = sees(i, *depth);
                // By bits: of a choice the compiler makes a branch, and a wrong guess costs more than two stores.
                let taken = u32::from(shows).wrapping_neg();
                *depth = f32::from_bits((drawn.to_bits() & taken) | (depth.to_bits() & !taken));
                pixel.0 = (id.0 & taken) | (pixel.0 & !taken);
            }
        } else {
            for (i, (depth, pixel)) in depths.iter_mut().zip(ids).enumerate() {
                let (shows, drawn) = sees(i, *depth);
                if shows && is_stopped(id, from + i, row, opacity) {
                    (*depth, *pixel) = (drawn, id);
                }
            }
        }
    }
}

/// The columns of a row that may lie inside a triangle: from the first up to and without the second. Only wide
/// rows are cut where the edges cross them.
fn span(edges: &[Edge; 3], starts: &[f64; 3], x0: usize, x1: usize) -> (usize, usize) {
    const NARROW: usize = 12;
    let (mut from, mut to) = (x0, x1);
    if x1 - x0 > NARROW {
        for (edge, start) in edges.iter().zip(starts) {
            // A pixel of slack on each side: each pixel decides for itself.
            let crossing = -start / edge.dx - 0.5;
            if edge.dx > 0.0 {
                from = from.max((crossing - 1.0).max(0.0) as usize);
            } else if edge.dx < 0.0 {
                to = to.min((crossing + 3.0).max(0.0) as usize);
            }
        }
    }
    (from.min(to), to)
}

/// One edge's function: inside it is at least `least`.
struct Edge {
    dx: f64,
    dy: f64,
    constant: f64,
    /// Pixels on the very edge belong to a triangle whose top or left side it is.
    least: f64,
}

impl Edge {
    fn new(from: Placed, to: Placed) -> Edge {
        let (dx, dy) = (to.y - from.y, from.x - to.x);
        let owns = dx > 0.0 || (dx == 0.0 && dy > 0.0);
        Edge {
            dx,
            dy,
            constant: to.x * from.y - from.x * to.y,
            least: if owns { 0.0 } else { f64::from_bits(1) },
        }
    }
}

/// Whether a partly transparent object stops the ray of this pixel: by a fixed hash of object and pixel, so
/// that two crowns behind one another multiply.
fn is_stopped(id: Id, column: usize, row: usize, opacity: f64) -> bool {
    f64::from(hash(id.0, column as u32, row as u32)) < opacity * (f64::from(u32::MAX) + 1.0)
}
