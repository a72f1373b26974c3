//! What a pixel shows: where it lies, which way it faces, what it is made of. May not enter: light.

use super::grime::Grime;
use super::noise::{cell, layered, smooth};
use super::tone::decode;
use crate::mesh::part::Role;
use crate::scene::coat::{Coat, Finish};
use crate::scene::surroundings::Kind;
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
pub fn seen(stage: &Stage, view: &View, frame: &Frame, column: usize, row: usize) -> Option<Seen> {
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
    let (normal, is_soft) = match (id.as_patch(), id.as_object()) {
        (Some(patch), _) => (stage.patches.normal[patch], false),
        (_, Some(k)) => match stage.objects[k].kind {
            StageKind::Ground => (DVec3::Z, false),
            StageKind::Thing(Kind::Crown | Kind::Bush) => (
                leafy(stage, k, point, toward_eye.normalize_or(DVec3::Z)),
                true,
            ),
            // A rail's head is too thin in the picture for its neighbours to tell its direction.
            StageKind::Rail if point.z > -0.004 => (DVec3::Z, false),
            // Stones lie at their own slope, however steep the solid's step.
            StageKind::Ballast => {
                let step = from_depth(view, frame, column, row, toward_eye);
                ((step * 0.5 + DVec3::Z * 0.8).normalize(), false)
            }
            _ => (from_depth(view, frame, column, row, toward_eye), false),
        },
        _ => (DVec3::Z, false),
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

/// A crown's direction: its ellipsoid's, broken up by clumps of leaves.
fn leafy(stage: &Stage, k: usize, point: DVec3, facing: DVec3) -> DVec3 {
    let (low, high) = stage.soups[k]
        .vertices
        .iter()
        .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), v| {
            (low.min(*v), high.max(*v))
        });
    let radii = ((high - low) / 2.0).max(DVec3::splat(0.05));
    let round = (point - (low + high) / 2.0) / (radii * radii);
    let clump = |seed: u32| {
        let p = DVec2::new(point.x + 1.7 * point.z, point.y - 1.3 * point.z);
        smooth(p * 1.6, seed) + 0.9 * smooth(p * 4.3, seed + 1) + 0.7 * smooth(p * 11.0, seed + 2)
    };
    let rough = DVec3::new(clump(11), clump(21), clump(31));
    (round.normalize_or(facing) + rough * 0.55).normalize_or(facing)
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
    let color = decode(Coat::of_piece(&object.coats, 0).color_srgb);
    let flat = seen.point.truncate();
    let eye_way = direction.truncate() / direction.z.min(-0.02);
    match object.kind {
        // The plain ground is the first of its kind; raised pieces are made ground.
        StageKind::Ground if object.name == "ground" => dull(meadow(flat, eye_way, footprint_m)),
        StageKind::Ground => dull(gravel(color, flat, footprint_m, 0.16)),
        StageKind::Ballast => {
            // On a slope the height counts as a way aside.
            let spread = flat + DVec2::new(0.4, 1.0) * (1.0 - seen.normal.z) * 4.0 * seen.point.z;
            let stones = gravel(color * 0.72, spread, footprint_m, 0.42);
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
        StageKind::Thing(Kind::Crown | Kind::Bush) => {
            let p = DVec2::new(flat.x + 1.7 * seen.point.z, flat.y - 1.3 * seen.point.z);
            let leaves = layered(p, 1.2, 5, 0.75, footprint_m, 81);
            let warm = 0.12 * smooth(p * 0.8, 85);
            let tint = DVec3::new(1.0 + warm, 1.0, 1.0 - warm);
            dull(color * tint * (0.95 + 0.35 * leaves).max(0.25))
        }
        StageKind::Thing(_) | StageKind::Coupled => {
            let p = DVec2::new(flat.x + flat.y, seen.point.z);
            let coat = Coat::of_piece(&object.coats, 0);
            let wear = if coat.finish == Finish::Plain {
                0.0
            } else {
                0.10
            };
            let worn = wear * layered(p * DVec2::new(1.0, 0.35), 1.6, 5, 0.6, footprint_m, 87);
            let painted = matches!(
                object.kind,
                StageKind::Coupled | StageKind::Thing(Kind::Equipment | Kind::Signal)
            );
            let polish = if painted { 0.02 } else { 0.0 };
            Matter {
                albedo: color * (1.0 + worn),
                polish,
                rough: 0.6,
            }
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

/// Rough grass with dry and bare places. The ground is a plane, so its tufts are found along the sight: the
/// first of a few layers, from their tips down, that they reach. `eye_way` leads to the eye for one metre
/// of height.
fn meadow(p: DVec2, eye_way: DVec2, footprint_m: f64) -> DVec3 {
    const TALL_M: f64 = 0.10;
    const LAYERS: usize = 6;
    let shown = (0.12 / footprint_m - 0.6).clamp(0.0, 1.0);
    let (mut at, mut height) = (p, 0.5);
    if shown > 0.0 {
        for layer in (0..=LAYERS).rev() {
            height = layer as f64 / LAYERS as f64;
            at = p + eye_way * (TALL_M * height);
            let tuft = 0.5 + 0.28 * smooth(at / 0.12, 31) + 0.30 * smooth(at / 0.035, 32);
            if tuft >= height {
                break;
            }
        }
        height = 0.5 + (height - 0.5) * shown;
    }
    let wide = layered(p, 14.0, 5, 0.62, footprint_m, 11);
    let blades = layered(at, 0.4, 6, 0.9, footprint_m, 35);
    let dry = (0.40 + 0.42 * wide + 0.16 * blades).clamp(0.0, 1.0);
    let green = DVec3::new(0.085, 0.112, 0.036);
    let straw = DVec3::new(0.215, 0.185, 0.098);
    let depth = 0.55 + 0.85 * height;
    green.lerp(straw, dry * 0.75) * (depth * (1.0 + 0.26 * blades)).max(0.25)
}

/// Stones of a few centimetres, lighter and darker, warmer and colder.
fn gravel(color: DVec3, p: DVec2, footprint_m: f64, strength: f64) -> DVec3 {
    let stones = layered(p, 0.11, 4, 1.0, footprint_m, 41);
    let warm = layered(p, 0.13, 2, 0.8, footprint_m, 47);
    let wide = layered(p, 3.0, 4, 0.6, footprint_m, 45);
    let tint = DVec3::new(1.0 + 0.07 * warm, 1.0, 1.0 - 0.08 * warm);
    color * tint * (1.0 + strength * stones + 0.12 * wide).max(0.15)
}
