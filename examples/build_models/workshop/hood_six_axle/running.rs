//! Trucks, wheels, tanks. May not enter: anything above the underframe.

use super::super::machine::Machine;
use super::super::parts::{tank, wheel};
use super::super::shape::{Mesh, eased};
use super::*;
use glam::DVec3;

/// The fuel tank: x range, half width, z range.
const TANK_X_M: (f64, f64) = (-3.05, 3.05);
const TANK_HALF_M: f64 = 1.40;
const TANK_Z_M: (f64, f64) = (0.30, 1.08);

/// Adds trucks and tanks.
pub fn add(machine: &mut Machine) {
    truck(
        machine,
        TRUCK_X_M,
        [
            ("truck_frame_front", "front truck"),
            (
                "truck_gear_front",
                "front truck's springs, brakes and motors",
            ),
            ("wheels_front", "front truck's wheels"),
        ],
    );
    truck(
        machine,
        -TRUCK_X_M,
        [
            ("truck_frame_rear", "rear truck"),
            ("truck_gear_rear", "rear truck's springs, brakes and motors"),
            ("wheels_rear", "rear truck's wheels"),
        ],
    );
    machine.add(
        "fuel_tank",
        "fuel tank",
        "tank",
        "underframe",
        tank::fuel_tank(TANK_X_M, TANK_HALF_M, TANK_Z_M.0, TANK_Z_M.1),
    );
    let flat = (TANK_Z_M.0 + 0.40, TANK_Z_M.1 - 0.07);
    machine.add(
        "tank_fittings",
        "tank fittings",
        "tank",
        "truck grey",
        tank::tank_fittings(TANK_X_M, TANK_HALF_M, flat).both_sides(),
    );
    let reservoir = |x: (f64, f64)| tank::reservoir(x, 1.24, 1.225, 0.13);
    let pair = Mesh::of([reservoir((-2.95, -0.25)), reservoir((0.25, 2.95))]);
    machine.add(
        "air_tanks_right",
        "engineer-side air tanks",
        "tank",
        "truck grey",
        pair,
    );
    let single = reservoir((-2.95, -0.25)).mirrored();
    machine.add(
        "air_tank_left",
        "conductor-side air tank",
        "tank",
        "truck grey",
        single,
    );
    let box_ = eased([0.35, 1.05, 1.10], [2.85, 1.36, 1.40], 0.02);
    machine.add(
        "equipment_box",
        "equipment box",
        "detail",
        "underframe",
        box_,
    );
}

/// One truck about x, with its groups: frame, gear, wheels.
fn truck(machine: &mut Machine, x: f64, names: [(&'static str, &'static str); 3]) {
    let wheels = TRUCK.axles().map(|axle| {
        Mesh::of([
            wheel::wheel(axle, WHEEL_RADIUS_M).both_sides(),
            wheel::axle(axle, WHEEL_RADIUS_M, TRUCK.face_y_m - 0.12),
        ])
    });
    let frame = Mesh::of([TRUCK.side_frame(), TRUCK.journal_boxes()]);
    let gear = Mesh::of([TRUCK.springs(), TRUCK.brakes()]);
    let meshes = [
        ("truck", "truck grey", frame.both_sides()),
        (
            "truck",
            "underframe",
            Mesh::of([gear.both_sides(), TRUCK.middle()]),
        ),
        ("wheel", "wheel steel", Mesh::of(wheels)),
    ];
    for ((group, name), (role, paint, mesh)) in names.into_iter().zip(meshes) {
        machine.add(group, name, role, paint, mesh.moved(DVec3::X * x));
    }
}
