//! Boxes and plates in their common trims. May not enter: what they stand for.

use super::mesh::Mesh;
use super::solid::Solid;
use glam::{DVec2, DVec3};

/// A rectangle, counter-clockwise.
pub fn rectangle(from: (f64, f64), to: (f64, f64)) -> Vec<DVec2> {
    vec![
        DVec2::new(from.0, from.1),
        DVec2::new(to.0, from.1),
        DVec2::new(to.0, to.1),
        DVec2::new(from.0, to.1),
    ]
}

/// A plain box between two corners (low, high).
pub fn slab(low: [f64; 3], high: [f64; 3]) -> Mesh {
    Solid::prism(
        &rectangle((low[0], low[1]), (high[0], high[1])),
        low[2],
        high[2],
    )
    .mesh()
}

/// A box whose edges are all broken by `ease`.
pub fn eased(low: [f64; 3], high: [f64; 3], ease: f64) -> Mesh {
    let octagon = |inset: f64, z: f64| -> Vec<DVec3> {
        let (x0, x1) = (low[0] + inset, high[0] - inset);
        let (y0, y1) = (low[1] + inset, high[1] - inset);
        [
            (x0 + ease, y0),
            (x1 - ease, y0),
            (x1, y0 + ease),
            (x1, y1 - ease),
            (x1 - ease, y1),
            (x0 + ease, y1),
            (x0, y1 - ease),
            (x0, y0 + ease),
        ]
        .map(|(x, y)| DVec3::new(x, y, z))
        .to_vec()
    };
    Solid::loft(&[
        octagon(ease, low[2]),
        octagon(0.0, low[2] + ease),
        octagon(0.0, high[2] - ease),
        octagon(ease, high[2]),
    ])
    .mesh()
}

/// A plate on a wall (local axes: along, up, out): sunk by `sunk`, proud by `proud`, the outer edges
/// broken by `ease`.
pub fn panel(from: (f64, f64), to: (f64, f64), sunk: f64, proud: f64, ease: f64) -> Mesh {
    let ring = |inset: f64, out: f64| -> Vec<DVec3> {
        rectangle(
            (from.0 + inset, from.1 + inset),
            (to.0 - inset, to.1 - inset),
        )
        .into_iter()
        .map(|p| p.extend(out))
        .collect()
    };
    Solid::loft(&[ring(0.0, -sunk), ring(0.0, proud - ease), ring(ease, proud)]).mesh()
}

/// A frame of `width` around an opening on a wall, sunk and proud.
pub fn window_frame(from: (f64, f64), to: (f64, f64), width: f64, sunk: f64, proud: f64) -> Mesh {
    let outer = rectangle(
        (from.0 - width, from.1 - width),
        (to.0 + width, to.1 + width),
    );
    Solid::plate(&outer, &[rectangle(from, to)], -sunk, proud).mesh()
}

/// Louvres on a wall (local axes: along, up, out): one toothed solid between `back` and `front`
/// (along `out`), each slat `pitch` high or a little less, its lip low and outward.
pub fn louvres(from: (f64, f64), to: (f64, f64), back: f64, front: f64, pitch: f64) -> Mesh {
    let count = ((to.1 - from.1) / pitch).ceil().max(1.0) as usize;
    let step = (to.1 - from.1) / count as f64;
    let depth = 0.6 * (front - back);
    let mut profile = vec![DVec2::new(from.1, back)];
    for k in 0..count {
        let low = from.1 + step * k as f64;
        profile.push(DVec2::new(low, front));
        profile.push(DVec2::new(low + 0.8 * step, front - depth));
    }
    profile.push(DVec2::new(to.1, front - depth));
    profile.push(DVec2::new(to.1, back));
    // Profile is (up, out), drawn out along `along`.
    let ring = |along: f64| -> Vec<DVec3> {
        profile
            .iter()
            .map(|p| DVec3::new(along, p.x, p.y))
            .collect()
    };
    Solid::loft(&[ring(from.0), ring(to.0)]).mesh()
}
