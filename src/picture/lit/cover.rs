//! What covers the ground about the machine, cell by cell: where grass may stand, where stones lie. May not
//! enter: eyes.

use super::surfaces::Surfaces;
use crate::scene::coat::{Coat, Finish};
use crate::scene::surroundings::Kind;
use crate::sighting::stage::{Stage, StageKind};
use glam::{DVec2, DVec3};

/// What lies on a cell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Lies {
    /// Nothing that grows or rolls: ties, rails, streets, houses.
    #[default]
    Bare,
    /// Grass.
    Grass,
    /// Fine stone.
    Gravel,
    /// Broken stone.
    Ballast,
}

/// One cell.
#[derive(Clone, Copy, Debug, Default)]
pub struct Cell {
    /// What lies there.
    pub lies: Lies,
    /// Its height, metres.
    pub z_m: f32,
    /// Which row of the table of surfaces.
    pub surface: u32,
}

/// The grid of cells.
pub struct Cover {
    cells: Vec<Cell>,
}

/// From the machine to the grid's edges, and across a cell, metres.
const REACH_M: f64 = 110.0;
const CELL_M: f64 = 0.2;
const ACROSS: usize = (2.0 * REACH_M / CELL_M) as usize;

impl Cover {
    /// Looks down on a stage.
    pub fn of(stage: &Stage, surfaces: &mut Surfaces) -> Cover {
        let nothing = Cell {
            z_m: f32::NEG_INFINITY,
            ..Cell::default()
        };
        let mut cells = vec![nothing; ACROSS * ACROSS];
        for (k, (object, soup)) in stage.objects.iter().zip(&stage.soups).enumerate() {
            let covers = matches!(
                object.kind,
                StageKind::Thing(Kind::Building | Kind::Equipment) | StageKind::Coupled
            );
            let is_ground = !object.is_caster();
            if !covers && !is_ground {
                continue;
            }
            for (triangle, piece) in soup.triangles.iter().zip(&soup.piece_of_triangle) {
                let corners = triangle.map(|i| soup.vertices[i as usize]);
                let normal = (corners[1] - corners[0])
                    .cross(corners[2] - corners[0])
                    .normalize_or(DVec3::X);
                if normal.z < 0.2 {
                    continue;
                }
                let finish = Coat::of_piece(&object.coats, *piece as usize).finish;
                let lies = match (object.kind, finish) {
                    (StageKind::Ground, Finish::Grass | Finish::Weeds) => Lies::Grass,
                    (StageKind::Ground, Finish::Gravel) => Lies::Gravel,
                    (StageKind::Ballast, _) => Lies::Ballast,
                    _ => Lies::Bare,
                };
                let surface = if is_ground {
                    surfaces.of_piece(stage, k, *piece as usize)
                } else {
                    0
                };
                lay(&mut cells, corners, normal, lies, surface);
            }
        }
        Cover { cells }
    }

    /// The cell of a place; none beyond the grid.
    pub fn at(&self, p: DVec2) -> Option<&Cell> {
        let [x, y] = ((p + REACH_M) / CELL_M)
            .floor()
            .to_array()
            .map(|v| v as isize);
        let inside = |v: isize| (0..ACROSS as isize).contains(&v);
        (inside(x) && inside(y)).then(|| &self.cells[y as usize * ACROSS + x as usize])
    }
}

/// Lays a triangle over the cells whose middles it covers, where nothing lies higher.
fn lay(cells: &mut [Cell], corners: [DVec3; 3], normal: DVec3, lies: Lies, surface: u32) {
    let flat = corners.map(|c| (c.truncate() + REACH_M) / CELL_M);
    let low = flat[0].min(flat[1]).min(flat[2]).floor().max(DVec2::ZERO);
    let high = flat[0]
        .max(flat[1])
        .max(flat[2])
        .ceil()
        .min(DVec2::splat(ACROSS as f64));
    let edge = |a: DVec2, b: DVec2, p: DVec2| (b - a).perp_dot(p - a);
    for y in low.y as usize..high.y.max(0.0) as usize {
        for x in low.x as usize..high.x.max(0.0) as usize {
            let p = DVec2::new(x as f64 + 0.5, y as f64 + 0.5);
            let inside = (0..3).all(|i| edge(flat[i], flat[(i + 1) % 3], p) >= -1e-9);
            if !inside {
                continue;
            }
            let place = p * CELL_M - REACH_M;
            let from = corners[0];
            let z = from.z - normal.truncate().dot(place - from.truncate()) / normal.z;
            let cell = &mut cells[y * ACROSS + x];
            if z as f32 > cell.z_m {
                *cell = Cell {
                    lies,
                    z_m: z as f32,
                    surface,
                };
            }
        }
    }
}
