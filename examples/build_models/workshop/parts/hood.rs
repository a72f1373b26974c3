//! Hoods: long bodies of one cross-section along x, with roofs, blisters and grilles sunk into their
//! flanks. May not enter: doors (see `doors`), what stands on a roof (see `roof`).

use super::super::shape::{Frame, Mesh, Solid, louvres};
use glam::{DVec2, DVec3};

/// One cross-section (y, z) at `x`.
pub fn section(x: f64, profile: &[DVec2]) -> Vec<DVec3> {
    profile.iter().map(|p| DVec3::new(x, p.x, p.y)).collect()
}

/// The upright profile of a body: flanks at ± `half_width`, from `bottom` to `top`, its upper corners
/// broken by `shoulder` (0: square).
pub fn upright(half_width: f64, bottom: f64, top: f64, shoulder: f64) -> Vec<DVec2> {
    let mut right = vec![(half_width, bottom)];
    if shoulder > 0.0 {
        right.push((half_width, top - shoulder));
        right.push((half_width - 0.3 * shoulder, top - 0.3 * shoulder));
        right.push((half_width - shoulder, top));
    } else {
        right.push((half_width, top));
    }
    let left: Vec<(f64, f64)> = right.iter().rev().map(|p| (-p.0, p.1)).collect();
    right.into_iter().chain(left).map(DVec2::from).collect()
}

/// A profile drawn in toward the centre line by `inset`, its top by as much, its bottom kept.
fn drawn_in(profile: &[DVec2], inset: f64) -> Vec<DVec2> {
    let bottom = profile.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let reach = profile.iter().map(|p| p.x).fold(0.0, f64::max);
    let low = |p: &DVec2| if p.y > bottom + 1e-9 { inset } else { 0.0 };
    profile
        .iter()
        .map(|p| DVec2::new(p.x * (reach - inset) / reach, p.y - low(p)))
        .collect()
}

/// A body along x whose ends are broken by `ease_rear` and `ease_front` (0: square).
pub fn body(
    profile: &[DVec2],
    rear_x: f64,
    front_x: f64,
    ease_rear: f64,
    ease_front: f64,
) -> Solid {
    let mut rings = Vec::new();
    if ease_rear > 0.0 {
        rings.push(section(rear_x, &drawn_in(profile, ease_rear)));
    }
    rings.push(section(rear_x + ease_rear, profile));
    rings.push(section(front_x - ease_front, profile));
    if ease_front > 0.0 {
        rings.push(section(front_x, &drawn_in(profile, ease_front)));
    }
    Solid::loft(&rings)
}

/// A rectangle on the flank at `y`, for pockets.
pub fn on_flank(y: f64, x: (f64, f64), z: (f64, f64)) -> Vec<DVec3> {
    [(x.0, z.0), (x.1, z.0), (x.1, z.1), (x.0, z.1)]
        .map(|(x, z)| DVec3::new(x, y, z))
        .to_vec()
}

/// A rectangle on the end wall at `x`, for pockets.
pub fn on_end(x: f64, y: (f64, f64), z: (f64, f64)) -> Vec<DVec3> {
    [(y.0, z.0), (y.1, z.0), (y.1, z.1), (y.0, z.1)]
        .map(|(y, z)| DVec3::new(x, y, z))
        .to_vec()
}

/// How deep a grille's pocket is sunk into the flank.
pub const GRILLE_POCKET_M: f64 = 0.05;

/// The louvres that fill a pocket of [`GRILLE_POCKET_M`] on the right flank at `half_width`: their lips
/// lie 8 mm behind the wall, their back and rims are buried in it.
pub fn grille(half_width: f64, x: (f64, f64), z: (f64, f64), pitch: f64) -> Mesh {
    let rim = 0.01;
    louvres(
        (x.0 - rim, z.0 - rim),
        (x.1 + rim, z.1 + rim),
        -GRILLE_POCKET_M - 0.02,
        -0.008,
        pitch,
    )
    .on(&Frame::right(half_width))
}

/// A bulge on a hood's flanks and roof (over a dynamic brake): its lower edges and its ends slope.
pub fn blister(
    half_width: f64,
    from_half_width: f64,
    x: (f64, f64),
    z: (f64, f64),
    slope: f64,
) -> Solid {
    let profile = |half: f64| -> Vec<DVec2> {
        [
            (from_half_width - 0.04, z.0),
            (half, z.0 + slope),
            (half, z.1),
            (-half, z.1),
            (-half, z.0 + slope),
            (-from_half_width + 0.04, z.0),
        ]
        .map(DVec2::from)
        .to_vec()
    };
    let small = from_half_width - 0.02;
    Solid::loft(&[
        section(x.0, &profile(small)),
        section(x.0 + slope, &profile(half_width)),
        section(x.1 - slope, &profile(half_width)),
        section(x.1, &profile(small)),
    ])
}
