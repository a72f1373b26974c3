//! A six-axle hood unit of 1970s size, invented: sizes, paints and the order of its parts.
//! Overall sizes follow general literature (length 20.98 m over coupler faces, 3.10 m wide, 4.75 m high,
//! truck centres 13.26 m, truck wheelbase 4.14 m); everything else is ours. May not enter: shapes.

mod cabin;
mod ends;
mod fittings;
mod hoods;
mod running;

use super::machine::{End, Figures, Machine, Paint};
use super::parts::doors::{DOOR_PROUD_M, Row};
use super::parts::frame::Deck;
use super::parts::truck::Truck;
use super::parts::wheel::HALF_GAUGE_M;

/// Its number, on cab and number boards.
const NUMBER: &str = "3107";

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

/// How much the upper, light bodies are drawn in against the lower ones: a lip instead of two faces in one plane.
const LIP_M: f64 = 0.006;

/// Half the width of both hoods.
const HOOD_HALF_M: f64 = 0.92;

/// Half the width of the cab's lower walls.
const CAB_HALF_M: f64 = 1.52;

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

/// Paints, sRGB.
const PAINTS: [Paint; 12] = [
    Paint {
        name: "madder",
        color_srgb: "#8f3329",
    },
    Paint {
        name: "cream",
        color_srgb: "#e6dab9",
    },
    Paint {
        name: "roof grey",
        color_srgb: "#45484a",
    },
    Paint {
        name: "underframe",
        color_srgb: "#3f4244",
    },
    Paint {
        name: "truck grey",
        color_srgb: "#5a5854",
    },
    Paint {
        name: "wheel steel",
        color_srgb: "#6f675e",
    },
    Paint {
        name: "rail white",
        color_srgb: "#ece7d9",
    },
    Paint {
        name: "glass",
        color_srgb: "#1d272d",
    },
    Paint {
        name: "grille",
        color_srgb: "#33373a",
    },
    Paint {
        name: "lamp",
        color_srgb: "#f6f1df",
    },
    Paint {
        name: "brass",
        color_srgb: "#b48c43",
    },
    Paint {
        name: "black",
        color_srgb: "#202223",
    },
];

/// Builds it.
pub fn build() -> Machine {
    let mut machine = Machine {
        stem: "hood_six_axle",
        name: "six-axle hood unit",
        note: "Invented: no railroad's, no builder's. Low short hood leads; 18 engine-room doors a side.",
        double_ended: false,
        powered: true,
        figures: Figures {
            gauge_m: 2.0 * HALF_GAUGE_M,
            length_over_couplers_m: 2.0 * COUPLER_FACE_X_M,
            width_m: 2.0 * cabin::WIDEST_M,
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
            handrail_m: [
                RAIL_Z_M,
                RAIL_Y_M,
                -ends::RAIL_FOOT_X_M + ends::RAIL_BEND_M,
                CAB_X_M.0,
            ],
            doors_m: [
                DOOR_ROW.bottom_m,
                DOOR_ROW.top_m,
                HOOD_HALF_M + DOOR_PROUD_M,
                DOOR_ROW.from_m,
                DOOR_ROW.end_m(),
            ],
        },
        paints: PAINTS.to_vec(),
        groups: Vec::new(),
    };
    hoods::add(&mut machine);
    cabin::add(&mut machine);
    fittings::add(&mut machine);
    ends::add(&mut machine);
    running::add(&mut machine);
    machine
}
