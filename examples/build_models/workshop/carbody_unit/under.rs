//! Underframe, pilot, couplers and steps. May not enter: running gear, bodies.

use super::super::machine::Machine;
use super::super::parts::coupler;
use super::super::parts::nose::{Level, Nose};
use super::super::shape::{Mesh, slab, tube};
use super::*;
use glam::DVec3;

/// x of the front of the pilot at the coupler, and of the rear end sheet.
const PILOT_X_M: f64 = 6.93;
const SHEET_X_M: f64 = REAR_X_M + 0.03;

/// Adds them.
pub fn add(machine: &mut Machine) {
    let spine = Mesh::of([
        slab([-6.9, -1.30, 1.075], [6.45, 1.30, 1.16]),
        slab([-6.95, -0.30, 0.94], [-6.45, 0.30, 1.10]),
    ]);
    machine.add("underframe", "underframe", "walkway", "underframe", spine);
    // A hair narrower than the body, so that no two faces lie in one plane.
    let sill = slab(
        [-6.9, -BODY_HALF_M + 0.012, 1.08],
        [5.3, -BODY_HALF_M + 0.06, 1.15],
    );
    machine.add(
        "sill_stripes",
        "sills",
        "walkway",
        "sill stripe",
        sill.both_sides(),
    );
    pilots(machine);
    couplers(machine);
    steps(machine);
}

fn pilots(machine: &mut Machine) {
    let level = |z_m, front_x_m, half_m| Level {
        z_m,
        front_x_m,
        half_m,
    };
    let shell = Nose {
        rear_x_m: 6.50,
        round_x_m: 6.54,
        levels: vec![
            level(0.20, 6.84, 1.06),
            level(0.26, 6.90, 1.11),
            level(0.70, PILOT_X_M, 1.17),
            level(1.135, 6.95, 1.21),
        ],
    };
    let pocket = slab(
        [6.62, -0.30, COUPLER_Z_M - 0.22],
        [PILOT_X_M + 0.06, 0.30, COUPLER_Z_M + 0.22],
    );
    let ribs = [-0.72, -0.45, 0.45, 0.72].map(|y: f64| {
        slab(
            [6.60, y - 0.025, 0.30],
            [PILOT_X_M + 0.012 - 0.06 * y.abs(), y + 0.025, 0.62],
        )
    });
    let front = Mesh::of([shell.mesh(), pocket].into_iter().chain(ribs));
    machine.add("pilot_front", "pilot", "pilot", "underframe", front);
    let rear = Mesh::of([
        slab([SHEET_X_M, -1.40, 0.52], [SHEET_X_M + 0.06, 1.40, 1.15]),
        slab(
            [SHEET_X_M - 0.08, -0.34, COUPLER_Z_M - 0.24],
            [SHEET_X_M + 0.30, 0.34, COUPLER_Z_M + 0.24],
        ),
    ]);
    machine.add("pilot_rear", "rear end sheet", "pilot", "underframe", rear);
}

fn couplers(machine: &mut Machine) {
    let knuckle = coupler::coupler(COUPLER_FACE_X_M, COUPLER_Z_M, 0.55);
    machine.add_ends("coupler", "coupler", "coupler", "wheel steel", knuckle);
    let hoses = |face: f64| {
        Mesh::of([
            coupler::hose(face, -0.46, COUPLER_Z_M + 0.06, 0.28, 0.026),
            coupler::hose(face, 0.58, COUPLER_Z_M + 0.10, 0.24, 0.02),
        ])
    };
    let front = hoses(PILOT_X_M - 0.01);
    machine.add("hoses_front", "front air hoses", "coupler", "black", front);
    let rear = hoses(-SHEET_X_M).turned_round();
    machine.add("hoses_rear", "rear air hoses", "coupler", "black", rear);
    let lever = |face: f64| {
        let bar = [
            DVec3::new(face + 0.30, -0.10, COUPLER_Z_M + 0.22),
            DVec3::new(face + 0.07, -0.34, COUPLER_Z_M + 0.30),
            DVec3::new(face + 0.07, -1.05, COUPLER_Z_M + 0.30),
            DVec3::new(face + 0.08, -1.10, COUPLER_Z_M + 0.10),
        ];
        let bracket = |y: f64| {
            slab(
                [face - 0.16, y - 0.02, COUPLER_Z_M + 0.265],
                [face + 0.09, y + 0.02, COUPLER_Z_M + 0.325],
            )
        };
        Mesh::of([tube(&bar, 0.014, 4), bracket(-0.46), bracket(-0.92)])
    };
    let levers = Mesh::of([lever(PILOT_X_M), lever(-SHEET_X_M).turned_round()]);
    machine.add(
        "uncoupling",
        "uncoupling levers",
        "coupler",
        "handrail",
        levers,
    );
}

/// Stirrup steps below the doors.
fn steps(machine: &mut Machine) {
    let stirrup = |x: (f64, f64)| {
        let y = -BODY_HALF_M + 0.05;
        let hanger = |x: f64| slab([x - 0.018, y, 0.40], [x + 0.018, y + 0.05, 1.14]);
        let tread = |z: f64| slab([x.0, y - 0.01, z - 0.03], [x.1, y + 0.20, z]);
        Mesh::of([
            hanger(x.0 + 0.03),
            hanger(x.1 - 0.03),
            tread(0.44),
            tread(0.74),
            tread(1.02),
        ])
    };
    let all = Mesh::of([stirrup((4.16, 4.68)), stirrup((-6.40, -5.80))]);
    machine.add("steps", "steps", "walkway", "handrail", all.both_sides());
}
