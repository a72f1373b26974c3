//! Deck, steps, rails, pilots and couplers. May not enter: bodies, running gear.

use super::super::machine::Machine;
use super::super::parts::{coupler, frame, rails};
use super::super::shape::{Mesh, slab};
use super::*;

/// Where the side rails come down, at both ends, and the radius of their bend.
pub const RAIL_FOOT_X_M: f64 = 9.16;
pub const RAIL_BEND_M: f64 = 0.16;

/// Height at which rails and stanchions begin, in the deck.
const RAIL_FOOT_Z_M: f64 = 1.61;

/// Adds deck, rails and both ends.
pub fn add(machine: &mut Machine) {
    deck(machine);
    side_rails(machine);
    end(machine, true);
    end(machine, false);
}

fn deck(machine: &mut Machine) {
    machine.add("deck", "walkways", "walkway", "underframe", DECK.plate());
    let sill = DECK.sill(0.22, 0.05);
    machine.add(
        "sills",
        "side sills",
        "walkway",
        "underframe",
        sill.both_sides(),
    );
    let stripe = DECK.sill_stripe(1.46, 0.075).both_sides();
    machine.add("sill_stripes", "sill stripes", "walkway", "cream", stripe);
    let spine = Mesh::of([
        slab([-9.70, -0.56, 1.16], [9.70, 0.56, 1.60]),
        slab([-2.75, -1.25, 1.04], [-2.45, 1.25, 1.605]),
        slab([-0.15, -1.25, 1.04], [0.15, 1.25, 1.605]),
        slab([2.45, -1.25, 1.04], [2.75, 1.25, 1.605]),
        slab(
            [TRUCK_X_M - 0.35, -1.10, 1.36],
            [TRUCK_X_M + 0.35, 1.10, 1.605],
        ),
        slab(
            [-TRUCK_X_M - 0.35, -1.10, 1.36],
            [-TRUCK_X_M + 0.35, 1.10, 1.605],
        ),
    ]);
    machine.add("underframe", "underframe", "walkway", "underframe", spine);
}

fn side_rails(machine: &mut Machine) {
    let long = rails::side_rail(
        CAB_X_M.0 + 0.02,
        -RAIL_FOOT_X_M,
        RAIL_Y_M,
        RAIL_Z_M,
        RAIL_FOOT_Z_M,
        RAIL_BEND_M,
    );
    let short = rails::side_rail(
        CAB_X_M.1 - 0.02,
        RAIL_FOOT_X_M,
        RAIL_Y_M,
        RAIL_Z_M,
        RAIL_FOOT_Z_M,
        RAIL_BEND_M,
    );
    let posts = |places: &[f64]| {
        Mesh::of(
            places
                .iter()
                .map(|x| rails::stanchion(*x, RAIL_Y_M, (RAIL_FOOT_Z_M + 0.02, RAIL_Z_M))),
        )
    };
    let hood_posts = posts(&[-7.62, -6.08, -4.54, -3.0, -1.46, 0.08, 1.62, 3.16]);
    let long = Mesh::of([long, hood_posts]);
    machine.add(
        "handrail_right",
        "engineer-side handrail",
        "handrail",
        "rail white",
        long.clone(),
    );
    machine.add(
        "handrail_left",
        "conductor-side handrail",
        "handrail",
        "rail white",
        long.mirrored(),
    );
    let beside_nose = Mesh::of([short, posts(&[7.82])]);
    machine.add(
        "nose_handrail_right",
        "engineer-side front handrail",
        "handrail",
        "rail white",
        beside_nose.clone(),
    );
    machine.add(
        "nose_handrail_left",
        "conductor-side front handrail",
        "handrail",
        "rail white",
        beside_nose.mirrored(),
    );
}

/// One end: built facing forward, turned round for the rear.
fn end(machine: &mut Machine, front: bool) {
    let mut put = |names: [(&'static str, &'static str); 2], role, paint, mesh: Mesh| {
        let (group, name) = names[usize::from(!front)];
        let mesh = if front { mesh } else { mesh.turned_round() };
        machine.add(group, name, role, paint, mesh);
    };
    put(
        [("steps_front", "front steps"), ("steps_rear", "rear steps")],
        "walkway",
        "rail white",
        DECK.steps(&[0.47, 0.78, 1.09, 1.38]).both_sides(),
    );
    put(
        [
            ("step_wells_front", "front step wells"),
            ("step_wells_rear", "rear step wells"),
        ],
        "walkway",
        "underframe",
        DECK.step_well(0.40).both_sides(),
    );
    put(
        [("pilot_front", "front pilot"), ("pilot_rear", "rear pilot")],
        "pilot",
        "underframe",
        Mesh::of([
            frame::pilot(PILOT_X_M, 1.47, (0.42, 1.645), COUPLER_Z_M),
            frame::plow(PILOT_X_M + 0.04, 1.38, (0.10, 0.60), 0.28),
        ]),
    );
    put(
        [
            ("coupler_front", "front coupler"),
            ("coupler_rear", "rear coupler"),
        ],
        "coupler",
        "wheel steel",
        coupler::coupler(COUPLER_FACE_X_M, COUPLER_Z_M, 0.45),
    );
    let pilot_face = PILOT_X_M + 0.03;
    let brake_pipe = coupler::hose(pilot_face, -0.40, 0.94, 0.30, 0.026);
    let left_line = coupler::hose(pilot_face, 0.62, 1.10, 0.24, 0.02);
    let right_line = coupler::hose(pilot_face, -0.62, 1.10, 0.24, 0.02);
    put(
        [
            ("hoses_front", "front air hoses"),
            ("hoses_rear", "rear air hoses"),
        ],
        "coupler",
        "black",
        Mesh::of([brake_pipe, left_line, right_line]),
    );
    put(
        [
            ("uncoupling_front", "front uncoupling levers"),
            ("uncoupling_rear", "rear uncoupling levers"),
        ],
        "coupler",
        "rail white",
        frame::uncoupling_lever(pilot_face, 1.22, 1.47).both_sides(),
    );
    let rail_x = PILOT_X_M - 0.03;
    let halves = rails::end_rail(rail_x, (0.42, 1.44), (RAIL_FOOT_Z_M, RAIL_Z_M)).both_sides();
    put(
        [
            ("end_rails_front", "front end railing"),
            ("end_rails_rear", "rear end railing"),
        ],
        "handrail",
        "rail white",
        halves,
    );
    put(
        [
            ("chains_front", "front chains"),
            ("chains_rear", "rear chains"),
        ],
        "handrail",
        "black",
        Mesh::of([
            rails::chain(rail_x, 0.42, 2.60, 0.10),
            rails::chain(rail_x, 0.42, 2.16, 0.10),
        ]),
    );
    put(
        [
            ("step_grabs_front", "front step grab irons"),
            ("step_grabs_rear", "rear step grab irons"),
        ],
        "handrail",
        "rail white",
        rails::upright_grab(pilot_face + 0.06, 1.42, (0.78, 1.44), -0.07).both_sides(),
    );
}
