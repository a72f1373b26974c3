//! What a pixel shows: where it lies, which way it faces, what it is made of. May not enter: light.

use super::finish::{self, Place};
use super::grime::Grime;
use super::noise::{cell, in_space, layered, smooth};
use super::pieces::{Found, Pieces};
use super::tone::decode;
use crate::mesh::part::Role;
use crate::scene::coat::Coat;
use crate::sighting::frame::{Frame, Id};
use crate::sighting::stage::{Stage, StageKind};
use crate::sighting::view::{Rays, View};
use glam::{DVec2, DVec3};

/// One pixel's piece of surface.
#[derive(Clone, Copy, Debug)]
pub struct Seen {
    /// What it is.
    pub id: Id,
    /// Where, machine frame.
    pub point: DVec3,
    /// Unit normal towards the eye's side.
    pub normal: DVec3,
    /// Leaves and grass: no hard surface, light passes.
    pub is_soft: bool,
    /// Which piece of its object it is.
    pub piece: usize,
}

/// What it is made of.
#[derive(Clone, Copy, Debug)]
pub struct Matter {
    /// Share of light sent back, linear sRGB.
    pub albedo: DVec3,
    /// Reflectance square on of its polish; 0 for what is dull.
    pub polish: f64,
    /// How wide the polish spreads a light: 0 a mirror, 1 dull.
    pub rough: f64,
}

/// The surface at a pixel; none where the sky is.
pub fn seen(
    stage: &Stage,
    pieces: &Pieces,
    view: &View,
    frame: &Frame,
    column: usize,
    row: usize,
) -> Option<Seen> {
    let at = row * frame.width + column;
    let id = frame.ids[at];
    if id == Id::NOTHING {
        return None;
    }
    let point = view.point(column, row, frame.near[at]);
    let toward_eye = match view.rays {
        Rays::Perspective => view.eye - point,
        Rays::Orthographic => -view.forward,
    };
    let facing = toward_eye.normalize_or(DVec3::Z);
    let (normal, is_soft, piece) = match (id.as_patch(), id.as_object()) {
        (Some(patch), _) => (stage.patches.normal[patch], false, 0),
        (_, Some(k)) => match stage.objects[k].kind {
            StageKind::Ground => (DVec3::Z, false, 0),
            // A rail's head is too thin in the picture for its neighbours to tell its direction.
            StageKind::Rail if point.z > -0.004 => (DVec3::Z, false, 0),
            // Stones lie at their own slope, however steep the solid's step.
            StageKind::Ballast => {
                let step = from_depth(view, frame, column, row, toward_eye);
                ((step * 0.5 + DVec3::Z * 0.8).normalize(), false, 0)
            }
            StageKind::Tie | StageKind::Rail => {
                (from_depth(view, frame, column, row, toward_eye), false, 0)
            }
            StageKind::Thing(_) | StageKind::Coupled => {
                let found = pieces.at(k, point).unwrap_or(Found {
                    piece: 0,
                    normal: facing,
                });
                let coat = Coat::of_piece(&stage.objects[k].coats, found.piece);
                let is_soft = coat.finish.is_soft();
                let normal = if is_soft {
                    leafy(found.normal, point)
                } else {
                    found.normal
                };
                (normal, is_soft, found.piece)
            }
        },
        _ => (DVec3::Z, false, 0),
    };
    // A surface of an open mesh may be seen from behind.
    let normal = if stage.patches.closed || normal.dot(toward_eye) >= 0.0 {
        normal
    } else {
        -normal
    };
    Some(Seen {
        id,
        point,
        normal,
        is_soft,
        piece,
    })
}

/// The direction of a surface from its neighbours' depths: on each axis the neighbour nearer in depth.
fn from_depth(view: &View, frame: &Frame, column: usize, row: usize, toward_eye: DVec3) -> DVec3 {
    let at = |c: usize, r: usize| {
        let i = r * frame.width + c;
        view.point(c, r, frame.near[i])
    };
    let here = at(column, row);
    let id = frame.ids[row * frame.width + column];
    let step = |dc: isize, dr: isize| -> Option<DVec3> {
        let c = column.checked_add_signed(dc).filter(|c| *c < frame.width)?;
        let r = row.checked_add_signed(dr).filter(|r| *r < frame.height)?;
        (frame.ids[r * frame.width + c] == id).then(|| at(c, r) - here)
    };
    let shorter = |a: Option<DVec3>, b: Option<DVec3>| match (a, b.map(|b| -b)) {
        (Some(a), Some(b)) => Some(if a.length_squared() < b.length_squared() {
            a
        } else {
            b
        }),
        (a, b) => a.or(b),
    };
    let across = shorter(step(1, 0), step(-1, 0));
    let along = shorter(step(0, -1), step(0, 1));
    let facing = toward_eye.normalize_or(DVec3::Z);
    match (across, along) {
        (Some(u), Some(v)) => {
            let normal = u.cross(v).normalize_or(facing);
            if normal.dot(facing) < 0.0 {
                -normal
            } else {
                normal
            }
        }
        // A bar one pixel wide faces the eye as far as anybody can tell.
        (None, Some(v)) => (facing - v * facing.dot(v) / v.length_squared()).normalize_or(facing),
        (Some(u), None) => (facing - u * facing.dot(u) / u.length_squared()).normalize_or(facing),
        (None, None) => facing,
    }
}

/// A crown's direction: its mass's own, broken up by clumps of leaves.
fn leafy(round: DVec3, point: DVec3) -> DVec3 {
    // Whatever the pixel's size: clumps turn to the light together.
    let clump = |seed: u32| in_space(point, 0.6, 4, 0.85, 1e-3, seed);
    let rough = DVec3::new(clump(211), clump(213), clump(215));
    (round + rough * 0.55).normalize_or(round)
}

/// What the surface at a pixel is made of. `footprint_m` is how much of it a pixel covers.
/// `direction` leads from the eye to it.
pub fn matter(stage: &Stage, seen: &Seen, direction: DVec3, footprint_m: f64) -> Matter {
    if let Some(patch) = seen.id.as_patch() {
        return machine(stage, seen, patch, footprint_m);
    }
    let dull = |albedo: DVec3| Matter {
        albedo,
        polish: 0.0,
        rough: 1.0,
    };
    let Some(k) = seen.id.as_object() else {
        return dull(DVec3::splat(0.2));
    };
    let object = &stage.objects[k];
    let coat = Coat::of_piece(&object.coats, seen.piece);
    let flat = seen.point.truncate();
    match object.kind {
        StageKind::Ground | StageKind::Thing(_) | StageKind::Coupled => {
            let place = Place::on(seen.point, seen.normal, direction, footprint_m);
            finish::matter(coat, &place)
        }
        StageKind::Ballast => {
            // On a slope the height counts as a way aside.
            let spread = flat + DVec2::new(0.4, 1.0) * (1.0 - seen.normal.z) * 4.0 * seen.point.z;
            let stones = finish::gravel(decode(coat.color_srgb) * 0.72, spread, footprint_m, 0.42);
            let oil = (-(flat.y / 0.55).powi(2)).exp() * (0.6 + 0.4 * smooth(flat * 0.7, 61));
            let oil = if flat.y.abs() < 2.0 {
                oil.max(0.0) * 0.5
            } else {
                0.0
            };
            dull(stones.lerp(stones * DVec3::new(0.62, 0.55, 0.48), oil))
        }
        StageKind::Tie => {
            let grain = layered(flat * DVec2::new(6.0, 0.6), 0.5, 3, 0.7, footprint_m, 71);
            let own = cell((flat.x / 0.55).floor() as i64, 0, 72) - 0.5;
            dull(DVec3::new(0.105, 0.092, 0.078) * (0.95 + 0.25 * grain + 0.35 * own))
        }
        StageKind::Rail if seen.point.z > -0.004 => Matter {
            albedo: DVec3::new(0.34, 0.33, 0.32),
            polish: 0.35,
            rough: 0.35,
        },
        StageKind::Rail => {
            let rust = layered(
                DVec2::new(flat.x, seen.point.z * 4.0),
                0.3,
                3,
                0.6,
                footprint_m,
                73,
            );
            dull(DVec3::new(0.110, 0.078, 0.058) * (1.0 + 0.3 * rust))
        }
    }
}

fn machine(stage: &Stage, seen: &Seen, patch: usize, footprint_m: f64) -> Matter {
    let part = &stage.model.parts[stage.patches.part[patch] as usize];
    let color = decode(stage.model.materials[part.material].color_srgb);
    let streaks = DVec2::new(seen.point.x + seen.point.y, seen.point.z * 0.3);
    let worn = layered(streaks, 0.9, 5, 0.6, footprint_m, 95);
    let (polish, rough) = polish_and_rough(part.role);
    let albedo = match part.role {
        Role::Glass => color * 0.6,
        role if role.is_running_gear() => color,
        Role::Coupler | Role::Walkway | Role::Pilot => color,
        _ => color * (1.0 + 0.05 * worn),
    };
    let bare = Matter {
        albedo,
        polish,
        rough,
    };
    let grime = Grime::of(stage.condition);
    grime.on(bare, part.role, seen.point, seen.normal, worn, footprint_m)
}

/// Reflectance square on of a clean part's polish, and how wide it spreads a light.
pub fn polish_and_rough(role: Role) -> (f64, f64) {
    match role {
        Role::Glass => (0.06, 0.02),
        Role::Truck | Role::Wheel | Role::Tank | Role::Coupler => (0.01, 0.7),
        Role::Walkway | Role::Pilot => (0.025, 0.5),
        _ => (0.04, 0.28),
    }
}
