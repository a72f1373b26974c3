//! The long hood and the high short one: bodies, doors, grilles, roof. May not enter: the cab, lamps, letters.

use super::super::assemblies::doorways::{self, HoodDoors};
use super::super::machine::Machine;
use super::super::parts::doors::{Doorway, Leaves};
use super::super::parts::{hood, roof};
use super::super::shape::{Frame, Mesh, panel};
use super::*;

/// Top of the fans.
const FAN_TOP_Z_M: f64 = 4.46;

/// Radiator shutters at the rear, filter grilles ahead of the cab's rear wall: x ranges, common z range.
const RADIATORS_X_M: [(f64, f64); 2] = [(-6.96, -5.72), (-5.60, -4.36)];
const FILTERS_X_M: [(f64, f64); 2] = [(0.60, 1.52), (1.62, 2.54)];
const GRILLE_Z_M: (f64, f64) = (3.40, 3.82);

/// A belt between the doors and the grilles.
const BELT_Z_M: (f64, f64) = (3.12, 3.30);

/// Single doors: at the rear (along runs to the right), in the nose's front, and on its flanks.
const REAR_DOOR: Doorway = Doorway {
    along: (-0.32, 0.32),
    up: (1.74, 2.96),
    leaves: Leaves::HungLow,
    joint_m: 0.014,
};
const NOSE_DOOR: Doorway = Doorway {
    along: (-0.30, 0.30),
    up: (1.74, 2.80),
    ..REAR_DOOR
};
const NOSE_HATCH: Doorway = Doorway {
    along: (5.10, 5.92),
    up: (1.74, 2.90),
    leaves: Leaves::Pair(0.014),
    joint_m: 0.014,
};

/// Adds both hoods.
pub fn add(machine: &mut Machine) {
    let doors = hood_doors();
    long_hood(machine, &doors);
    doors.add(machine);
    rear_door(machine);
    hood_top(machine);
    short_hood(machine);
    belts(machine);
}

fn hood_doors() -> HoodDoors {
    HoodDoors {
        half_m: HOOD_HALF_M,
        row: DOOR_ROW,
        others: vec![
            Doorway {
                along: (1.92, 2.66),
                up: (DOOR_ROW.bottom_m, DOOR_ROW.top_m),
                leaves: Leaves::Pair(DOOR_ROW.seam_m),
                joint_m: DOOR_ROW.seam_m,
            },
            Doorway {
                along: (-6.62, -6.06),
                up: (DOOR_ROW.bottom_m, DOOR_ROW.top_m),
                leaves: Leaves::HungLow,
                joint_m: DOOR_ROW.seam_m,
            },
        ],
        engine_x_m: (-4.2, 1.6),
    }
}

fn long_hood(machine: &mut Machine, doors: &HoodDoors) {
    let lower = hood::body(
        &hood::upright(HOOD_HALF_M, FOOT_Z_M, BAND_Z_M, 0.0),
        HOOD_REAR_X_M,
        CAB_X_M.0 + 0.05,
        0.06,
        0.0,
    );
    let lower = doorways::cut_wall(doors.cut(lower), &Frame::rear(HOOD_REAR_X_M), &REAR_DOOR);
    machine.add("hood_lower", "long hood", "hood", "hood", lower.mesh());
    let half = HOOD_HALF_M - LIP_M;
    let mut upper = hood::body(
        &hood::upright(half, BAND_Z_M - 0.02, HOOD_EAVES_Z_M, 0.0),
        HOOD_REAR_X_M + LIP_M,
        CAB_X_M.0 + 0.04,
        0.06,
        0.0,
    );
    let (mut radiators, mut filters) = (Mesh::default(), Mesh::default());
    for (places, grilles) in [(RADIATORS_X_M, &mut radiators), (FILTERS_X_M, &mut filters)] {
        for x in places {
            for y in [half, -half] {
                let outline = hood::on_flank(y, x, GRILLE_Z_M);
                upper = upper.pocket(&outline, hood::GRILLE_POCKET_M);
            }
            grilles.add(&hood::grille(half, x, GRILLE_Z_M, 0.07));
        }
    }
    machine.add(
        "hood_upper",
        "upper long hood",
        "hood",
        "hood upper",
        upper.mesh(),
    );
    machine.add_sides(
        "radiator_grilles",
        "radiator shutters",
        "grille",
        "grille",
        radiators,
    );
    machine.add(
        "intakes",
        "air filters",
        "grille",
        "grille",
        filters.both_sides(),
    );
}

fn rear_door(machine: &mut Machine) {
    let rear = Frame::rear(HOOD_REAR_X_M);
    let leaf = REAR_DOOR.leaf_meshes().on(&rear);
    machine.add("rear_door", "rear hood door", "hood", "hood", leaf);
    let trim = Mesh::of([
        REAR_DOOR.joint(),
        REAR_DOOR.latch(),
        doorways::lining(&REAR_DOOR),
    ]);
    let name = "joint and latch of the rear door";
    machine.add("rear_door_joint", name, "detail", "black", trim.on(&rear));
    doorways::hang(machine, "rear hood door", &[REAR_DOOR], &rear, 100.0);
}

fn hood_top(machine: &mut Machine) {
    let over =
        |x: (f64, f64)| roof::hood_roof(HOOD_HALF_M - 0.03, HOOD_EAVES_Z_M, ROOF_Z_M, 0.1, x, 0.05);
    let long = over((HOOD_REAR_X_M + 0.05, CAB_X_M.0 + 0.03));
    let fans = [-6.50, -5.25].map(|x| roof::fan(x, ROOF_Z_M, FAN_TOP_Z_M, 0.55, 5));
    machine.add(
        "radiator_fans",
        "radiator fans",
        "roof",
        "grille",
        Mesh::of(fans),
    );
    let brake = roof::fan(2.0, ROOF_Z_M, FAN_TOP_Z_M - 0.02, 0.42, 4);
    machine.add("blower", "blower on the roof", "roof", "grille", brake);
    let stacks = [-2.45, -0.35].map(|x| roof::exhaust(x, ROOF_Z_M, 4.50, 0.15, 0.26));
    machine.add(
        "exhaust",
        "exhaust stacks",
        "roof",
        "black",
        Mesh::of(stacks),
    );
    let hatches = [
        roof::hatch((-4.45, -2.80), 0.40, ROOF_Z_M, 0.04),
        roof::hatch((-2.02, -0.78), 0.40, ROOF_Z_M, 0.04),
        roof::hatch((0.06, 1.40), 0.40, ROOF_Z_M, 0.04),
    ];
    let short = over((CAB_X_M.1 - 0.03, NOSE_FRONT_X_M - 0.05));
    let all = Mesh::of([long, short].into_iter().chain(hatches));
    machine.add("hood_roof", "hood roofs", "roof", "roof", all);
}

fn short_hood(machine: &mut Machine) {
    let (front, flank) = (Frame::front(NOSE_FRONT_X_M), Frame::right(HOOD_HALF_M));
    let shape = hood::body(
        &hood::upright(HOOD_HALF_M, FOOT_Z_M - LIP_M, HOOD_EAVES_Z_M, 0.0),
        CAB_X_M.1 - 0.05,
        NOSE_FRONT_X_M,
        0.0,
        0.06,
    );
    let shape = doorways::cut_wall(shape, &front, &NOSE_DOOR);
    let shape = doorways::cut(shape, HOOD_HALF_M, &[NOSE_HATCH]);
    machine.add("nose", "short hood", "nose", "nose", shape.mesh());
    let leaf = NOSE_DOOR.leaf_meshes().on(&front);
    machine.add("nose_door", "nose door", "nose", "nose", leaf);
    let hatches = NOSE_HATCH.leaf_meshes().on(&flank).both_sides();
    machine.add(
        "nose_hatches",
        "short hood's side doors",
        "nose",
        "nose",
        hatches,
    );
    let both = |of: fn(&Doorway) -> Mesh| {
        let hatches = of(&NOSE_HATCH).on(&flank).both_sides();
        Mesh::of([of(&NOSE_DOOR).on(&front), hatches])
    };
    let joints = both(Doorway::joint);
    machine.add(
        "nose_joints",
        "joints of the short hood's doors",
        "nose",
        "black",
        joints,
    );
    let latches = Mesh::of([both(Doorway::latch), both(doorways::lining)]);
    machine.add(
        "nose_latches",
        "short hood's latches",
        "detail",
        "black",
        latches,
    );
    doorways::hang(machine, "nose door", &[NOSE_DOOR], &front, 100.0);
    let name = "short hood door";
    doorways::hang_sides(machine, name, &[NOSE_HATCH], &flank, doorways::OPEN_DEG);
}

/// A painted belt round both hoods.
fn belts(machine: &mut Machine) {
    let flank = Frame::right(HOOD_HALF_M);
    let belt =
        |from: f64, to: f64| panel((from, BELT_Z_M.0), (to, BELT_Z_M.1), 0.015, 0.007, 0.003);
    let sides = Mesh::of([
        belt(HOOD_REAR_X_M + 0.08, CAB_X_M.0 - 0.02),
        belt(CAB_X_M.1 + 0.02, NOSE_FRONT_X_M - 0.08),
    ])
    .on(&flank)
    .both_sides();
    let across = belt(-HOOD_HALF_M + 0.07, HOOD_HALF_M - 0.07);
    let rear = across.clone().on(&Frame::rear(HOOD_REAR_X_M));
    machine.add(
        "hood_belt",
        "belt of the hoods",
        "hood",
        "stripe",
        Mesh::of([sides, rear]),
    );
    let front = across.on(&Frame::front(NOSE_FRONT_X_M));
    machine.add("nose_stripe", "nose stripe", "nose", "stripe", front);
}
