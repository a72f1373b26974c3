//! A four-axle switcher, invented: a low hood from the radiator at the head end to a tall cab at the rear.
//! Overall sizes follow general literature (13.5 to 13.6 m over coupler faces, 3.05 m wide, 4.40 to 4.60 m
//! high, truck centres 6.7 m, truck wheelbase 2.743 m); everything else is ours. May not enter: shapes.

mod fittings;
mod hood;

use super::assemblies::body::{Cab, LIP_M};
use super::assemblies::ends::{Ends, RAIL_BEND_M, SideRail};
use super::assemblies::running::{Tanks, add_trucks};
use super::liveries::{OCHRE_AND_SOOT, TEAL_AND_PEARL, dress};
use super::machine::{End, Figures, Machine};
use super::parts::doors::{DOOR_PROUD_M, Row};
use super::parts::frame::Deck;
use super::parts::truck_two_axle::{Springing, Truck};
use super::parts::wheel::HALF_GAUGE_M;

/// Its number, on cab and number boards.
const NUMBER: &str = "137";

/// Its invented road's name.
const ROAD: &str = "TARN VALLEY";

/// x of the coupler faces, front and (negative) rear, and of the pilot plates.
const COUPLER_FACE_X_M: f64 = 6.78;
const PILOT_X_M: f64 = 6.06;

/// Deck of the walkways.
const DECK: Deck = Deck {
    half_length_m: 6.04,
    half_width_m: 1.51,
    z_m: (1.53, 1.59),
    well_x_m: (5.53, 5.97),
    well_y_m: 1.12,
};

/// Where bodies begin, hidden in the deck, and where the lower colour of the cab ends.
const FOOT_Z_M: f64 = 1.55;
const CAB_BAND_Z_M: f64 = 2.98;

/// Half the widths of hood, radiator compartment and cab, and over the cab's armrests.
const HOOD_HALF_M: f64 = 0.88;
const RADIATOR_HALF_M: f64 = 0.90;
const CAB_HALF_M: f64 = 1.474;
const WIDEST_M: f64 = 1.525;

/// x of the cab's walls and of the hood's front face; x where the radiator's compartment begins.
const CAB_X_M: (f64, f64) = (-5.30, -3.20);
const NOSE_FRONT_X_M: f64 = 5.28;
const RADIATOR_X_M: f64 = 3.84;

/// Eaves and top of the hood's roof, and of the radiator compartment's, which stands a little higher.
const HOOD_EAVES_Z_M: f64 = 3.12;
const ROOF_Z_M: f64 = 3.40;
const RADIATOR_EAVES_Z_M: f64 = 3.18;
const RADIATOR_ROOF_Z_M: f64 = 3.50;

/// Top of the cab's roof, and the greatest height: over the horn.
const CAB_TOP_Z_M: f64 = 4.30;
const HIGHEST_M: f64 = 4.50;

/// The row of engine-room doors on each side.
const DOOR_ROW: Row = Row {
    from_m: -3.06,
    pairs: 7,
    leaf_m: 0.446,
    seam_m: 0.014,
    post_m: 0.074,
    bottom_m: 1.70,
    top_m: 2.70,
};

/// Side handrails.
const RAIL_Y_M: f64 = 1.47;
const RAIL_Z_M: f64 = 2.62;
const RAIL_FOOT_X_M: f64 = 5.44;

/// Radius of the wheels' treads, and half the distance between truck centres.
const WHEEL_RADIUS_M: f64 = 0.508;
const TRUCK_X_M: f64 = 3.35;

const TRUCK: Truck = Truck {
    wheelbase_m: 2.743,
    axle_z_m: WHEEL_RADIUS_M,
    top_z_m: 1.02,
    face_y_m: 1.16,
    springing: Springing::Equalizers,
};

const TANKS: Tanks = Tanks {
    fuel_x_m: (-1.28, 1.28),
    fuel_half_m: 1.36,
    fuel_z_m: (0.36, 1.02),
    air_z_m: 1.17,
};

/// Builds it.
pub fn build() -> Machine {
    let mut machine = Machine {
        stem: "end_cab_switcher",
        name: "end-cab switcher",
        note: "Invented: no railroad's, no builder's. Either end leads; 14 engine-room doors a side.",
        ends: Some(["hood end", "cab end"]),
        ..Machine::new(figures())
    };
    hood::add(&mut machine);
    cab().add(&mut machine);
    fittings::add(&mut machine);
    let ends = ends();
    ends.add(&mut machine);
    let side = SideRail {
        from_x_m: CAB_X_M.1 - 0.02,
        foot_x_m: RAIL_FOOT_X_M,
        posts_x_m: vec![-2.0, -0.75, 0.5, 1.75, 3.0, 4.25],
    };
    ends.add_side_rail(&mut machine, "handrail", "handrail", &side);
    add_trucks(&mut machine, &TRUCK.meshes(), TRUCK_X_M, WHEEL_RADIUS_M);
    TANKS.add(&mut machine);
    dress(&mut machine, &OCHRE_AND_SOOT, &TEAL_AND_PEARL);
    machine
}

fn figures() -> Figures {
    Figures {
        gauge_m: 2.0 * HALF_GAUGE_M,
        length_over_couplers_m: 2.0 * COUPLER_FACE_X_M,
        width_m: 2.0 * WIDEST_M,
        height_m: HIGHEST_M,
        head: End {
            coupler_x_m: COUPLER_FACE_X_M,
            corner_x_m: NOSE_FRONT_X_M,
            corner_half_width_m: RADIATOR_HALF_M,
        },
        rear: End {
            coupler_x_m: -COUPLER_FACE_X_M,
            corner_x_m: CAB_X_M.0,
            corner_half_width_m: CAB_HALF_M,
        },
        handrail_m: Some([RAIL_Z_M, RAIL_Y_M, CAB_X_M.1, RAIL_FOOT_X_M - RAIL_BEND_M]),
        doors_m: Some([
            DOOR_ROW.bottom_m,
            DOOR_ROW.top_m,
            HOOD_HALF_M + DOOR_PROUD_M,
            DOOR_ROW.from_m,
            DOOR_ROW.end_m(),
        ]),
    }
}

fn cab() -> Cab {
    // Over the hood and beside it; the doors stand beside the hood and at the rear.
    let door = ((0.95, 1.67), (1.42, 3.78));
    let door_window = ((1.04, 3.06), (1.34, 3.68));
    let beside_hood = ((-1.38, 3.08), (-0.98, 3.70));
    let over_hood = [((-0.80, 3.50), (-0.06, 3.82)), ((0.06, 3.50), (0.80, 3.82))];
    Cab {
        x_m: CAB_X_M,
        half_m: CAB_HALF_M,
        widest_m: WIDEST_M,
        foot_z_m: FOOT_Z_M,
        band_z_m: CAB_BAND_Z_M,
        eaves_z_m: 3.80,
        top_z_m: CAB_TOP_Z_M,
        sides: vec![
            ((-5.02, 3.08), (-4.32, 3.70)),
            ((-4.20, 3.08), (-3.48, 3.70)),
        ],
        windshields: vec![over_hood[0], over_hood[1], beside_hood],
        front: vec![],
        rear: vec![
            ((-1.36, 3.08), (-0.86, 3.70)),
            ((-0.70, 3.08), (-0.06, 3.70)),
            ((0.06, 3.08), (0.70, 3.70)),
        ],
        front_door: Some((door, door_window)),
        // From behind, right is +: the door stands on the engineer's side.
        rear_door: Some((((0.86, 1.67), (1.33, 3.78)), ((0.95, 3.06), (1.25, 3.68)))),
    }
}

fn ends() -> Ends {
    Ends {
        deck: DECK,
        coupler_x_m: COUPLER_FACE_X_M,
        coupler_z_m: 0.84,
        pilot_x_m: PILOT_X_M,
        steps_m: vec![0.46, 0.76, 1.06, 1.33],
        well_bottom_m: 0.39,
        rail_y_m: RAIL_Y_M,
        rail_z_m: RAIL_Z_M,
        rail_foot_z_m: FOOT_Z_M + 0.01,
        plow: false,
        bolsters_x_m: [TRUCK_X_M, -TRUCK_X_M],
        beams_x_m: [-1.1, 0.0, 1.1],
    }
}
