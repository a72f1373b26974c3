//! The long and the short hood: bodies, doors, grilles, roof. May not enter: the cab, lamps, letters.

use super::super::machine::Machine;
use super::super::parts::{doors, hood, roof};
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

/// Adds both hoods.
pub fn add(machine: &mut Machine) {
    long_hood(machine);
    hood_doors(machine);
    rear_door(machine);
    hood_top(machine);
    nose(machine);
}

fn long_hood(machine: &mut Machine) {
    let lower = hood::body(
        &hood::upright(HOOD_HALF_M, FOOT_Z_M, BAND_Z_M, 0.0),
        HOOD_REAR_X_M,
        CAB_X_M.0 + 0.05,
        0.04,
        0.0,
    );
    machine.add("hood_lower", "long hood", "hood", "madder", lower.mesh());
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
    machine.add(
        "blister",
        "dynamic-brake blister",
        "hood",
        "cream",
        bulge.mesh(),
    );
    let upper_panel = panel((1.98, 3.24), (3.02, 3.98), 0.02, 0.010, 0.006);
    let panels = upper_panel.on(&Frame::right(half)).both_sides();
    machine.add(
        "hood_upper",
        "upper long hood",
        "hood",
        "cream",
        Mesh::of([upper.mesh(), panels]),
    );
    machine.add(
        "radiator_grilles_right",
        "engineer-side radiator grilles",
        "grille",
        "grille",
        radiators.clone(),
    );
    machine.add(
        "radiator_grilles_left",
        "conductor-side radiator grilles",
        "grille",
        "grille",
        radiators.mirrored(),
    );
    machine.add(
        "intakes",
        "air intakes",
        "grille",
        "grille",
        intake.both_sides(),
    );
    machine.add(
        "brake_grilles",
        "dynamic-brake grilles",
        "grille",
        "grille",
        brake_grilles.both_sides(),
    );
}

/// Pockets for grilles on both flanks.
fn both_flanks(solid: Solid, half: f64, x: (f64, f64), z: (f64, f64)) -> Solid {
    solid
        .pocket(&hood::on_flank(half, x, z), hood::GRILLE_POCKET_M)
        .pocket(&hood::on_flank(-half, x, z), hood::GRILLE_POCKET_M)
}

fn hood_doors(machine: &mut Machine) {
    let wall = Frame::right(HOOD_HALF_M);
    let leaves = DOOR_ROW.leaves().on(&wall);
    machine.add(
        "hood_doors_right",
        "engineer-side hood doors",
        "hood",
        "madder",
        leaves.clone(),
    );
    machine.add(
        "hood_doors_left",
        "conductor-side hood doors",
        "hood",
        "madder",
        leaves.mirrored(),
    );
    // The electrical cabinet behind the cab and a rear compartment close with one door each.
    let z = (DOOR_ROW.bottom_m, DOOR_ROW.top_m);
    let singles = [((3.24, z.0), (4.06, z.1)), ((-8.76, z.0), (-8.26, z.1))];
    let cabinets = Mesh::of(singles.map(|(from, to)| doors::single(from, to)));
    machine.add(
        "cabinet_doors",
        "cabinet doors",
        "hood",
        "madder",
        cabinets.on(&wall).both_sides(),
    );
    let joints = Mesh::of(singles.map(|(from, to)| doors::joint(from, to, DOOR_ROW.seam_m)));
    let joints = Mesh::of([DOOR_ROW.joints(), joints]).on(&wall).both_sides();
    machine.add(
        "door_joints",
        "joints of the hood doors",
        "hood",
        "black",
        joints,
    );
    let latches = singles.map(|(_, to)| doors::latch(to.0 - 0.07, 0.5 * (z.0 + z.1)));
    let latches = Mesh::of([DOOR_ROW.latches(), Mesh::of(latches)])
        .on(&wall)
        .both_sides();
    machine.add(
        "door_latches",
        "hood door latches",
        "detail",
        "black",
        latches,
    );
}

fn rear_door(machine: &mut Machine) {
    let door = ((-0.34, 1.80), (0.30, 2.98));
    let rear = Frame::rear(HOOD_REAR_X_M);
    machine.add(
        "rear_door",
        "rear hood door",
        "hood",
        "madder",
        doors::single(door.0, door.1).on(&rear),
    );
    let trim = Mesh::of([doors::joint(door.0, door.1, 0.014), doors::latch(0.22, 2.3)]);
    machine.add(
        "rear_door_joint",
        "joint and latch of the rear door",
        "detail",
        "black",
        trim.on(&rear),
    );
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
                .map(|x| roof::fan(*x, roof_z, FAN_TOP_Z_M, 0.58, 5)),
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
    machine.add("hood_roof", "hood roof", "roof", "roof grey", top);
}

fn nose(machine: &mut Machine) {
    let shape = hood::body(
        &hood::upright(HOOD_HALF_M, FOOT_Z_M - LIP_M, 2.98, 0.14),
        CAB_X_M.1 - 0.05,
        NOSE_FRONT_X_M,
        0.0,
        0.05,
    );
    machine.add("nose", "short hood", "nose", "madder", shape.mesh());
    let door = ((-0.29, 1.78), (0.29, 2.62));
    let front = Frame::front(NOSE_FRONT_X_M);
    let leaf = doors::single(door.0, door.1).on(&front);
    machine.add("nose_door", "nose door", "nose", "madder", leaf);
    let hatch = ((7.05, 1.80), (7.75, 2.50));
    let flank = Frame::right(HOOD_HALF_M);
    let hatches = doors::single(hatch.0, hatch.1).on(&flank).both_sides();
    machine.add(
        "nose_hatches",
        "short hood hatches",
        "nose",
        "madder",
        hatches,
    );
    let joints = Mesh::of([
        doors::joint(door.0, door.1, 0.014).on(&front),
        doors::joint(hatch.0, hatch.1, 0.014)
            .on(&flank)
            .both_sides(),
    ]);
    machine.add(
        "nose_joints",
        "joints of the short hood's doors",
        "nose",
        "black",
        joints,
    );
    let latches = Mesh::of([
        doors::latch(0.22, 2.2).on(&front),
        doors::latch(7.68, 2.15).on(&flank).both_sides(),
    ]);
    machine.add(
        "nose_latches",
        "short hood's latches",
        "detail",
        "black",
        latches,
    );
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
    let stripes = Mesh::of([
        side.on(&Frame::right(HOOD_HALF_M)).both_sides(),
        across.on(&front),
    ]);
    machine.add("nose_stripe", "nose stripe", "nose", "cream", stripes);
}
