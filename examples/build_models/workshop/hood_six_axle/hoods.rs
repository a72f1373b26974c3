//! The long and the short hood: bodies, doors, grilles, roof. May not enter: the cab, lamps, letters.

use super::super::assemblies::doorways::{self, HoodDoors};
use super::super::machine::Machine;
use super::super::parts::doors::{Doorway, Leaves};
use super::super::parts::{hood, roof};
use super::super::shape::{Frame, Mesh, Solid, panel};
use super::*;

/// Roof of the long hood and of the blister.
pub const ROOF_Z_M: f64 = 4.42;
const BLISTER_ROOF_Z_M: f64 = 4.436;

/// Top of the fans.
const FAN_TOP_Z_M: f64 = 4.66;

/// Radiator grilles and air intake on the upper hood: x ranges, and their common z range.
const RADIATORS_X_M: [(f64, f64); 3] = [(-8.52, -7.30), (-7.20, -5.98), (-5.88, -4.66)];
const INTAKE_X_M: (f64, f64) = (3.16, 4.14);
const GRILLE_Z_M: (f64, f64) = (3.27, 3.97);

/// The blister over the dynamic brake: half width, x and z range, slope; its grilles.
const BLISTER_HALF_M: f64 = 1.05;
const BLISTER_X_M: (f64, f64) = (-1.30, 1.90);
const BLISTER_Z_M: (f64, f64) = (3.24, 4.07);
const BLISTER_SLOPE_M: f64 = 0.13;
const BLISTER_GRILLES_X_M: [(f64, f64); 2] = [(-1.02, 0.22), (0.38, 1.62)];
const BLISTER_GRILLE_Z_M: (f64, f64) = (3.48, 3.98);

/// Single doors: at the rear (along runs to the right), in the nose's front and on its flanks.
const REAR_DOOR: Doorway = Doorway {
    along: (-0.34, 0.30),
    up: (1.80, 2.98),
    leaves: Leaves::HungLow,
    joint_m: 0.014,
};
const NOSE_DOOR: Doorway = Doorway {
    along: (-0.29, 0.29),
    up: (1.78, 2.62),
    ..REAR_DOOR
};
const NOSE_HATCH: Doorway = Doorway {
    along: (7.05, 7.75),
    up: (1.80, 2.50),
    ..REAR_DOOR
};

/// Adds both hoods.
pub fn add(machine: &mut Machine) {
    let doors = hood_doors();
    long_hood(machine, &doors);
    doors.add(machine);
    rear_door(machine);
    hood_top(machine);
    nose(machine);
}

fn long_hood(machine: &mut Machine, doors: &HoodDoors) {
    let lower = hood::body(
        &hood::upright(HOOD_HALF_M, FOOT_Z_M, BAND_Z_M, 0.0),
        HOOD_REAR_X_M,
        CAB_X_M.0 + 0.05,
        0.04,
        0.0,
    );
    let lower = doors.cut(lower);
    let rear = Frame::rear(HOOD_REAR_X_M);
    let lower = doorways::cut_wall(lower, &rear, &REAR_DOOR);
    machine.add("hood_lower", "long hood", "hood", "hood", lower.mesh());
    let half = HOOD_HALF_M - LIP_M;
    let mut upper = hood::body(
        &hood::upright(half, BAND_Z_M - 0.02, HOOD_EAVES_Z_M, 0.0),
        HOOD_REAR_X_M + LIP_M,
        CAB_X_M.0 + 0.04,
        0.04,
        0.0,
    );
    let mut radiators = Mesh::default();
    for x in RADIATORS_X_M {
        upper = both_flanks(upper, half, x, GRILLE_Z_M);
        radiators.add(&hood::grille(half, x, GRILLE_Z_M, 0.08));
    }
    upper = both_flanks(upper, half, INTAKE_X_M, GRILLE_Z_M);
    let intake = hood::grille(half, INTAKE_X_M, GRILLE_Z_M, 0.08);
    let mut bulge = hood::blister(
        BLISTER_HALF_M,
        half,
        BLISTER_X_M,
        BLISTER_Z_M,
        BLISTER_SLOPE_M,
    );
    let mut brake_grilles = Mesh::default();
    for x in BLISTER_GRILLES_X_M {
        bulge = both_flanks(bulge, BLISTER_HALF_M, x, BLISTER_GRILLE_Z_M);
        brake_grilles.add(&hood::grille(BLISTER_HALF_M, x, BLISTER_GRILLE_Z_M, 0.08));
    }
    let upper_panel = panel((1.98, 3.24), (3.02, 3.98), 0.02, 0.010, 0.006);
    let panels = upper_panel.on(&Frame::right(half)).both_sides();
    let upper = Mesh::of([upper.mesh(), panels]);
    let mut put = |group: &str, name: &str, role, paint, mesh| {
        machine.add(group, name, role, paint, mesh);
    };
    put(
        "blister",
        "dynamic-brake blister",
        "hood",
        "hood upper",
        bulge.mesh(),
    );
    put("hood_upper", "upper long hood", "hood", "hood upper", upper);
    put(
        "intakes",
        "air intakes",
        "grille",
        "grille",
        intake.both_sides(),
    );
    let brakes = brake_grilles.both_sides();
    put(
        "brake_grilles",
        "dynamic-brake grilles",
        "grille",
        "grille",
        brakes,
    );
    machine.add_sides(
        "radiator_grilles",
        "radiator grilles",
        "grille",
        "grille",
        radiators,
    );
}

/// Pockets for grilles on both flanks.
fn both_flanks(solid: Solid, half: f64, x: (f64, f64), z: (f64, f64)) -> Solid {
    solid
        .pocket(&hood::on_flank(half, x, z), hood::GRILLE_POCKET_M)
        .pocket(&hood::on_flank(-half, x, z), hood::GRILLE_POCKET_M)
}

/// The doors low on the long hood.
fn hood_doors() -> HoodDoors {
    let up = (DOOR_ROW.bottom_m, DOOR_ROW.top_m);
    // The electrical cabinet behind the cab closes with two leaves, a rear compartment with one.
    let other = |along, leaves| Doorway {
        along,
        up,
        leaves,
        joint_m: DOOR_ROW.seam_m,
    };
    HoodDoors {
        half_m: HOOD_HALF_M,
        row: DOOR_ROW,
        others: vec![
            other((3.20, 4.08), Leaves::Pair(DOOR_ROW.seam_m)),
            other((-8.76, -8.26), Leaves::HungLow),
        ],
        engine_x_m: (-4.40, 2.90),
    }
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
    let x = (HOOD_REAR_X_M + 0.05, CAB_X_M.0 + 0.03);
    let main = roof::hood_roof(HOOD_HALF_M - 0.03, HOOD_EAVES_Z_M, ROOF_Z_M, 0.1, x, 0.04);
    let over_blister = roof::hood_roof(
        BLISTER_HALF_M - 0.02,
        HOOD_EAVES_Z_M + 0.012,
        BLISTER_ROOF_Z_M,
        0.1,
        (BLISTER_X_M.0 + 0.12, BLISTER_X_M.1 - 0.12),
        0.06,
    );
    let fans = |places: &[f64], roof_z: f64| {
        Mesh::of(
            places
                .iter()
                .map(|x| roof::fan(*x, roof_z, FAN_TOP_Z_M, 0.58, 4)),
        )
    };
    machine.add(
        "radiator_fans",
        "radiator fans",
        "roof",
        "grille",
        fans(&[-7.91, -6.59, -5.27], ROOF_Z_M),
    );
    machine.add(
        "brake_fans",
        "dynamic-brake fans",
        "roof",
        "grille",
        fans(&[-0.62, 1.22], BLISTER_ROOF_Z_M),
    );
    let stack = roof::exhaust(0.30, BLISTER_ROOF_Z_M, 4.61, 0.24, 0.30);
    machine.add("exhaust", "exhaust stack", "roof", "black", stack);
    let hatches = [
        roof::hatch((-4.30, -1.55), 0.40, ROOF_Z_M, 0.045),
        roof::hatch((2.05, 3.30), 0.40, ROOF_Z_M, 0.035),
    ];
    let top = Mesh::of([main, over_blister].into_iter().chain(hatches));
    machine.add("hood_roof", "hood roof", "roof", "roof", top);
}

fn nose(machine: &mut Machine) {
    let shape = hood::body(
        &hood::upright(HOOD_HALF_M, FOOT_Z_M - LIP_M, 2.98, 0.14),
        CAB_X_M.1 - 0.05,
        NOSE_FRONT_X_M,
        0.0,
        0.05,
    );
    let (front, flank) = (Frame::front(NOSE_FRONT_X_M), Frame::right(HOOD_HALF_M));
    let shape = doorways::cut_wall(shape, &front, &NOSE_DOOR);
    let shape = doorways::cut_wall(shape, &flank, &NOSE_HATCH);
    let shape = doorways::cut_wall(shape, &Frame::left(HOOD_HALF_M), &mirrored(&NOSE_HATCH));
    machine.add("nose", "short hood", "nose", "nose", shape.mesh());
    let leaf = NOSE_DOOR.leaf_meshes().on(&front);
    machine.add("nose_door", "nose door", "nose", "nose", leaf);
    let hatches = NOSE_HATCH.leaf_meshes().on(&flank).both_sides();
    machine.add(
        "nose_hatches",
        "short hood hatches",
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
    doorways::hang_sides(machine, "short hood hatch", &[NOSE_HATCH], &flank, 45.0);
    let stripe = (2.68, 2.79);
    let side = panel(
        (CAB_X_M.1 + 0.02, stripe.0),
        (NOSE_FRONT_X_M - 0.06, stripe.1),
        0.01,
        0.007,
        0.003,
    );
    let across = panel(
        (-HOOD_HALF_M + 0.06, stripe.0),
        (HOOD_HALF_M - 0.06, stripe.1),
        0.01,
        0.007,
        0.003,
    );
    let stripes = Mesh::of([side.on(&flank).both_sides(), across.on(&front)]);
    machine.add("nose_stripe", "nose stripe", "nose", "stripe", stripes);
}

/// The doorway as it lies on the left flank, whose along runs to the rear.
fn mirrored(doorway: &Doorway) -> Doorway {
    Doorway {
        along: (-doorway.along.1, -doorway.along.0),
        ..*doorway
    }
}
