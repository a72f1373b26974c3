//! A six-axle hood unit of 1970s size, invented: sizes, paints and the order of its parts.
//! Overall sizes follow general literature (length 20.98 m over coupler faces, 3.10 m wide, 4.75 m high,
//! truck centres 13.26 m, truck wheelbase 4.14 m); everything else is ours. May not enter: shapes.

mod fittings;
mod hoods;

use super::assemblies::body::{Cab, LIP_M};
use super::assemblies::ends::{Ends, RAIL_BEND_M, SideRail};
use super::assemblies::running::{Tanks, add_trucks};
use super::liveries::{MADDER_AND_CREAM, SLATE_AND_SAFFRON, dress};
use super::machine::{End, Figures, Machine};
use super::parts::doors::{DOOR_PROUD_M, Row};
use super::parts::frame::Deck;
use super::parts::truck_three_axle::Truck;
use super::parts::wheel::HALF_GAUGE_M;

/// Its number, on cab and number boards.
const NUMBER: &str = "7011";

/// Its invented road's name.
const ROAD: &str = "TARN VALLEY";

/// x of the coupler faces, front and (negative) rear.
const COUPLER_FACE_X_M: f64 = 10.49;

/// Height of the couplers' centres.
const COUPLER_Z_M: f64 = 0.84;

/// x of the pilot plates.
const PILOT_X_M: f64 = 9.77;

/// Deck of the walkways.
const DECK: Deck = Deck {
    half_length_m: 9.75,
    half_width_m: 1.53,
    z_m: (1.58, 1.64),
    well_x_m: (9.24, 9.68),
    well_y_m: 1.14,
};

/// Where bodies begin, hidden in the deck.
const FOOT_Z_M: f64 = 1.60;

/// Height at which the lower colour ends.
const BAND_Z_M: f64 = 3.12;

/// Half the width of both hoods.
const HOOD_HALF_M: f64 = 0.92;

/// Half the width of the cab's lower walls.
const CAB_HALF_M: f64 = 1.52;

/// Half the greatest width: over the cab's armrests.
const WIDEST_M: f64 = 1.55;

/// The cab's eaves and top.
const CAB_EAVES_Z_M: f64 = 3.96;
const CAB_TOP_Z_M: f64 = 4.52;

/// x of the cab's rear and front walls.
const CAB_X_M: (f64, f64) = (4.30, 6.55);

/// x of the long hood's rear face and of the short hood's front face.
const HOOD_REAR_X_M: f64 = -8.95;
const NOSE_FRONT_X_M: f64 = 8.60;

/// Eaves of the long hood.
const HOOD_EAVES_Z_M: f64 = 4.06;

/// The row of engine-room doors on each side.
const DOOR_ROW: Row = Row {
    from_m: -8.11,
    pairs: 9,
    leaf_m: 0.571,
    seam_m: 0.016,
    post_m: 0.082,
    bottom_m: 1.78,
    top_m: 3.06,
};

/// Offset and height of the side handrails' centre lines.
const RAIL_Y_M: f64 = 1.50;
const RAIL_Z_M: f64 = 2.71;

/// Where the side rails come down, at both ends.
const RAIL_FOOT_X_M: f64 = 9.16;

/// Radius of the wheels' treads.
const WHEEL_RADIUS_M: f64 = 0.52;

/// Half the distance between truck centres.
const TRUCK_X_M: f64 = 6.63;

/// Its trucks.
const TRUCK: Truck = Truck {
    wheelbase_m: 4.14,
    axle_z_m: WHEEL_RADIUS_M,
    top_z_m: 1.08,
    face_y_m: 1.18,
};

/// What hangs between the trucks.
const TANKS: Tanks = Tanks {
    fuel_x_m: (-3.05, 3.05),
    fuel_half_m: 1.40,
    fuel_z_m: (0.30, 1.08),
    air_z_m: 1.225,
};

/// Builds it.
pub fn build() -> Machine {
    let mut machine = Machine {
        stem: "hood_six_axle",
        name: "six-axle hood unit",
        note: "Invented: no railroad's, no builder's. Low short hood leads; 18 engine-room doors a side.",
        ..Machine::new(figures())
    };
    hoods::add(&mut machine);
    cab().add(&mut machine);
    fittings::add(&mut machine);
    let ends = ends();
    ends.add(&mut machine);
    let long = SideRail {
        from_x_m: CAB_X_M.0 + 0.02,
        foot_x_m: -RAIL_FOOT_X_M,
        posts_x_m: vec![-7.62, -6.08, -4.54, -3.0, -1.46, 0.08, 1.62, 3.16],
    };
    ends.add_side_rail(&mut machine, "handrail", "handrail", &long);
    let short = SideRail {
        from_x_m: CAB_X_M.1 - 0.02,
        foot_x_m: RAIL_FOOT_X_M,
        posts_x_m: vec![7.82],
    };
    ends.add_side_rail(&mut machine, "nose_handrail", "front handrail", &short);
    add_trucks(&mut machine, &TRUCK.meshes(), TRUCK_X_M, WHEEL_RADIUS_M);
    TANKS.add(&mut machine);
    dress(&mut machine, &MADDER_AND_CREAM, &SLATE_AND_SAFFRON);
    machine
}

fn figures() -> Figures {
    Figures {
        gauge_m: 2.0 * HALF_GAUGE_M,
        length_over_couplers_m: 2.0 * COUPLER_FACE_X_M,
        width_m: 2.0 * WIDEST_M,
        height_m: fittings::HIGHEST_M,
        head: End {
            coupler_x_m: COUPLER_FACE_X_M,
            corner_x_m: NOSE_FRONT_X_M,
            corner_half_width_m: HOOD_HALF_M,
        },
        rear: End {
            coupler_x_m: -COUPLER_FACE_X_M,
            corner_x_m: HOOD_REAR_X_M,
            corner_half_width_m: HOOD_HALF_M,
        },
        handrail_m: Some([RAIL_Z_M, RAIL_Y_M, -RAIL_FOOT_X_M + RAIL_BEND_M, CAB_X_M.0]),
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
    let door = ((0.985, 1.72), (1.455, 3.90));
    let door_window = ((1.07, 3.22), (1.37, 3.80));
    let corner_window = ((-1.39, 3.22), (-1.05, 3.80));
    Cab {
        x_m: CAB_X_M,
        half_m: CAB_HALF_M,
        widest_m: WIDEST_M,
        foot_z_m: FOOT_Z_M,
        band_z_m: BAND_Z_M,
        eaves_z_m: CAB_EAVES_Z_M,
        top_z_m: CAB_TOP_Z_M,
        sides: vec![((4.60, 3.22), (5.36, 3.82)), ((5.48, 3.22), (6.26, 3.82))],
        windshields: vec![((-0.82, 3.22), (-0.08, 3.84)), ((0.08, 3.22), (0.82, 3.84))],
        front: vec![corner_window],
        rear: vec![corner_window],
        front_door: Some((door, door_window)),
        rear_door: Some((door, door_window)),
    }
}

fn ends() -> Ends {
    Ends {
        deck: DECK,
        coupler_x_m: COUPLER_FACE_X_M,
        coupler_z_m: COUPLER_Z_M,
        pilot_x_m: PILOT_X_M,
        steps_m: vec![0.47, 0.78, 1.09, 1.38],
        well_bottom_m: 0.40,
        rail_y_m: RAIL_Y_M,
        rail_z_m: RAIL_Z_M,
        rail_foot_z_m: FOOT_Z_M + 0.01,
        plow: true,
        bolsters_x_m: [TRUCK_X_M, -TRUCK_X_M],
        beams_x_m: [-2.6, 0.0, 2.6],
    }
}
