//! Cab, windscreen, brow and nose. May not enter: the body behind, lamps, letters.

use super::super::assemblies::doorways;
use super::super::machine::Machine;
use super::super::parts::doors::{DOOR_PROUD_M, Doorway, Leaves};
use super::super::parts::nose::{Level, Nose, Slant};
use super::super::parts::{cab, hood};
use super::super::shape::{Frame, Mesh, Solid, panel, slab, window_frame};
use super::*;
use glam::{DVec2, DVec3};

/// The door and the window on each side.
const DOOR: Doorway = Doorway {
    along: (4.14, 4.70),
    up: (1.40, 3.52),
    leaves: Leaves::HungHigh,
    joint_m: 0.014,
};
const DOOR_WINDOW: ((f64, f64), (f64, f64)) = ((4.23, 2.96), (4.61, 3.44));
const SIDE_WINDOW: ((f64, f64), (f64, f64)) = ((4.82, 2.96), (5.36, 3.48));

/// How far the windscreens lie within their faces.
const GLASS_MARGIN_M: f64 = 0.085;

/// The nose.
pub fn nose() -> Nose {
    let level = |z_m, front_x_m, half_m| Level {
        z_m,
        front_x_m,
        half_m,
    };
    let half = CAB_HALF_M - 2.0 * LIP_M;
    Nose {
        rear_x_m: CAB_X_M.1 - 0.10,
        round_x_m: CAB_X_M.1 + 0.02,
        levels: vec![
            level(SKIRT_Z_M, 6.96, half - 0.04),
            level(1.22, 7.00, half),
            level(1.60, 7.04, half),
            level(2.00, NOSE_TIP_X_M, half),
            level(2.34, 7.02, half),
            level(2.58, 6.94, half - 0.004),
            level(2.76, 6.80, half - 0.012),
            level(2.90, 6.62, half - 0.025),
            level(2.99, 6.42, half - 0.045),
            level(3.05, 6.20, half - 0.075),
        ],
    }
}

/// Adds all of it.
pub fn add(machine: &mut Machine) {
    walls(machine);
    door(machine);
    windscreen(machine);
    roof(machine);
    machine.add("nose", "nose", "nose", "nose", nose().mesh());
    let band = nose().slice((BAND_Z_M.0 + 0.004, BAND_Z_M.1 - 0.004), BAND_PROUD_M);
    machine.add("nose_band", "band round the nose", "nose", "stripe", band);
}

fn walls(machine: &mut Machine) {
    let profile = cab::profile(
        CAB_HALF_M,
        SKIRT_Z_M + LIP_M,
        EAVES_Z_M - LIP_M,
        TOP_Z_M - LIP_M,
    );
    let mut body = hood::body(&profile, CAB_X_M.0 - 0.03, CAB_X_M.1, 0.0, 0.0);
    let (low, high) = SIDE_WINDOW;
    for y in [CAB_HALF_M, -CAB_HALF_M] {
        let outline = hood::on_flank(y, (low.0, high.0), (low.1, high.1));
        body = body.pocket(&outline, cab::WINDOW_POCKET_M);
    }
    body = doorways::cut(body, CAB_HALF_M, &[DOOR]);
    machine.add("cab", "cab", "cab", "cab", body.mesh());
    let flank = Frame::right(CAB_HALF_M);
    let band = slab(
        [DOOR.along.1 + 0.03, BAND_Z_M.0, -0.012],
        [CAB_X_M.1 - 0.02, BAND_Z_M.1, BAND_PROUD_M],
    );
    let sides = band.on(&flank).both_sides();
    machine.add("cab_band", "band on the cab", "cab", "stripe", sides);
}

/// The doors, with panes that swing with them.
fn door(machine: &mut Machine) {
    let flank = Frame::right(CAB_HALF_M);
    let leaf = DOOR.leaf_meshes();
    let lower = panel(
        (DOOR.along.0 + 0.09, DOOR.up.0 + 0.10),
        (DOOR.along.1 - 0.09, BAND_Z_M.0 - 0.06),
        0.0,
        DOOR_PROUD_M + 0.006,
        0.005,
    );
    let leaves = Mesh::of([leaf, lower]).on(&flank).both_sides();
    machine.add("cab_doors", "cab doors", "cab", "cab", leaves);
    let band = slab(
        [DOOR.along.0 + 0.004, BAND_Z_M.0, 0.0045],
        [
            DOOR.along.1 - 0.004,
            BAND_Z_M.1,
            DOOR_PROUD_M + BAND_PROUD_M,
        ],
    );
    let bands = band.on(&flank).both_sides();
    machine.add(
        "cab_door_bands",
        "band on the cab doors",
        "cab",
        "stripe",
        bands,
    );
    let (low, high) = DOOR_WINDOW;
    let pane = slab(
        [low.0, low.1, -0.0045],
        [high.0, high.1, DOOR_PROUD_M + 0.005],
    )
    .on(&flank);
    let (from, to) = SIDE_WINDOW;
    let side = cab::pane(from, to).on(&flank);
    machine.add_sides(
        "glass",
        "cab windows",
        "glass",
        "glass",
        Mesh::of([pane, side]),
    );
    let lip = 0.006;
    let frame = window_frame(
        (low.0 + lip, low.1 + lip),
        (high.0 - lip, high.1 - lip),
        0.04,
        0.0,
        DOOR_PROUD_M + 0.014,
    );
    let trim = Mesh::of([frame, cab::gasket(from, to), DOOR.joint(), DOOR.latch()]);
    let dark = Mesh::of([trim, doorways::lining(&DOOR)]).on(&flank);
    let name = "joints, latches and window trim of the cab";
    machine.add("cab_trim", name, "detail", "black", dark.both_sides());
    doorways::hang_sides(machine, "cab door", &[DOOR], &flank, 75.0);
}

/// The two slanted faces that meet in the middle, right and left.
fn slants() -> [Slant; 2] {
    let (low, high) = (3.03, 3.72);
    let corner = |x: f64, y: f64, z: f64| DVec3::new(x, y, z);
    let (side, tip) = ((5.70, 5.40), (6.10, 5.80));
    let right = [
        corner(side.0, -1.40, low),
        corner(tip.0, 0.0, low),
        corner(tip.1, 0.0, high),
        corner(side.1, -1.40, high),
    ];
    let flip = |p: DVec3| DVec3::new(p.x, -p.y, p.z);
    let left = [right[1], right[0], right[3], right[2]].map(flip);
    [Slant { corners: right }, Slant { corners: left }]
}

fn windscreen(machine: &mut Machine) {
    let [right, left] = slants();
    let ring = |at: usize| -> Vec<DVec3> {
        let [a, b] = if at == 0 { [0, 1] } else { [3, 2] };
        let (outer, tip) = (right.corners[a], right.corners[b]);
        let rear = CAB_X_M.1 - 0.12;
        vec![
            DVec3::new(rear, -1.49, outer.z),
            outer,
            tip,
            DVec3::new(outer.x, -outer.y, outer.z),
            DVec3::new(rear, 1.49, outer.z),
        ]
    };
    let mut solid = Solid::loft(&[ring(0), ring(1)]);
    let (mut panes, mut trim) = (Mesh::default(), Mesh::default());
    for slant in [right, left] {
        solid = solid.pocket(&slant.opening(GLASS_MARGIN_M), cab::WINDOW_POCKET_M);
        panes.add(&slant.pane(GLASS_MARGIN_M, cab::WINDOW_POCKET_M));
        trim.add(&slant.gasket(GLASS_MARGIN_M));
    }
    machine.add("cab_front", "cab front", "cab", "cab", solid.mesh());
    machine.add("windshields", "windshields", "glass", "glass", panes);
    machine.add("window_trim", "windshield trim", "detail", "black", trim);
}

/// The brow over the windscreen, and the cab's roof.
fn roof(machine: &mut Machine) {
    let section = |x: f64, half: f64, top: f64| -> Vec<DVec3> {
        let mut outline = cab::arch(half, EAVES_Z_M, top);
        outline[0] -= DVec2::Y * 0.03;
        let last = outline.len() - 1;
        outline[last] -= DVec2::Y * 0.03;
        outline.iter().map(|p| DVec3::new(x, p.x, p.y)).collect()
    };
    let brow = Solid::loft(&[
        section(CAB_X_M.1 - 0.04, CAB_HALF_M - LIP_M, TOP_Z_M - 0.01),
        section(5.58, 1.49, 4.25),
        section(5.70, 1.43, 4.16),
        section(5.79, 1.31, 4.03),
        section(5.84, 1.12, 3.86),
    ]);
    machine.add(
        "brow",
        "brow over the windshields",
        "cab",
        "cab",
        brow.mesh(),
    );
    let arch = cab::arch(CAB_HALF_M, EAVES_Z_M, TOP_Z_M);
    let skin = cab::roof(&arch, (CAB_X_M.0 - 0.05, CAB_X_M.1 - 0.02), 0.038);
    machine.add("cab_roof", "cab roof", "cab", "roof", skin);
}
