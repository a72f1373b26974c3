//! Lamps, numbers, lettering, horn, bell, grab irons. May not enter: the bodies that they are fixed to.

use super::super::assemblies::lamps::{Lettering, number_board};
use super::super::machine::Machine;
use super::super::parts::{details, lights, rails};
use super::super::shape::{Frame, Mesh, ring, turned, window_frame};
use super::*;
use glam::DVec3;

/// Adds them.
pub fn add(machine: &mut Machine) {
    lamps(machine);
    lettering(machine);
    small_things(machine);
    grabs(machine);
}

fn lamps(machine: &mut Machine) {
    let nose = cab::nose();
    // Boards on the nose's shoulders, one for each side.
    let wall = nose.wall(2.66, 0.98);
    let [housing, board] = number_board((-0.27, 2.56), (0.27, 2.76), NUMBER, 0.135);
    let left = Frame {
        origin: wall.origin * DVec3::new(1.0, -1.0, 1.0),
        along: wall.along * DVec3::new(-1.0, 1.0, 1.0),
        up: wall.up,
        out: wall.out * DVec3::new(1.0, -1.0, 1.0),
    };
    let both = |mesh: Mesh| Mesh::of([mesh.clone().on(&wall), mesh.on(&left)]);
    let centre = DVec3::new(6.70, 0.0, 2.68);
    let bezel = ring(
        centre,
        DVec3::X,
        &[
            (-0.1, 0.15),
            (-0.1, 0.22),
            (0.27, 0.205),
            (0.29, 0.19),
            (0.24, 0.155),
        ],
        16,
    );
    let lens = turned(
        centre,
        DVec3::X,
        &[(-0.05, 0.16), (0.245, 0.16), (0.262, 0.10), (0.268, 0.0)],
        16,
    );
    let housings = Mesh::of([both(housing), bezel]);
    machine.add(
        "board_housings_front",
        "number-board housings",
        "light",
        "black",
        housings,
    );
    machine.add("headlight_front", "headlight", "light", "lamp", lens);
    machine.add(
        "number_boards_front",
        "number boards",
        "light",
        "lamp",
        both(board),
    );
    let rear = Frame::rear(REAR_X_M);
    let back = Mesh::of([lights::twin_lamps(3.98, 0.055)]).on(&rear);
    machine.add("headlight_rear", "rear headlights", "light", "lamp", back);
    let housing = lights::twin_housing(3.98, 0.055).on(&rear);
    machine.add(
        "lamp_housing_rear",
        "housing of the rear headlights",
        "light",
        "black",
        housing,
    );
    let marker = lights::marker(0.0, 2.40);
    let shoulder = nose.wall(2.40, 0.72);
    let markers = Mesh::of([
        marker.on(&shoulder).both_sides(),
        Mesh::of([lights::marker(1.2, 3.3), lights::marker(-1.2, 3.3)]).on(&rear),
    ]);
    machine.add("markers", "marker lights", "light", "lamp", markers);
}

fn lettering(machine: &mut Machine) {
    let offset_m = BODY_HALF_M + BAND_PROUD_M;
    Lettering {
        group: "road_name",
        name: "road name",
        words: ROAD,
        offset_m,
        x_m: -0.95,
        z_m: 0.5 * (BAND_Z_M.0 + BAND_Z_M.1),
        height_m: 0.28,
        paint: "lettering",
    }
    .add(machine);
    Lettering {
        group: "cab_number",
        name: "number",
        words: NUMBER,
        offset_m: BODY_HALF_M,
        x_m: 3.45,
        z_m: 1.52,
        height_m: 0.26,
        paint: "numbers",
    }
    .add(machine);
}

fn small_things(machine: &mut Machine) {
    let horn = details::horn(DVec3::new(4.72, -0.30, TOP_Z_M - 0.02), HIGHEST_M - 0.075);
    machine.add("horn", "horn", "detail", "brass", horn);
    let bell = details::bell(DVec3::new(3.85, 0.42, TOP_Z_M - 0.08));
    machine.add("bell", "bell", "detail", "brass", bell);
    let antenna = details::antenna(DVec3::new(4.35, 0.30, TOP_Z_M), 0.20);
    machine.add("antenna", "antenna", "detail", "handrail", antenna);
    // The passage to a coupled unit: a folded frame round the rear door.
    let frame = window_frame((-0.46, 1.30), (0.46, 3.50), 0.07, 0.02, 0.20);
    let plate = window_frame((-0.47, 1.29), (0.47, 3.51), 0.10, -0.19, 0.235);
    let passage = Mesh::of([frame, plate]).on(&Frame::rear(REAR_X_M));
    machine.add(
        "passage",
        "passage frame at the rear",
        "detail",
        "black",
        passage,
    );
}

/// Grab irons beside the doors, on the nose and up the rear.
fn grabs(machine: &mut Machine) {
    let flank = Frame::right(BODY_HALF_M);
    let upright = |x: f64, from: f64, to: f64, out: f64| rails::wall_grab((x, from), (x, to), out);
    let reach = WIDEST_M - BODY_HALF_M - 0.012 * std::f64::consts::FRAC_1_SQRT_2;
    let beside = Mesh::of([
        upright(3.97, 1.45, 3.05, reach),
        upright(4.76, 1.45, 2.85, reach),
        upright(-6.52, 1.45, 2.95, reach),
        upright(-5.56, 1.45, 2.95, reach),
    ]);
    let beside = beside.on(&flank);
    machine.add_sides(
        "door_grabs",
        "grab irons beside the doors",
        "handrail",
        "handrail",
        beside,
    );
    let nose = cab::nose();
    let rungs = [1.50, 1.80, 2.50]
        .map(|z| rails::wall_grab((-0.16, z), (0.16, z), 0.07).on(&nose.wall(z, 0.80)));
    let over = rails::wall_grab((-0.42, 3.0), (0.42, 3.0), 0.12).on(&Frame::front(6.34));
    let all = Mesh::of([Mesh::of(rungs).both_sides(), over]);
    machine.add(
        "nose_grabs",
        "grab irons on the nose",
        "handrail",
        "handrail",
        all,
    );
    let rung = |up: f64| rails::wall_grab((0.90, up), (1.26, up), 0.06);
    let ladder = Mesh::of([1.45, 1.80, 2.15, 2.50, 2.85, 3.20].map(rung));
    let ladder = ladder.on(&Frame::rear(REAR_X_M));
    machine.add(
        "rear_grabs",
        "ladder on the rear wall",
        "handrail",
        "handrail",
        ladder,
    );
}
