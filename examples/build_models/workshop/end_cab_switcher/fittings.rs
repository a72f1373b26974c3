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
    let rear = Frame::rear(CAB_X_M.0 + LIP_M);
    EndLamps {
        end: "front",
        wall: front,
        lamp: (2.93, 0.075),
        board: ((0.37, 2.85), (0.77, 3.01)),
        digits_m: 0.11,
        number: NUMBER,
    }
    .add(machine);
    EndLamps {
        end: "rear",
        wall: rear,
        lamp: (3.97, 0.07),
        board: ((0.40, 3.88), (0.84, 4.04)),
        digits_m: 0.11,
        number: NUMBER,
    }
    .add(machine);
    let pair =
        |along: f64, up: f64| Mesh::of([lights::marker(along, up), lights::marker(-along, up)]);
    let markers = Mesh::of([pair(0.75, 2.76).on(&front), pair(1.05, 3.90).on(&rear)]);
    machine.add("markers", "marker lights", "light", "lamp", markers);
}

fn lettering(machine: &mut Machine) {
    Lettering {
        group: "road_name",
        name: "road name",
        words: ROAD,
        offset_m: HOOD_HALF_M,
        x_m: 0.32,
        z_m: 2.96,
        height_m: 0.22,
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
        height_m: 0.44,
        paint: "numbers",
    }
    .add(machine);
}

fn small_things(machine: &mut Machine) {
    let horn = details::horn(DVec3::new(-3.75, -0.35, 4.20), HIGHEST_M - 0.075);
    machine.add("horn", "horn", "detail", "brass", horn);
    let bell = details::bell(DVec3::new(3.10, 0.0, ROOF_Z_M - 0.03));
    machine.add("bell", "bell", "detail", "brass", bell);
    let antenna = details::antenna(DVec3::new(-4.6, 0.35, CAB_TOP_Z_M - 0.06), 0.20);
    machine.add("antenna", "antenna", "detail", "handrail", antenna);
    let vent = details::ventilator([-4.75, -0.35, 4.15], [-4.15, 0.05, 4.40]);
    machine.add("ventilator", "cab ventilator", "detail", "roof", vent);
    let caps = details::filler(
        DVec3::new(3.98, -0.36, RADIATOR_ROOF_Z_M - 0.03),
        DVec3::Z,
        0.08,
    );
    machine.add(
        "sand_fillers",
        "sand fillers",
        "detail",
        "black",
        caps.both_sides(),
    );
    let rung = |up: f64| rails::wall_grab((0.70, up), (0.82, up), 0.06);
    let front = Mesh::of([1.80, 2.10, 2.40].map(rung)).on(&Frame::front(NOSE_FRONT_X_M));
    machine.add(
        "nose_grabs",
        "grab irons on the nose",
        "handrail",
        "handrail",
        front,
    );
    let bar = |x: f64| rails::wall_grab((x, 1.75), (x, 2.85), 0.07);
    let beside_doors = Mesh::of([bar(0.80), bar(1.38)]).on(&Frame::rear(CAB_X_M.0));
    machine.add(
        "rear_grabs",
        "grab irons beside the rear door",
        "handrail",
        "handrail",
        beside_doors,
    );
}
