//! Which tufts and stones a view shows: each belongs to its place, fewer and larger ones are kept farther off. May not
//! enter: devices, shapes.

use super::cover::{Cover, Lies};
use super::uniforms::Scattered;
use crate::sighting::scatter::hash;
use crate::sighting::view::{Rays, View};
use glam::{DVec2, DVec3, Vec3};

/// Tufts and stones of a view.
#[derive(Default)]
pub struct Strewn {
    /// Tufts near enough for bent blades.
    pub near: Vec<Scattered>,
    /// Tufts farther off.
    pub far: Vec<Scattered>,
    /// Stones.
    pub stones: Vec<Scattered>,
}

/// One thing may lie in each of these cells, metres.
const STEP_M: f64 = 0.085;
/// Tufts beyond this have straight blades, metres.
const NEAR_M: f64 = 13.0;
/// Tufts and stones are no shapes of their own beyond these, metres.
const TUFTS_M: f64 = 75.0;
const STONES_M: f64 = 38.0;

/// How a thing is shaped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A tuft with bent blades.
    Near,
    /// A tuft with straight ones.
    Far,
    /// A stone.
    Stone,
}

/// Things of one shape that lie together.
pub struct Patch {
    /// Their shape.
    pub shape: Shape,
    /// The things.
    pub things: Vec<Scattered>,
    /// Their bounds.
    pub bounds: [DVec3; 2],
}

/// Patches are of one square of so many metres, and of so many things at most.
const SQUARE_M: f32 = 8.0;
const MOST: usize = 4096;
/// No thing is wider or taller, metres.
const LARGEST_M: f64 = 0.9;

impl Strewn {
    /// The same patch by patch.
    pub fn patches(self) -> Vec<Patch> {
        let lists = [
            (Shape::Near, self.near),
            (Shape::Far, self.far),
            (Shape::Stone, self.stones),
        ];
        let mut patches = vec![];
        for (shape, mut things) in lists {
            let square = |thing: &Scattered| {
                let [x, y, _] = thing.foot;
                [x, y].map(|v| (v / SQUARE_M).floor() as i32)
            };
            things.sort_by_key(square);
            for alike in things.chunk_by(|a, b| square(a) == square(b)) {
                for things in alike.chunks(MOST) {
                    let feet = things.iter().map(|thing| Vec3::from(thing.foot).as_dvec3());
                    let none = (DVec3::INFINITY, DVec3::NEG_INFINITY);
                    let (low, high) =
                        feet.fold(none, |(low, high), foot| (low.min(foot), high.max(foot)));
                    patches.push(Patch {
                        shape,
                        things: things.to_vec(),
                        bounds: [low - LARGEST_M, high + LARGEST_M],
                    });
                }
            }
        }
        patches
    }
}

/// Everything strewn that a view shows. `sparse` leaves out so much for live frames.
pub fn strewn(cover: &Cover, view: &View, sparse: f64) -> Strewn {
    if view.rays == Rays::Orthographic {
        return Strewn::default();
    }
    let Some((low, high)) = reach(view) else {
        return Strewn::default();
    };
    let [first, last] = [low.y, high.y].map(|y| (y / STEP_M) as i64);
    let columns = (low.x / STEP_M) as i64..=(high.x / STEP_M) as i64;
    // More threads take longer to start than they save.
    let threads = std::thread::available_parallelism().map_or(1, |n| n.get().min(8) as i64);
    let most = &most_by_ring(sparse);
    let band = (last - first) / threads + 1;
    let part = &|k: i64| {
        let mut part = Strewn::default();
        for row in first + k * band..(first + (k + 1) * band).min(last + 1) {
            for column in columns.clone() {
                one(cover, view, (sparse, most), column, row, &mut part);
            }
        }
        part
    };
    // Threads of its own: whoever draws holds the device meanwhile, and a shared pool might take up another
    // picture that waits for it.
    let parts: Vec<Strewn> = std::thread::scope(|scope| {
        let running: Vec<_> = (0..threads).map(|k| scope.spawn(move || part(k))).collect();
        let joined = running.into_iter().filter_map(|thread| thread.join().ok());
        joined.collect()
    });
    parts.into_iter().fold(Strewn::default(), |mut all, part| {
        all.near.extend(part.near);
        all.far.extend(part.far);
        all.stones.extend(part.stones);
        all
    })
}

/// Bounds of the ground that a view can show with shapes on it.
fn reach(view: &View) -> Option<(DVec2, DVec2)> {
    let eye = view.eye.truncate();
    let mut points = vec![eye];
    for x in [view.low.x, view.high.x] {
        for y in [view.low.y, view.high.y] {
            let ray = view.right * x + view.up * y + view.forward;
            let flat = ray.truncate();
            points.push(eye + flat.normalize_or(DVec2::ZERO) * TUFTS_M);
            // A steep view sees ground about its foot.
            if ray.z < 0.0 {
                let far = flat * ((view.eye.z + 3.0) / -ray.z);
                points.push(eye + far.clamp_length_max(TUFTS_M));
            }
        }
    }
    let low = points.iter().copied().reduce(DVec2::min)?;
    let high = points.iter().copied().reduce(DVec2::max)?;
    Some((low - 1.0, high + 1.0))
}

/// As many tufts and stones as a square metre holds at a distance.
fn tufts_per_m2(distance_m: f64) -> f64 {
    105.0 * (7.0 / distance_m.max(7.0)).powf(1.35)
}

fn stones_per_m2(distance_m: f64) -> f64 {
    130.0 * (16.0 / distance_m.max(16.0)).powf(1.2)
}

/// Rings about the eye, even in the square of the distance.
const RINGS: usize = 512;

/// The share of cells that may hold anything, ring by ring: nearly all of them are told empty by it alone.
fn most_by_ring(sparse: f64) -> [f64; RINGS] {
    std::array::from_fn(|ring| {
        // As at its inner edge, where most is kept, for the nearest place of a cell.
        let distance_m = TUFTS_M * (ring as f64 / RINGS as f64).sqrt() - STEP_M;
        sparse * tufts_per_m2(distance_m).max(stones_per_m2(distance_m)) * STEP_M * STEP_M
    })
}

fn one(
    cover: &Cover,
    view: &View,
    (sparse, most): (f64, &[f64; RINGS]),
    column: i64,
    row: i64,
    part: &mut Strewn,
) {
    let unit = |h: u32| f64::from(h) / f64::from(u32::MAX);
    let rank = unit(hash(column as u32, row as u32, 73));
    let corner = DVec2::new(column as f64, row as f64);
    let off_m = (corner + 0.5) * STEP_M - view.eye.truncate();
    let ring = off_m.length_squared() * (RINGS as f64 / (TUFTS_M * TUFTS_M));
    if rank > most[(ring as usize).min(RINGS - 1)] {
        return;
    }
    let h = hash(column as u32, row as u32, 71);
    let k = hash(column as u32, row as u32, 72);
    let place = (corner + DVec2::new(unit(h), unit(k))) * STEP_M;
    let distance_m = place.distance(view.eye.truncate());
    if distance_m > TUFTS_M {
        return;
    }
    let Some(cell) = cover.at(place) else { return };
    // Of the cells' 138 on a square metre.
    let per_m2 = sparse
        * match cell.lies {
            Lies::Bare => return,
            Lies::Grass => tufts_per_m2(distance_m),
            Lies::Gravel if distance_m < STONES_M => 10.0,
            Lies::Ballast if distance_m < STONES_M => stones_per_m2(distance_m),
            _ => return,
        };
    let kept = per_m2 * STEP_M * STEP_M;
    if rank > kept {
        return;
    }
    let foot = place.extend(f64::from(cell.z_m));
    if !shows(view, foot) {
        return;
    }
    let own = unit(hash(column as u32, row as u32, 74));
    let thing = |size_m: f64| Scattered {
        foot: foot.as_vec3().to_array(),
        size_m: size_m as f32,
        surface: cell.surface,
        seed: h,
    };
    match cell.lies {
        Lies::Grass => {
            // What is left out is made up for by width; the last metres fade away.
            let wider = (105.0 / per_m2.max(1e-9) * sparse).sqrt().min(3.2);
            let fade = ((TUFTS_M - distance_m) / 25.0).clamp(0.15, 1.0);
            let tuft = thing((0.075 + 0.11 * own * own) * wider.sqrt() * fade);
            if distance_m < NEAR_M {
                part.near.push(tuft);
            } else {
                part.far.push(tuft);
            }
        }
        // Weeds come up through stone here and there.
        Lies::Gravel if own > 0.93 => part.near.push(thing(0.09)),
        Lies::Gravel => part.stones.push(thing(0.022 + 0.02 * own)),
        _ => part.stones.push(thing(0.042 + 0.032 * own)),
    }
}

fn shows(view: &View, foot: DVec3) -> bool {
    let margin = DVec2::splat(0.02);
    let Some(at) = view.on_plane(foot + DVec3::Z * 0.1) else {
        return false;
    };
    let depth_m = 1.0 / view.near(foot);
    let margin = margin + 0.4 / depth_m;
    at.cmpge(view.low - margin).all() && at.cmple(view.high + margin).all()
}
