//! The table of surfaces: what each part of the machine and each piece about it is made of. May not enter:
//! light, shapes.

use super::uniforms::SurfaceRow;
use crate::mesh::part::Role;
use crate::picture::tone::decode;
use crate::scene::coat::{Coat, Finish};
use crate::sighting::stage::{Stage, StageKind};
use std::collections::HashMap;

/// Numbers of shaders/shared/table.wgsl that no finish of the scene has.
mod number {
    pub const BODY: u32 = 32;
    pub const GEAR: u32 = 33;
    pub const DECK: u32 = 34;
    pub const PANE: u32 = 35;
    pub const GRILLE: u32 = 36;
    pub const LAMP: u32 = 37;
    pub const BALLAST: u32 = 40;
    pub const TIE: u32 = 41;
    pub const RAIL: u32 = 42;
}

/// Classes of finishes, each with a pipeline of its own: `CLASS` of shaders/surface.wgsl.
pub const CLASSES: usize = 7;

/// Classes that stand on the ground, and those that it is made of: these are drawn last, since most of them is hidden.
pub const STANDING: [usize; 5] = [0, 3, 4, 5, 6];
/// The ground's own.
pub const GROUND: [usize; 2] = [1, 2];

/// The class of a finish's number: the machine, grass, stone, tracks, masonry, metal, the rest.
pub fn class_of(finish: u32) -> usize {
    let is = |one: Finish| finish == one as u32;
    match finish {
        number::BODY..=number::LAMP => 0,
        _ if is(Finish::Grass) => 1,
        number::BALLAST => 2,
        _ if is(Finish::Gravel) => 2,
        number::TIE | number::RAIL => 3,
        _ if is(Finish::Brick)
            || is(Finish::Concrete)
            || is(Finish::Asphalt)
            || is(Finish::Roofing) =>
        {
            4
        }
        _ if is(Finish::Paint)
            || is(Finish::Corrugated)
            || is(Finish::Steel)
            || is(Finish::Glass) =>
        {
            5
        }
        _ => 6,
    }
}

/// Rows that grow as they are asked for.
#[derive(Default)]
pub struct Surfaces {
    /// The table.
    pub rows: Vec<SurfaceRow>,
    of_coat: HashMap<(usize, Coat), u32>,
}

impl Surfaces {
    /// One row for each part of the machine, in order; they come first.
    pub fn of_machine(stage: &Stage) -> Surfaces {
        let rows = stage.model.parts.iter().map(|part| {
            let (finish, polish, rough) = match part.role {
                Role::Glass => (number::PANE, 0.06, 0.02),
                Role::Truck | Role::Wheel | Role::Tank | Role::Coupler => {
                    (number::GEAR, 0.012, 0.7)
                }
                Role::Walkway | Role::Pilot => (number::DECK, 0.025, 0.5),
                Role::Grille => (number::GRILLE, 0.015, 0.6),
                Role::Light => (number::LAMP, 0.05, 0.2),
                _ => (number::BODY, 0.042, 0.20),
            };
            let color = decode(stage.model.materials[part.material].color_srgb);
            let dim = if part.role == Role::Glass { 0.6 } else { 1.0 };
            SurfaceRow {
                color: (color * dim).as_vec3().extend(1.0),
                finish,
                seed: 0,
                polish,
                rough,
            }
        });
        Surfaces {
            rows: rows.collect(),
            of_coat: HashMap::new(),
        }
    }

    /// The row of a piece of an object.
    pub fn of_piece(&mut self, stage: &Stage, k: usize, piece: usize) -> u32 {
        let object = &stage.objects[k];
        let coat = Coat::of_piece(&object.coats, piece);
        let next = self.rows.len() as u32;
        let row = *self.of_coat.entry((k, coat)).or_insert(next);
        if row == next {
            // Broken stone lies in its own shade.
            let dim = if object.kind == StageKind::Ballast {
                0.75
            } else {
                1.0
            };
            let color = decode(coat.color_srgb).as_vec3() * dim;
            let (finish, polish, rough) = match (object.kind, coat.finish) {
                (StageKind::Ballast, _) => (number::BALLAST, 0.0, 1.0),
                (StageKind::Tie, _) => (number::TIE, 0.0, 1.0),
                (StageKind::Rail, _) => (number::RAIL, 0.0, 1.0),
                (_, Finish::Paint) => (Finish::Paint as u32, 0.03, 0.45),
                (_, finish) => (finish as u32, 0.0, 1.0),
            };
            self.rows.push(SurfaceRow {
                color: color.extend(object.opacity as f32),
                finish,
                seed: k as u32 * 16,
                polish,
                rough,
            });
        }
        row
    }
}

/// How a piece of an object is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// As it is.
    Solid,
    /// As sprays of leaves within it: 0 leaves, 1 needles, 2 twigs, 3 weeds.
    Leafy(u32),
    /// As a veil through which the rest shows.
    Veiled,
}

impl Manner {
    /// By what it is made of and how much light it stops.
    pub fn of(finish: Finish, opacity: f64) -> Manner {
        match finish {
            Finish::Leaves => Manner::Leafy(0),
            Finish::Needles => Manner::Leafy(1),
            Finish::Twigs => Manner::Leafy(2),
            Finish::Weeds => Manner::Leafy(3),
            Finish::Mesh => Manner::Veiled,
            _ if opacity < 0.5 => Manner::Veiled,
            _ => Manner::Solid,
        }
    }
}
