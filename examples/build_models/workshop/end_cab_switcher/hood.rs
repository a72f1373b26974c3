//! The hood and its radiator compartment: bodies, doors, grilles, roof. May not enter: the cab, lamps, letters.

use super::super::assemblies::doorways::HoodDoors;
use super::super::machine::Machine;
use super::super::parts::{hood, roof};
use super::super::shape::{Frame, Mesh, louvres, panel};
use super::*;

/// Louvres above the doors: x ranges, and their common z range.
const LOUVRES_X_M: [(f64, f64); 4] = [(-2.95, -2.15), (-2.03, -1.23), (1.86, 2.66), (2.78, 3.58)];
const LOUVRES_Z_M: (f64, f64) = (2.86, 3.04);

/// The radiator's shutters: on the flanks (x, z) and in the front (y, z).
const SHUTTER_X_M: (f64, f64) = (4.06, 5.08);
const SHUTTER_Z_M: (f64, f64) = (2.05, 2.98);
const FACE_Y_M: (f64, f64) = (-0.66, 0.66);
const FACE_Z_M: (f64, f64) = (1.78, 2.68);

/// A belt above the doors.
const BELT_Z_M: (f64, f64) = (2.745, 2.815);

/// Adds hood and compartment.
pub fn add(machine: &mut Machine) {
    let doors = HoodDoors {
        half_m: HOOD_HALF_M,
        row: DOOR_ROW,
        others: vec![],
        engine_x_m: (-2.6, 3.2),
    };
    engine_hood(machine, &doors);
    doors.add(machine);
    radiator(machine);
    top(machine);
    belts(machine);
}

fn engine_hood(machine: &mut Machine, doors: &HoodDoors) {
    let body = hood::body(
        &hood::upright(HOOD_HALF_M, FOOT_Z_M, HOOD_EAVES_Z_M, 0.0),
        CAB_X_M.1 - 0.05,
        RADIATOR_X_M + 0.04,
        0.0,
        0.0,
    );
    let mut body = doors.cut(body);
    let mut slats = Mesh::default();
    for x in LOUVRES_X_M {
        for y in [HOOD_HALF_M, -HOOD_HALF_M] {
            let outline = hood::on_flank(y, x, LOUVRES_Z_M);
            body = body.pocket(&outline, hood::GRILLE_POCKET_M);
        }
        slats.add(&hood::grille(HOOD_HALF_M, x, LOUVRES_Z_M, 0.06));
    }
    machine.add("hood", "hood", "hood", "hood", body.mesh());
    machine.add(
        "intakes",
        "louvres of the hood",
        "grille",
        "grille",
        slats.both_sides(),
    );
}

fn radiator(machine: &mut Machine) {
    let half = RADIATOR_HALF_M;
    let mut body = hood::body(
        &hood::upright(half, FOOT_Z_M - LIP_M, RADIATOR_EAVES_Z_M, 0.0),
        RADIATOR_X_M,
        NOSE_FRONT_X_M,
        0.0,
        0.06,
    );
    for y in [half, -half] {
        let outline = hood::on_flank(y, SHUTTER_X_M, SHUTTER_Z_M);
        body = body.pocket(&outline, hood::GRILLE_POCKET_M);
    }
    let outline = hood::on_end(NOSE_FRONT_X_M, FACE_Y_M, FACE_Z_M);
    body = body.pocket(&outline, hood::GRILLE_POCKET_M);
    machine.add("nose", "radiator compartment", "nose", "nose", body.mesh());
    let sides = hood::grille(half, SHUTTER_X_M, SHUTTER_Z_M, 0.075);
    machine.add_sides(
        "radiator_grilles",
        "radiator shutters",
        "grille",
        "grille",
        sides,
    );
    let rim = 0.01;
    let slats = louvres(
        (FACE_Y_M.0 - rim, FACE_Z_M.0 - rim),
        (FACE_Y_M.1 + rim, FACE_Z_M.1 + rim),
        -hood::GRILLE_POCKET_M - 0.02,
        -0.008,
        0.075,
    );
    let front = Frame::front(NOSE_FRONT_X_M);
    let bars = Mesh::of([-0.22, 0.22].map(|y| {
        panel(
            (y - 0.02, FACE_Z_M.0 - 0.02),
            (y + 0.02, FACE_Z_M.1 + 0.02),
            0.02,
            0.012,
            0.004,
        )
    }));
    let face = Mesh::of([slats, bars]).on(&front);
    machine.add(
        "radiator_face",
        "radiator grille in the nose",
        "grille",
        "grille",
        face,
    );
}

fn top(machine: &mut Machine) {
    let over_hood = roof::hood_roof(
        HOOD_HALF_M - 0.03,
        HOOD_EAVES_Z_M,
        ROOF_Z_M,
        0.1,
        (CAB_X_M.1 - 0.03, RADIATOR_X_M + 0.06),
        0.05,
    );
    let over_radiator = roof::hood_roof(
        RADIATOR_HALF_M - 0.03,
        RADIATOR_EAVES_Z_M,
        RADIATOR_ROOF_Z_M,
        0.1,
        (RADIATOR_X_M + 0.02, NOSE_FRONT_X_M - 0.05),
        0.06,
    );
    let hatches = [
        roof::hatch((-2.9, -1.75), 0.38, ROOF_Z_M, 0.035),
        roof::hatch((-0.62, 0.62), 0.38, ROOF_Z_M, 0.035),
    ];
    let all = Mesh::of([over_hood, over_radiator].into_iter().chain(hatches));
    machine.add("hood_roof", "hood roof", "roof", "roof", all);
    let fan = roof::fan(4.54, RADIATOR_ROOF_Z_M, RADIATOR_ROOF_Z_M + 0.14, 0.50, 6);
    machine.add("radiator_fans", "radiator fan", "roof", "grille", fan);
    let stacks = [-1.18, 1.18].map(|x| roof::exhaust(x, ROOF_Z_M, 3.92, 0.14, 0.20));
    machine.add(
        "exhaust",
        "exhaust stacks",
        "roof",
        "black",
        Mesh::of(stacks),
    );
}

/// A painted belt along the hood and round the radiator's corner.
fn belts(machine: &mut Machine) {
    let belt =
        |from: f64, to: f64| panel((from, BELT_Z_M.0), (to, BELT_Z_M.1), 0.012, 0.007, 0.003);
    let sides = belt(CAB_X_M.1 + 0.02, RADIATOR_X_M - 0.02).on(&Frame::right(HOOD_HALF_M));
    machine.add(
        "hood_belt",
        "belt of the hood",
        "hood",
        "stripe",
        sides.both_sides(),
    );
    // Slanted bars of warning on the radiator's corners, below the shutters.
    let bar = |from: f64| {
        let outline = [
            (from, 1.72),
            (from + 0.14, 1.72),
            (from + 0.34, 1.98),
            (from + 0.20, 1.98),
        ];
        let outline = outline.map(glam::DVec2::from);
        super::super::shape::Solid::prism(&outline, -0.012, 0.007).mesh()
    };
    let bars = Mesh::of([3.92, 4.20, 4.48, 4.76].map(bar)).on(&Frame::right(RADIATOR_HALF_M));
    machine.add(
        "nose_stripe",
        "slanted bars",
        "nose",
        "stripe",
        bars.both_sides(),
    );
}
