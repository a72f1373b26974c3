//! The cab: roof, windows, doors, armrests. May not enter: lights and number boards (see `lights`).

use super::super::shape::polygon::stroke;
use super::super::shape::{Frame, Mesh, Solid, panel, rectangle, slab, tube, window_frame};
use super::doors::DOOR_PROUD_M;
use glam::{DVec2, DVec3};

/// How deep a window's pocket is sunk into the wall.
pub const WINDOW_POCKET_M: f64 = 0.045;

/// A pane in a pocket of [`WINDOW_POCKET_M`], its face 22 mm behind the wall (wall coordinates).
pub fn pane(from: (f64, f64), to: (f64, f64)) -> Mesh {
    let rim = 0.008;
    slab(
        [from.0 - rim, from.1 - rim, -WINDOW_POCKET_M - 0.02],
        [to.0 + rim, to.1 + rim, -0.022],
    )
}

/// The rubber around a window.
pub fn gasket(from: (f64, f64), to: (f64, f64)) -> Mesh {
    // The opening is a little narrower than the pocket, so that no two faces lie in one plane.
    let lip = 0.007;
    window_frame(
        (from.0 + lip, from.1 + lip),
        (to.0 - lip, to.1 - lip),
        0.035,
        0.012,
        0.008,
    )
}

/// A wiper on a windshield.
pub fn wiper(pivot: (f64, f64), tip: (f64, f64)) -> Mesh {
    let arm = tube(
        &[
            DVec3::new(pivot.0, pivot.1, -0.01),
            DVec3::new(pivot.0, pivot.1, 0.014),
            DVec3::new(tip.0, tip.1, -0.010),
        ],
        0.006,
        4,
    );
    let blade = tube(
        &[
            DVec3::new(tip.0 - 0.02, tip.1 - 0.19, -0.018),
            DVec3::new(tip.0 + 0.02, tip.1 + 0.19, -0.018),
        ],
        0.007,
        4,
    );
    Mesh::of([arm, blade])
}

/// The upper half of a walk-through door with an opening for its window (wall coordinates); the
/// window's pocket lies in the wall behind.
pub fn door_top(from: (f64, f64), to: (f64, f64), window: ((f64, f64), (f64, f64))) -> Mesh {
    // A little narrower than the pocket, so that no two faces lie in one plane.
    let lip = 0.008;
    let opening = rectangle(
        (window.0.0 + lip, window.0.1 + lip),
        (window.1.0 - lip, window.1.1 - lip),
    );
    Solid::plate(&rectangle(from, to), &[opening], -0.02, DOOR_PROUD_M).mesh()
}

/// The dark joint around a walk-through door and between its halves: a plate behind it that shows at its
/// edges, with an opening for its window.
pub fn door_joint(from: (f64, f64), to: (f64, f64), window: ((f64, f64), (f64, f64))) -> Mesh {
    let gap = 0.012;
    let outer = rectangle((from.0 - gap, from.1 - gap), (to.0 + gap, to.1 + gap));
    let opening = rectangle(
        (window.0.0 - 0.012, window.0.1 - 0.012),
        (window.1.0 + 0.012, window.1.1 + 0.012),
    );
    Solid::plate(&outer, &[opening], -0.013, 0.0065).mesh()
}

/// The lower half of a walk-through door: leaf, raised panel and handle.
pub fn door_bottom(from: (f64, f64), to: (f64, f64)) -> Mesh {
    let leaf = slab([from.0, from.1, -0.02], [to.0, to.1, DOOR_PROUD_M]);
    let raised = panel(
        (from.0 + 0.10, from.1 + 0.12),
        (to.0 - 0.08, to.1 - 0.16),
        0.0,
        DOOR_PROUD_M + 0.008,
        0.006,
    );
    let middle = 0.4 * from.1 + 0.6 * to.1;
    let handle = slab(
        [from.0 + 0.04, middle - 0.09, 0.0],
        [from.0 + 0.065, middle + 0.09, DOOR_PROUD_M + 0.035],
    );
    Mesh::of([leaf, raised, handle])
}

/// The padded armrest below a side window (right side): from the wall out to `reach` from the centre line.
pub fn armrest(half_width: f64, reach: f64, x: (f64, f64), z: (f64, f64)) -> Mesh {
    panel((x.0, z.0), (x.1, z.1), 0.03, reach - half_width, 0.006).on(&Frame::right(half_width))
}

/// The line of a roof over a cab, from the right eave over the top to the left one (y, z).
pub fn arch(half_width: f64, eaves: f64, top: f64) -> Vec<DVec2> {
    let rise = top - eaves;
    let right = [
        (1.0, 0.0),
        (0.97, 0.20),
        (0.84, 0.56),
        (0.62, 0.81),
        (0.32, 0.96),
    ]
    .map(|(across, up)| (-across * half_width, eaves + up * rise));
    let left = right.iter().rev().map(|p| (-p.0, p.1));
    right.into_iter().chain(left).map(DVec2::from).collect()
}

/// The profile of a cab under that line, down to `bottom`.
pub fn profile(half_width: f64, bottom: f64, eaves: f64, top: f64) -> Vec<DVec2> {
    let mut outline = vec![DVec2::new(half_width, bottom)];
    outline.extend(arch(half_width, eaves, top).into_iter().rev());
    outline.push(DVec2::new(-half_width, bottom));
    outline
}

/// The roof itself: a skin of `thickness` along the arch, its eaves hanging a little lower than the arch begins.
pub fn roof(arch: &[DVec2], x: (f64, f64), thickness: f64) -> Mesh {
    let mut line = vec![arch[0] - DVec2::Y * 0.02];
    line.extend_from_slice(&arch[1..arch.len() - 1]);
    line.push(arch[arch.len() - 1] - DVec2::Y * 0.02);
    Solid::prism(&stroke(&line, thickness), x.0, x.1)
        .on(&Frame::front(0.0))
        .mesh()
}
