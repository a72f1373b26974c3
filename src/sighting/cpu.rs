//! The processor's rasterizer: plain triangles over pixel centres, one view per thread. It is the
//! reference, and the default where there is no adapter. May not enter: what is counted.

use super::frame::{Frame, Id, Sighting};
use super::rasterizer::{Around, Rasterizer};
use super::stage::Stage;
use super::view::{NEAREST_M, Rays, View};
use glam::DVec3;
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
        let patches = &stage.patches;
        let mut brush = Brush::new(view);
        brush.transform(&patches.vertices);
        for (corners, patch) in patches.triangles.iter().zip(&patches.patch_of_triangle) {
            brush.triangle(
                alone,
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
            if around == Around::Everything || object.is_caster() {
                brush.transform(&soup.vertices);
                for corners in &soup.triangles {
                    brush.triangle(
                        &mut sighting.all,
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
        fold: &(dyn Fn(usize, &Sighting) + Sync),
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
    /// Eye coordinates: pixel x · depth, pixel y · depth, depth.
    eye: Vec<DVec3>,
    placed: Vec<Placed>,
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
            eye: Vec::new(),
            placed: Vec::new(),
        }
    }

    fn transform(&mut self, vertices: &[DVec3]) {
        self.eye.clear();
        self.placed.clear();
        for vertex in vertices {
            let offset = *vertex - self.view.eye;
            let depth = offset.dot(self.view.forward);
            let (x, y) = (offset.dot(self.x_row), offset.dot(self.y_row));
            let eye = DVec3::new(x, y, depth);
            self.eye.push(eye);
            self.placed.push(match self.view.rays {
                Rays::Perspective if depth < NEAREST_M => Placed::default(),
                _ => self.place(eye),
            });
        }
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

    fn triangle(&self, frame: &mut Frame, corners: [u32; 3], id: Id, cull: bool, opacity: f64) {
        let [a, b, c] = corners.map(|i| i as usize);
        if self.view.rays == Rays::Perspective {
            let behind = |i: usize| self.eye[i].z < NEAREST_M;
            match (behind(a), behind(b), behind(c)) {
                (false, false, false) => {}
                (true, true, true) => return,
                _ => return self.clipped(frame, [a, b, c], id, cull, opacity),
            }
        }
        fill(
            frame,
            [self.placed[a], self.placed[b], self.placed[c]],
            id,
            cull,
            opacity,
        );
    }

    /// Cuts a triangle at the near plane and draws what is left of it.
    fn clipped(&self, frame: &mut Frame, corners: [usize; 3], id: Id, cull: bool, opacity: f64) {
        let mut kept: Vec<Placed> = Vec::with_capacity(4);
        for i in 0..3 {
            let (p, q) = (self.eye[corners[i]], self.eye[corners[(i + 1) % 3]]);
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
    // Pixels whose centres may lie inside; casts cut toward zero and saturate, the exact test follows.
    let first = |low: f64| (low - 0.5).max(0.0) as usize;
    let last = |high: f64, size: usize| ((high + 0.5).max(0.0) as usize).min(size);
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
    let near_dx = scale * (edges[0].dx * a.near + edges[1].dx * b.near + edges[2].dx * c.near);
    for row in y0..y1 {
        let y = row as f64 + 0.5;
        let (from, to) = if x1 - x0 > WIDE_PX {
            span(&edges, y, x0, x1)
        } else {
            (x0, x1)
        };
        let left = from as f64 + 0.5;
        let mut at = [
            edges[0].at(left, y),
            edges[1].at(left, y),
            edges[2].at(left, y),
        ];
        let mut near = scale * (at[0] * a.near + at[1] * b.near + at[2] * c.near);
        let base = row * frame.width;
        for column in from..to {
            if edges[0].holds(at[0]) && edges[1].holds(at[1]) && edges[2].holds(at[2]) {
                let pixel = base + column;
                if near as f32 > frame.near[pixel]
                    && (opacity >= 1.0 || passes(id, column, row, opacity))
                {
                    frame.near[pixel] = near as f32;
                    frame.ids[pixel] = id;
                }
            }
            for (value, edge) in at.iter_mut().zip(&edges) {
                *value += edge.dx;
            }
            near += near_dx;
        }
    }
}

/// Triangles wider than this look for each row's span first.
const WIDE_PX: usize = 6;

/// The columns of a row in which all edges may hold, a pixel to spare on each side: the exact test follows.
fn span(edges: &[Edge; 3], y: f64, x0: usize, x1: usize) -> (usize, usize) {
    let (mut low, mut high) = (x0 as f64, x1 as f64);
    for edge in edges {
        if edge.dx != 0.0 {
            let crossing = -(edge.dy * y + edge.constant) / edge.dx - 0.5;
            if edge.dx > 0.0 {
                low = low.max(crossing - 1.0);
            } else {
                high = high.min(crossing + 2.0);
            }
        }
    }
    let from = (low as usize).min(x1);
    (from, (high.max(0.0) as usize).clamp(from, x1))
}

/// One edge's function, positive inside.
struct Edge {
    dx: f64,
    dy: f64,
    constant: f64,
    owns: bool,
}

impl Edge {
    fn new(from: Placed, to: Placed) -> Edge {
        let (dx, dy) = (to.y - from.y, from.x - to.x);
        let constant = to.x * from.y - from.x * to.y;
        Edge {
            dx,
            dy,
            constant,
            owns: dx > 0.0 || (dx == 0.0 && dy > 0.0),
        }
    }

    fn at(&self, x: f64, y: f64) -> f64 {
        self.dx * x + self.dy * y + self.constant
    }

    fn holds(&self, value: f64) -> bool {
        value > 0.0 || (value == 0.0 && self.owns)
    }
}

/// Whether a partly transparent object stops the ray of this pixel: a fixed hash of object and pixel, so
/// that two crowns behind one another multiply.
pub(crate) fn passes(id: Id, column: usize, row: usize, opacity: f64) -> bool {
    let mut hash = id.0.wrapping_mul(0x9E37_79B9)
        ^ (column as u32).wrapping_mul(0x85EB_CA6B)
        ^ (row as u32).wrapping_mul(0xC2B2_AE35);
    hash ^= hash >> 16;
    hash = hash.wrapping_mul(0x7FEB_352D);
    hash ^= hash >> 15;
    hash = hash.wrapping_mul(0x846C_A68B);
    hash ^= hash >> 16;
    (hash as f64) < opacity * (u32::MAX as f64 + 1.0)
}
