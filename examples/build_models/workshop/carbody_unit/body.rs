//! The full-width body behind the cab: walls with portholes, grilles and doors, roof with fans.
//! May not enter: cab and nose.

use super::super::assemblies::doorways;
use super::super::machine::Machine;
use super::super::parts::doors::{DOOR_PROUD_M, Doorway, Leaves};
use super::super::parts::{cab, hood, roof};
use super::super::shape::{Frame, Mesh, panel, ring, slab, turned};
use super::*;
use glam::DVec3;

/// Portholes: x, height and radius.
const PORTHOLES_X_M: [f64; 4] = [-4.55, -2.15, 0.25, 2.65];
const PORTHOLE_Z_M: f64 = 2.82;
const PORTHOLE_RADIUS_M: f64 = 0.20;

/// The grilles below the eaves: first x, how many, length, gap, and z range.
const GRILLES: (f64, usize, f64, f64) = (-5.50, 6, 1.36, 0.09);
const GRILLE_Z_M: (f64, f64) = (3.24, 3.58);

/// The engine-room door on each side, and the one in the rear wall.
const SIDE_DOOR: Doorway = Doorway {
    along: (-6.42, -5.78),
    up: (1.36, 3.13),
    leaves: Leaves::HungLow,
    joint_m: 0.014,
};
const REAR_DOOR: Doorway = Doorway {
    along: (-0.34, 0.34),
    up: (1.42, 3.36),
    ..SIDE_DOOR
};

/// Battens over the seams of the walls.
const BATTENS_X_M: [f64; 4] = [-5.66, -3.36, 1.46, 3.84];

/// Adds it.
pub fn add(machine: &mut Machine) {
    walls(machine);
    portholes(machine);
    doors(machine);
    bands(machine);
    top(machine);
}

fn walls(machine: &mut Machine) {
    let profile = cab::profile(BODY_HALF_M, SKIRT_Z_M, EAVES_Z_M, TOP_Z_M);
    let mut body = hood::body(&profile, REAR_X_M, CAB_X_M.0, 0.0, 0.0);
    let mut slats = Mesh::default();
    let (start, count, length, gap) = GRILLES;
    for k in 0..count {
        let from = start + k as f64 * (length + gap);
        let x = (from, from + length);
        for y in [BODY_HALF_M, -BODY_HALF_M] {
            let outline = hood::on_flank(y, x, GRILLE_Z_M);
            body = body.pocket(&outline, hood::GRILLE_POCKET_M);
        }
        slats.add(&hood::grille(BODY_HALF_M, x, GRILLE_Z_M, 0.055));
    }
    for x in PORTHOLES_X_M {
        for y in [BODY_HALF_M, -BODY_HALF_M] {
            let outline = circle(x, PORTHOLE_RADIUS_M);
            let outline: Vec<DVec3> = outline.iter().map(|p| DVec3::new(p.x, y, p.z)).collect();
            body = body.pocket(&outline, cab::WINDOW_POCKET_M);
        }
    }
    body = doorways::cut(body, BODY_HALF_M, &[SIDE_DOOR]);
    body = doorways::cut_wall(body, &Frame::rear(REAR_X_M), &REAR_DOOR);
    machine.add("carbody", "body", "hood", "hood", body.mesh());
    machine.add_sides(
        "radiator_grilles",
        "side grilles",
        "grille",
        "grille",
        slats,
    );
    let batten = |x: f64| {
        panel(
            (x - 0.028, SKIRT_Z_M + 0.02),
            (x + 0.028, GRILLE_Z_M.0 - 0.05),
            0.017,
            0.0115,
            0.004,
        )
    };
    let battens = Mesh::of(BATTENS_X_M.map(batten)).on(&Frame::right(BODY_HALF_M));
    machine.add(
        "battens",
        "battens of the body",
        "hood",
        "hood",
        battens.both_sides(),
    );
}

/// A circle on the flank about x, as corners with y = 0.
fn circle(x: f64, radius: f64) -> Vec<DVec3> {
    let corner = |k: usize| {
        let (sin, cos) = (std::f64::consts::TAU * k as f64 / 16.0).sin_cos();
        DVec3::new(x - radius * sin, 0.0, PORTHOLE_Z_M - radius * cos)
    };
    (0..16).map(corner).collect()
}

fn portholes(machine: &mut Machine) {
    let (mut panes, mut rims) = (Mesh::default(), Mesh::default());
    for x in PORTHOLES_X_M {
        let at = DVec3::new(x, -BODY_HALF_M, PORTHOLE_Z_M);
        let radius = PORTHOLE_RADIUS_M;
        let depth = cab::WINDOW_POCKET_M;
        panes.add(&turned(
            at,
            DVec3::NEG_Y,
            &[(-depth - 0.02, radius + 0.008), (-0.022, radius + 0.008)],
            16,
        ));
        rims.add(&ring(
            at,
            DVec3::NEG_Y,
            &[
                (-0.012, radius - 0.008),
                (-0.012, radius + 0.04),
                (0.010, radius + 0.035),
                (0.010, radius - 0.006),
            ],
            16,
        ));
    }
    machine.add_sides("portholes", "portholes", "glass", "glass", panes);
    machine.add(
        "porthole_rims",
        "rims of the portholes",
        "detail",
        "black",
        rims.both_sides(),
    );
}

fn doors(machine: &mut Machine) {
    let (flank, rear) = (Frame::right(BODY_HALF_M), Frame::rear(REAR_X_M));
    let leaf = SIDE_DOOR.leaf_meshes().on(&flank);
    machine.add_sides("side_door", "engine-room door", "hood", "hood", leaf);
    let both = |of: fn(&Doorway) -> Mesh| {
        let sides = of(&SIDE_DOOR).on(&flank).both_sides();
        Mesh::of([sides, of(&REAR_DOOR).on(&rear)])
    };
    machine.add(
        "door_joints",
        "joints of the doors",
        "hood",
        "black",
        both(Doorway::joint),
    );
    let dark = Mesh::of([both(Doorway::latch), both(doorways::lining)]);
    machine.add("door_latches", "door latches", "detail", "black", dark);
    let back = REAR_DOOR.leaf_meshes().on(&rear);
    machine.add("rear_door", "rear door", "hood", "hood", back);
    doorways::hang_sides(machine, "engine-room door", &[SIDE_DOOR], &flank, 75.0);
    doorways::hang(machine, "rear door", &[REAR_DOOR], &rear, 85.0);
}

/// The painted band along the sides, over the doors, and across the rear.
fn bands(machine: &mut Machine) {
    let flank = Frame::right(BODY_HALF_M);
    let band = |from: f64, to: f64, out: f64| {
        slab(
            [from, BAND_Z_M.0, out - 0.0085],
            [to, BAND_Z_M.1, out + BAND_PROUD_M],
        )
    };
    let (from, to) = SIDE_DOOR.along;
    let wall = Mesh::of([
        band(REAR_X_M + 0.03, from - 0.04, 0.0),
        band(to + 0.03, CAB_X_M.0 - 0.01, 0.0),
    ]);
    let over_door = band(from + 0.004, to - 0.004, DOOR_PROUD_M);
    let sides = Mesh::of([wall, over_door]).on(&flank);
    machine.add_sides("band", "band", "hood", "stripe", sides);
}

fn top(machine: &mut Machine) {
    let arch = cab::arch(BODY_HALF_M, EAVES_Z_M, TOP_Z_M);
    let skin = cab::roof(&arch, (REAR_X_M - 0.02, CAB_X_M.0 - 0.02), 0.05);
    let hatches = [
        roof::hatch((-1.95, -1.10), 0.36, TOP_Z_M - 0.02, 0.075),
        roof::hatch((0.02, 0.92), 0.36, TOP_Z_M - 0.02, 0.075),
        roof::hatch((2.0, 3.4), 0.36, TOP_Z_M - 0.02, 0.075),
    ];
    let all = Mesh::of([skin].into_iter().chain(hatches));
    machine.add("hood_roof", "roof", "roof", "roof", all);
    let fans = [-6.15, -5.05, -3.95, -2.85].map(|x| roof::fan(x, TOP_Z_M + 0.005, 4.46, 0.46, 4));
    machine.add(
        "radiator_fans",
        "radiator fans",
        "roof",
        "grille",
        Mesh::of(fans),
    );
    let stacks = [-0.54, 1.46].map(|x| roof::exhaust(x, TOP_Z_M + 0.01, 4.50, 0.22, 0.17));
    machine.add(
        "exhaust",
        "exhaust stacks",
        "roof",
        "black",
        Mesh::of(stacks),
    );
}
