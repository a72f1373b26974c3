//! The cab: walls, roof, windows, doors. May not enter: lamps and number boards (see `fittings`).

use super::super::machine::Machine;
use super::super::parts::{cab, hood};
use super::super::shape::{Frame, Mesh, panel};
use super::*;

/// Half the greatest width: over the cab's armrests.
pub const WIDEST_M: f64 = 1.55;

/// The cab: eaves, top of its roof's line.
const CAB_EAVES_Z_M: f64 = 3.96;
pub const CAB_TOP_Z_M: f64 = 4.52;

/// Windows, as (low corner, high corner) in wall coordinates.
type Opening = ((f64, f64), (f64, f64));
const SIDE_WINDOWS: [Opening; 2] = [((4.60, 3.22), (5.36, 3.82)), ((5.48, 3.22), (6.26, 3.82))];
const WINDSHIELDS: [Opening; 2] = [((-0.82, 3.22), (-0.08, 3.84)), ((0.08, 3.22), (0.82, 3.84))];
const DOOR_WINDOW: Opening = ((1.07, 3.22), (1.37, 3.80));
const CORNER_WINDOW: Opening = ((-1.39, 3.22), (-1.05, 3.80));
const CAB_DOOR: Opening = ((0.985, 1.72), (1.455, 3.90));

/// Adds the cab.
pub fn add(machine: &mut Machine) {
    cab_body(machine);
    cab_fittings(machine);
}

fn cab_body(machine: &mut Machine) {
    let lower = hood::body(
        &hood::upright(CAB_HALF_M, FOOT_Z_M + LIP_M, BAND_Z_M + LIP_M, 0.0),
        CAB_X_M.0,
        CAB_X_M.1,
        0.0,
        0.0,
    );
    let hatches = [(4.52, 5.36), (5.48, 6.32)]
        .map(|(from, to)| panel((from, 1.74), (to, 2.18), 0.02, 0.009, 0.006));
    let hatches = Mesh::of(hatches).on(&Frame::right(CAB_HALF_M)).both_sides();
    machine.add(
        "cab_lower",
        "lower cab",
        "cab",
        "madder",
        Mesh::of([lower.mesh(), hatches]),
    );
    let (rear, front) = (CAB_X_M.0 + LIP_M, CAB_X_M.1 - LIP_M);
    let half = CAB_HALF_M - LIP_M;
    let profile = cab::profile(half, BAND_Z_M - 0.03, CAB_EAVES_Z_M, CAB_TOP_Z_M);
    let mut upper = hood::body(&profile, rear, front, 0.0, 0.0);
    let ranges = |w: Opening| ((w.0.0, w.1.0), (w.0.1, w.1.1));
    for window in SIDE_WINDOWS {
        let (x, z) = ranges(window);
        for y in [half, -half] {
            upper = upper.pocket(&hood::on_flank(y, x, z), cab::WINDOW_POCKET_M);
        }
    }
    for window in WINDSHIELDS.into_iter().chain([DOOR_WINDOW, CORNER_WINDOW]) {
        let (y, z) = ranges(window);
        upper = upper.pocket(&hood::on_end(front, y, z), cab::WINDOW_POCKET_M);
    }
    // Rear wall: along runs to the right (−y).
    for window in [DOOR_WINDOW, CORNER_WINDOW] {
        let (y, z) = ranges(window);
        upper = upper.pocket(&hood::on_end(rear, (-y.1, -y.0), z), cab::WINDOW_POCKET_M);
    }
    machine.add("cab_upper", "cab", "cab", "cream", upper.mesh());
    let arch = cab::arch(half, CAB_EAVES_Z_M, CAB_TOP_Z_M);
    let skin = cab::roof(&arch, (CAB_X_M.0 - 0.03, CAB_X_M.1 + 0.03), 0.05);
    machine.add("cab_roof", "cab roof", "cab", "roof grey", skin);
}

fn cab_fittings(machine: &mut Machine) {
    let half = CAB_HALF_M - LIP_M;
    let (rear_wall, front_wall) = (
        Frame::rear(CAB_X_M.0 + LIP_M),
        Frame::front(CAB_X_M.1 - LIP_M),
    );
    let side_wall = Frame::right(half);
    let (mut panes, mut gaskets) = (Mesh::default(), Mesh::default());
    for (low, high) in SIDE_WINDOWS {
        panes.add(&cab::pane(low, high).on(&side_wall));
        gaskets.add(&cab::gasket(low, high).on(&side_wall));
    }
    machine.add(
        "glass_right",
        "engineer-side cab windows",
        "glass",
        "glass",
        panes.clone(),
    );
    machine.add(
        "glass_left",
        "conductor-side cab windows",
        "glass",
        "glass",
        panes.mirrored(),
    );
    let mut gaskets = gaskets.both_sides();
    let mut shields = Mesh::default();
    for (low, high) in WINDSHIELDS.into_iter().chain([CORNER_WINDOW]) {
        shields.add(&cab::pane(low, high).on(&front_wall));
        gaskets.add(&cab::gasket(low, high).on(&front_wall));
    }
    shields.add(&cab::pane(DOOR_WINDOW.0, DOOR_WINDOW.1).on(&front_wall));
    machine.add("windshields", "windshields", "glass", "glass", shields);
    let rear_panes =
        [DOOR_WINDOW, CORNER_WINDOW].map(|(low, high)| cab::pane(low, high).on(&rear_wall));
    machine.add(
        "glass_rear",
        "rear cab windows",
        "glass",
        "glass",
        Mesh::of(rear_panes),
    );
    gaskets.add(&cab::gasket(CORNER_WINDOW.0, CORNER_WINDOW.1).on(&rear_wall));
    let (front, rear) = (Frame::front(CAB_X_M.1), Frame::rear(CAB_X_M.0));
    let (low, high) = CAB_DOOR;
    let bottom = cab::door_bottom(low, (high.0, BAND_Z_M - LIP_M));
    let top = cab::door_top((low.0, BAND_Z_M), high, DOOR_WINDOW);
    let bottoms = Mesh::of([bottom.clone().on(&front), bottom.on(&rear)]);
    machine.add("cab_doors_lower", "cab doors", "cab", "madder", bottoms);
    let tops = Mesh::of([top.clone().on(&front), top.on(&rear)]);
    machine.add("cab_doors_upper", "upper cab doors", "cab", "cream", tops);
    let rests = cab::armrest(half, WIDEST_M, (4.56, 6.30), (3.135, 3.185)).both_sides();
    let wipers = Mesh::of([
        cab::wiper((-0.45, 3.92), (-0.36, 3.50)).on(&front_wall),
        cab::wiper((0.45, 3.92), (0.54, 3.50)).on(&front_wall),
    ]);
    let trim = Mesh::of([gaskets, rests, wipers]);
    machine.add(
        "window_trim",
        "window trim and wipers",
        "detail",
        "black",
        trim,
    );
}
