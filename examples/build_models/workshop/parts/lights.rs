//! Headlights, number boards, marker lights (wall coordinates: along, up, out). May not enter: numbers
//! themselves (see `glyphs`).

use super::super::shape::{Mesh, eased, panel, turned};
use glam::DVec3;

/// The housing of a twin headlight: centre at `up`, lamps side by side, face at `out`.
pub fn twin_housing(up: f64, out: f64) -> Mesh {
    eased([-0.30, up - 0.145, -0.05], [0.30, up + 0.145, out], 0.03)
}

/// The two lamps of a twin headlight.
pub fn twin_lamps(up: f64, out: f64) -> Mesh {
    Mesh::of([-0.135, 0.135].map(|along| {
        turned(
            DVec3::new(along, up, out),
            DVec3::Z,
            &[(-0.015, 0.105), (0.012, 0.10), (0.028, 0.06)],
            8,
        )
    }))
}

/// A number board's housing around `from`–`to`, its rim at `out`.
pub fn board_housing(from: (f64, f64), to: (f64, f64), out: f64) -> Mesh {
    let rim = 0.03;
    panel(
        (from.0 - rim, from.1 - rim),
        (to.0 + rim, to.1 + rim),
        0.05,
        out,
        0.012,
    )
}

/// The lit face of a number board in its housing.
pub fn board(from: (f64, f64), to: (f64, f64), out: f64) -> Mesh {
    panel(from, to, 0.01, 0.008, 0.003).moved(DVec3::Z * out)
}

/// A small marker light.
pub fn marker(along: f64, up: f64) -> Mesh {
    turned(
        DVec3::new(along, up, 0.0),
        DVec3::Z,
        &[(-0.03, 0.075), (0.04, 0.06)],
        6,
    )
}
