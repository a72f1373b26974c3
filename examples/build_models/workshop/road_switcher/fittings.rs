//! Lamps, numbers, lettering, horn, bell, grab irons. May not enter: the bodies that they are fixed to.

use super::super::assemblies::lamps::{EndLamps, Lettering};
use super::super::machine::Machine;
use super::super::parts::{details, lights, rails};
use super::super::shape::{Frame, Mesh};
use super::*;
use glam::DVec3;

/// Adds them.
pub fn add(machine: &mut Machine) {
    lamps(machine);
    lettering(machine);
    small_things(machine);
}

fn lamps(machine: &mut Machine) {
    let front = Frame::front(NOSE_FRONT_X_M);
    let rear = Frame::rear(HOOD_REAR_X_M + LIP_M);
    for (end, wall) in [("front", front), ("rear", rear)] {
        EndLamps {
            end,
            wall,
            lamp: (3.72, 0.075),
            board: ((0.36, 3.40), (0.80, 3.56)),
            digits_m: 0.11,
            number: NUMBER,
        }
        .add(machine);
    }
    let pair = Mesh::of([lights::marker(0.66, 3.74), lights::marker(-0.66, 3.74)]);
    let markers = Mesh::of([pair.clone().on(&front), pair.on(&rear)]);
    machine.add("markers", "marker lights", "light", "lamp", markers);
}

fn lettering(machine: &mut Machine) {
    Lettering {
        group: "road_name",
        name: "road name",
        words: ROAD,
        offset_m: HOOD_HALF_M - LIP_M,
        x_m: -1.95,
        z_m: 3.59,
        height_m: 0.34,
        paint: "lettering",
    }
    .add(machine);
    Lettering {
        group: "cab_number",
        name: "cab number",
        words: NUMBER,
        offset_m: CAB_HALF_M,
        x_m: 0.5 * (CAB_X_M.0 + CAB_X_M.1),
        z_m: 2.56,
        height_m: 0.38,
        paint: "numbers",
    }
    .add(machine);
}

fn small_things(machine: &mut Machine) {
    let horn = details::horn(DVec3::new(3.55, 0.0, 4.40), HIGHEST_M - 0.075);
    machine.add("horn", "horn", "detail", "brass", horn);
    let bell = details::bell(DVec3::new(5.85, 0.0, ROOF_Z_M - 0.03));
    machine.add("bell", "bell", "detail", "brass", bell);
    let antenna = details::antenna(DVec3::new(4.25, 0.45, 4.34), 0.19);
    machine.add("antenna", "antenna", "detail", "handrail", antenna);
    let caps = Mesh::of([
        details::filler(DVec3::new(6.55, -0.40, ROOF_Z_M - 0.03), DVec3::Z, 0.09),
        details::filler(DVec3::new(-7.02, -0.40, ROOF_Z_M - 0.02), DVec3::Z, 0.09),
    ]);
    machine.add(
        "sand_fillers",
        "sand fillers",
        "detail",
        "black",
        caps.both_sides(),
    );
    let rung = |up: f64| rails::wall_grab((0.50, up), (0.80, up), 0.06);
    let ladder = Mesh::of([1.90, 2.22, 2.54, 2.86].map(rung));
    let front = ladder.clone().on(&Frame::front(NOSE_FRONT_X_M));
    machine.add(
        "nose_grabs",
        "grab irons on the short hood",
        "handrail",
        "handrail",
        front,
    );
    let rear = ladder.on(&Frame::rear(HOOD_REAR_X_M));
    machine.add(
        "rear_grabs",
        "grab irons on the long hood's end",
        "handrail",
        "handrail",
        rear,
    );
}
