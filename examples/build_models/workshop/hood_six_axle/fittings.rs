//! What is fixed to hoods and cab: lamps, numbers, lettering, horn, bell, grab irons.
//! May not enter: the bodies themselves.

use super::super::assemblies::lamps::{EndLamps, Lettering};
use super::super::machine::Machine;
use super::super::parts::{details, lights, rails};
use super::super::shape::{Frame, Mesh};
use super::hoods::ROOF_Z_M;
use super::*;
use glam::DVec3;

/// Greatest height: over the horn.
pub const HIGHEST_M: f64 = 4.75;

/// Adds them.
pub fn add(machine: &mut Machine) {
    lamps(machine);
    lettering(machine);
    small_things(machine);
}

fn lamps(machine: &mut Machine) {
    let front = Frame::front(CAB_X_M.1 - LIP_M);
    let rear = Frame::rear(HOOD_REAR_X_M + LIP_M);
    EndLamps {
        end: "front",
        wall: front,
        lamp: (4.22, 0.085),
        board: ((0.40, 4.03), (0.98, 4.22)),
        digits_m: 0.135,
        number: NUMBER,
    }
    .add(machine);
    EndLamps {
        end: "rear",
        wall: rear,
        lamp: (3.78, 0.06),
        board: ((0.26, 3.36), (0.80, 3.54)),
        digits_m: 0.125,
        number: NUMBER,
    }
    .add(machine);
    let markers = Mesh::of([
        Mesh::of([lights::marker(1.15, 4.10), lights::marker(-1.15, 4.10)]).on(&front),
        Mesh::of([lights::marker(0.66, 3.84), lights::marker(-0.66, 3.84)]).on(&rear),
    ]);
    machine.add("markers", "marker lights", "light", "lamp", markers);
}

fn lettering(machine: &mut Machine) {
    Lettering {
        group: "road_name",
        name: "road name",
        words: ROAD,
        offset_m: HOOD_HALF_M - LIP_M,
        x_m: -2.98,
        z_m: 3.62,
        height_m: 0.32,
        paint: "lettering",
    }
    .add(machine);
    Lettering {
        group: "cab_number",
        name: "cab number",
        words: NUMBER,
        offset_m: CAB_HALF_M,
        x_m: 0.5 * (CAB_X_M.0 + CAB_X_M.1),
        z_m: 2.52,
        height_m: 0.42,
        paint: "numbers",
    }
    .add(machine);
}

fn small_things(machine: &mut Machine) {
    let horn = details::horn(DVec3::new(3.72, -0.22, ROOF_Z_M - 0.02), HIGHEST_M - 0.075);
    machine.add("horn", "horn", "detail", "brass", horn);
    machine.add(
        "bell",
        "bell",
        "detail",
        "brass",
        details::bell(DVec3::new(3.72, 0.36, ROOF_Z_M - 0.04)),
    );
    let antenna = details::antenna(DVec3::new(5.2, 0.0, CAB_TOP_Z_M + 0.02), 0.17);
    machine.add("antenna", "antenna", "detail", "handrail", antenna);
    let vent = details::ventilator([5.55, -0.30, 4.40], [6.05, 0.30, 4.62]);
    machine.add("ventilator", "cab ventilator", "detail", "roof", vent);
    let caps = Mesh::of([
        details::filler(DVec3::new(8.25, -0.45, 2.98), DVec3::Z, 0.09),
        details::filler(DVec3::new(-8.62, -0.45, ROOF_Z_M - 0.02), DVec3::Z, 0.09),
    ])
    .both_sides();
    machine.add("sand_fillers", "sand fillers", "detail", "black", caps);
    let rung = |up: f64| rails::wall_grab((0.46, up), (0.80, up), 0.06);
    let ladder = Mesh::of([1.95, 2.25, 2.55].map(rung)).on(&Frame::front(NOSE_FRONT_X_M));
    machine.add(
        "nose_grabs",
        "grab irons on the short hood",
        "handrail",
        "handrail",
        ladder,
    );
    let rungs = Mesh::of([1.95, 2.30, 2.65, 3.00, 3.25].map(rung)).on(&Frame::rear(HOOD_REAR_X_M));
    machine.add(
        "rear_grabs",
        "grab irons on the long hood's end",
        "handrail",
        "handrail",
        rungs,
    );
}
