//! How much of the sky, and of the lit ground, each patch of the machine sees: what fills the shade. May not
//! enter: colours, cameras.

use crate::sighting::frame::Sighting;
use crate::sighting::rasterizer::{Around, Rasterizer};
use crate::sighting::scatter::GOLDEN_ANGLE_RAD;
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use glam::{DVec2, DVec3};
use std::collections::HashMap;
use std::sync::Mutex;

/// Directions over the whole sphere.
const DIRECTIONS: usize = 56;
/// Pixels across of one direction's view.
const WIDTH: usize = 640;
/// The grid of ground points: spacing, half length, half width, height over the rail, metres.
const GRID: (f64, f64, f64, f64) = (0.25, 15.0, 7.0, -0.3);
/// Patches nearer than this share their light, so that no seam shows between them, metres.
const SHARING_M: f64 = 0.5;

/// What each patch, and the ground about the machine, sees.
pub struct Openness {
    /// Share of a level plane's sky light, per patch: (1 + n.z)/2 in the open.
    pub sky: Vec<f64>,
    /// View factor of ground, weighted with how brightly it is lit, per patch.
    pub ground: Vec<f64>,
    neighbours: Vec<Vec<u32>>,
    grid: Vec<f64>,
    grid_columns: usize,
}

/// Ground points about the machine, row by row, and the share of the sky that each sees.
pub struct GroundGrid<'a> {
    /// The first point.
    pub low: DVec2,
    /// From one point to the next, metres.
    pub step_m: f64,
    /// Points in a row.
    pub columns: usize,
    /// Shares of the sky.
    pub shares: &'a [f64],
}

impl Openness {
    /// Counts it. `ground_lit` gives the brightness of a ground point, 1 in the open sun.
    pub fn of(
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
        ground_lit: &(dyn Fn(DVec3) -> f64 + Sync),
    ) -> Openness {
        let patches = &stage.patches;
        let n = patches.len();
        let directions: Vec<DVec3> = sphere(DIRECTIONS).collect();
        let views: Vec<View> = directions
            .iter()
            .map(|d| View::of_sun(*d, &stage.hull, WIDTH))
            .collect();
        let (columns, rows) = grid_size();
        let above = directions
            .iter()
            .filter(|d| d.z > 0.0)
            .map(|d| d.z)
            .sum::<f64>();
        // Kept apart and added in order, so that the same input gives the same bits.
        let drawn: Vec<Mutex<Drawn>> = directions.iter().map(|_| Mutex::default()).collect();
        rasterizer.sight_each(
            stage,
            &views,
            Around::Nothing,
            &|i, sighting: &mut Sighting| {
                let counted = Drawn::of(stage, &views[i], sighting, directions[i], ground_lit);
                *drawn[i].lock().expect("no drawing thread panics") = counted;
            },
        );
        let mut sums = vec![[0.0f64; 4]; n];
        let mut grid = vec![0.0f64; columns * rows];
        for (one, toward) in drawn.into_iter().zip(&directions) {
            let one = one.into_inner().expect("no drawing thread panics");
            let side = if toward.z > 0.0 { 0 } else { 2 };
            for (sum, (cosine, seen)) in sums.iter_mut().zip(&one.patches) {
                sum[side] += (cosine * seen) as f64;
                sum[side + 1] += *cosine as f64;
            }
            for (sum, free) in grid.iter_mut().zip(&one.free) {
                *sum += if *free { toward.z / above } else { 0.0 };
            }
        }
        let share = |sum: f64, all: f64| if all > 0.05 { sum / all } else { 0.5 };
        let tilt = |k: usize| (1.0 + patches.normal[k].z) / 2.0;
        Openness {
            sky: (0..n)
                .map(|k| tilt(k) * share(sums[k][0], sums[k][1]))
                .collect(),
            ground: (0..n)
                .map(|k| (1.0 - tilt(k)) * share(sums[k][2], sums[k][3]))
                .collect(),
            neighbours: neighbours(stage),
            grid,
            grid_columns: columns,
        }
    }

    /// Sky and lit ground seen from a place on a patch, blended with the patches beside it.
    pub fn on_patch(&self, stage: &Stage, patch: usize, point: DVec3) -> (f64, f64) {
        let (mut sky, mut ground, mut weights) = (0.0, 0.0, 0.0);
        for &other in &self.neighbours[patch] {
            let k = other as usize;
            let near = 1.0 - point.distance_squared(stage.patches.centre[k]) / SHARING_M.powi(2);
            if near > 0.0 {
                let weight = near * near * stage.patches.area_m2[k].sqrt();
                sky += weight * self.sky[k];
                ground += weight * self.ground[k];
                weights += weight;
            }
        }
        if weights > 1e-9 {
            (sky / weights, ground / weights)
        } else {
            (self.sky[patch], self.ground[patch])
        }
    }

    /// The grid of ground points.
    pub fn ground_grid(&self) -> GroundGrid<'_> {
        let (step_m, half_length, half_width, _) = GRID;
        GroundGrid {
            low: DVec2::new(-half_length, -half_width),
            step_m,
            columns: self.grid_columns,
            shares: &self.grid,
        }
    }

    /// Share of the sky over a ground point that the machine leaves free.
    pub fn on_ground(&self, point: DVec3) -> f64 {
        let (step, half_length, half_width, _) = GRID;
        let at = DVec2::new(
            (point.x + half_length) / step,
            (point.y + half_width) / step,
        );
        let (columns, rows) = grid_size();
        let (x, y) = (at.x.floor(), at.y.floor());
        if x < 0.0 || y < 0.0 || x as usize + 1 >= columns || y as usize + 1 >= rows {
            return 1.0;
        }
        let (i, j, u, v) = (x as usize, y as usize, at.x - x, at.y - y);
        let cell = |i: usize, j: usize| self.grid[j * self.grid_columns + i];
        let low = cell(i, j) * (1.0 - u) + cell(i + 1, j) * u;
        let high = cell(i, j + 1) * (1.0 - u) + cell(i + 1, j + 1) * u;
        (low * (1.0 - v) + high * v).min(1.0)
    }
}

/// What one direction's view counted.
#[derive(Default)]
struct Drawn {
    /// Per patch: the cosine towards the direction (0 where too small to count) and the share of it seen,
    /// weighted with how brightly the ground there is lit.
    patches: Vec<(f32, f32)>,
    /// Per grid point: nothing of the machine stands before it.
    free: Vec<bool>,
}

impl Drawn {
    fn of(
        stage: &Stage,
        view: &View,
        sighting: &Sighting,
        toward: DVec3,
        ground_lit: &(dyn Fn(DVec3) -> f64 + Sync),
    ) -> Drawn {
        let (patches, frame) = (&stage.patches, &sighting.alone);
        let mut counts = vec![0u32; patches.len()];
        frame.count_patches(&mut counts);
        let scale = view.pixels_per_unit().powi(2);
        let of_patch = |k: usize| {
            let cosine = patches.normal[k].dot(toward);
            let expected = patches.area_m2[k] * cosine * scale;
            if expected <= 1.0 {
                return (0.0, 0.0);
            }
            let mut seen = (counts[k] as f64 / expected).min(1.0);
            if toward.z < 0.0 {
                let centre = patches.centre[k];
                let far = (centre.z - GRID.3).max(0.0) / -toward.z;
                seen *= ground_lit(centre + toward * far);
            }
            (cosine as f32, seen as f32)
        };
        let is_free = |cell: usize| {
            let (columns, _) = grid_size();
            let point = grid_point(cell % columns, cell / columns);
            view.on_plane(point).is_none_or(|flat| {
                let pixel = view.pixel(flat);
                let (x, y) = (pixel.x as usize, pixel.y as usize);
                let outside =
                    pixel.x < 0.0 || pixel.y < 0.0 || x >= frame.width || y >= frame.height;
                outside || frame.near[y * frame.width + x] == f32::NEG_INFINITY
            })
        };
        let (columns, rows) = grid_size();
        let cells = if toward.z > 0.0 { columns * rows } else { 0 };
        Drawn {
            patches: (0..patches.len()).map(of_patch).collect(),
            free: (0..cells).map(is_free).collect(),
        }
    }
}

/// Evenly spread directions (Fibonacci's lattice), the highest first.
fn sphere(n: usize) -> impl Iterator<Item = DVec3> {
    (0..n).map(move |i| {
        let z = 1.0 - (2 * i + 1) as f64 / n as f64;
        let turn = i as f64 * GOLDEN_ANGLE_RAD;
        let flat = (1.0 - z * z).sqrt();
        DVec3::new(flat * turn.cos(), flat * turn.sin(), z)
    })
}

fn grid_size() -> (usize, usize) {
    let (step, half_length, half_width, _) = GRID;
    (
        (2.0 * half_length / step) as usize + 1,
        (2.0 * half_width / step) as usize + 1,
    )
}

fn grid_point(column: usize, row: usize) -> DVec3 {
    let (step, half_length, half_width, z) = GRID;
    DVec3::new(
        column as f64 * step - half_length,
        row as f64 * step - half_width,
        z,
    )
}

/// For each patch, itself and those of the same part and direction about it.
fn neighbours(stage: &Stage) -> Vec<Vec<u32>> {
    let patches = &stage.patches;
    let cell = |p: DVec3| (p / SHARING_M).floor().to_array().map(|v| v as i32);
    let mut cells: HashMap<[i32; 3], Vec<u32>> = HashMap::new();
    for k in 0..patches.len() {
        cells
            .entry(cell(patches.centre[k]))
            .or_default()
            .push(k as u32);
    }
    let alike = |a: usize, b: usize| {
        patches.part[a] == patches.part[b] && patches.normal[a].dot(patches.normal[b]) > 0.9
    };
    (0..patches.len())
        .map(|k| {
            let [x, y, z] = cell(patches.centre[k]);
            let mut near = Vec::new();
            for dx in -1..=1 {
                for dy in -1..=1 {
                    for dz in -1..=1 {
                        let others = cells.get(&[x + dx, y + dy, z + dz]);
                        let others = others.into_iter().flatten();
                        near.extend(others.filter(|&&other| alike(k, other as usize)));
                    }
                }
            }
            near
        })
        .collect()
}
