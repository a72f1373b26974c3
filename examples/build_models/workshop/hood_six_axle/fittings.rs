//! What is fixed to hoods and cab: lamps, numbers, lettering, horn, bell, grab irons.
//! May not enter: the bodies themselves.

use super::super::machine::Machine;
use super::super::parts::{details, glyphs, lights, rails};
use super::super::shape::{Frame, Mesh};
use super::cabin::CAB_TOP_Z_M;
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
    let board = |side: f64, from: (f64, f64), to: (f64, f64)| {
        if side > 0.0 {
            (from, to)
        } else {
            ((-to.0, from.1), (-from.0, to.1))
        }
    };
    for (end, wall, lamp_z, lamp_out, low, high, digits) in [
        (
            "front",
            front,
            4.22,
            0.085,
            (0.40, 4.03),
            (0.98, 4.22),
            0.135,
        ),
        ("rear", rear, 3.78, 0.06, (0.26, 3.36), (0.80, 3.54), 0.125),
    ] {
        let mut housings = lights::twin_housing(lamp_z, lamp_out);
        let (mut boards, mut numbers) = (Mesh::default(), Mesh::default());
        let out = 0.055;
        for side in [1.0, -1.0] {
            let (from, to) = board(side, low, high);
            housings.add(&lights::board_housing(from, to, out));
            boards.add(&lights::board(from, to, out));
            let text = glyphs::text(
                NUMBER,
                0.5 * (from.0 + to.0),
                0.5 * (from.1 + to.1),
                digits,
                0.006,
            );
            numbers.add(&text.moved(DVec3::Z * (out + 0.008)));
        }
        let lamps = lights::twin_lamps(lamp_z, lamp_out);
        let names: [(&str, &str); 3] = if end == "front" {
            [
                ("board_housings_front", "front number-board housings"),
                ("headlight_front", "headlights"),
                ("number_boards_front", "front number boards"),
            ]
        } else {
            [
                ("board_housings_rear", "rear number-board housings"),
                ("headlight_rear", "rear headlights"),
                ("number_boards_rear", "rear number boards"),
            ]
        };
        let meshes = [Mesh::of([housings, numbers]), lamps, boards];
        for (((group, name), mesh), paint) in
            names.into_iter().zip(meshes).zip(["black", "lamp", "lamp"])
        {
            machine.add(group, name, "light", paint, mesh.on(&wall));
        }
    }
    let markers = Mesh::of([
        Mesh::of([lights::marker(1.15, 4.10), lights::marker(-1.15, 4.10)]).on(&front),
        Mesh::of([lights::marker(0.66, 3.84), lights::marker(-0.66, 3.84)]).on(&rear),
    ]);
    machine.add("markers", "marker lights", "light", "lamp", markers);
}

fn lettering(machine: &mut Machine) {
    let upper = HOOD_HALF_M - LIP_M;
    let (middle, height) = (-2.98, 0.32);
    for (group, name, wall, along) in [
        (
            "road_name_right",
            "engineer-side road name",
            Frame::right(upper),
            middle,
        ),
        (
            "road_name_left",
            "conductor-side road name",
            Frame::left(upper),
            -middle,
        ),
    ] {
        let words = glyphs::text(ROAD, along, 3.62, height, 0.006).on(&wall);
        machine.add(group, name, "lettering", "madder", words);
    }
    let middle = 0.5 * (CAB_X_M.0 + CAB_X_M.1);
    for (group, name, wall, along) in [
        (
            "cab_number_right",
            "engineer-side cab number",
            Frame::right(CAB_HALF_M),
            middle,
        ),
        (
            "cab_number_left",
            "conductor-side cab number",
            Frame::left(CAB_HALF_M),
            -middle,
        ),
    ] {
        let number = glyphs::text(NUMBER, along, 2.52, 0.42, 0.006).on(&wall);
        machine.add(group, name, "lettering", "cream", number);
    }
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
    machine.add("antenna", "antenna", "detail", "rail white", antenna);
    let vent = details::ventilator([5.55, -0.30, 4.40], [6.05, 0.30, 4.62]);
    machine.add("ventilator", "cab ventilator", "detail", "roof grey", vent);
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
        "rail white",
        ladder,
    );
    let rungs = Mesh::of([1.95, 2.30, 2.65, 3.00, 3.25].map(rung)).on(&Frame::rear(HOOD_REAR_X_M));
    machine.add(
        "rear_grabs",
        "grab irons on the long hood's end",
        "handrail",
        "rail white",
        rungs,
    );
}
