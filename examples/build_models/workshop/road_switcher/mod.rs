//! A four-axle road switcher of 1960s size, invented: a high short hood leads, the cab stands behind it.
//! Overall sizes follow general literature (17.1 to 18.0 m over coupler faces, 3.10 m wide, 4.60 to 4.70 m
//! high, truck centres 9.8 to 10.4 m, truck wheelbase 2.743 m); everything else is ours. May not enter: shapes.

mod fittings;
mod hoods;

use super::assemblies::body::{Cab, LIP_M};
use super::assemblies::ends::{Ends, RAIL_BEND_M, SideRail};
use super::assemblies::running::{Tanks, add_trucks};
use super::liveries::{ASH_AND_RUST, FOREST_AND_IVORY, dress};
use super::machine::{End, Figures, Machine};
use super::parts::doors::{DOOR_PROUD_M, Row};
use super::parts::frame::Deck;
use super::parts::truck_two_axle::{Springing, Truck};
use super::parts::wheel::HALF_GAUGE_M;

/// Its number, on cab and number boards.
const NUMBER: &str = "1731";

/// Its invented road's name.
const ROAD: &str = "TARN VALLEY";

/// x of the coupler faces, front and (negative) rear, and of the pilot plates.
const COUPLER_FACE_X_M: f64 = 8.72;
const PILOT_X_M: f64 = 8.00;

/// Deck of the walkways.
const DECK: Deck = Deck {
    half_length_m: 7.98,
    half_width_m: 1.53,
    z_m: (1.54, 1.60),
    well_x_m: (7.47, 7.91),
    well_y_m: 1.14,
};

/// Where bodies begin, hidden in the deck, and where the lower colour of cab and hoods ends.
const FOOT_Z_M: f64 = 1.56;
const BAND_Z_M: f64 = 3.20;

/// Half the widths of hoods and cab, and over the cab's armrests.
const HOOD_HALF_M: f64 = 0.90;
const CAB_HALF_M: f64 = 1.51;
const WIDEST_M: f64 = 1.55;

/// x of the cab's walls, of the long hood's rear face and of the short hood's front face.
const CAB_X_M: (f64, f64) = (2.75, 4.70);
const HOOD_REAR_X_M: f64 = -7.20;
const NOSE_FRONT_X_M: f64 = 6.85;

/// Eaves and top of both hoods' roofs.
const HOOD_EAVES_Z_M: f64 = 3.90;
const ROOF_Z_M: f64 = 4.22;

/// Greatest height: over the horn.
const HIGHEST_M: f64 = 4.65;

/// The row of engine-room doors on each side.
const DOOR_ROW: Row = Row {
    from_m: -5.72,
    pairs: 8,
    leaf_m: 0.428,
    seam_m: 0.014,
    post_m: 0.074,
    bottom_m: 1.72,
    top_m: 3.06,
};

/// Side handrails.
const RAIL_Y_M: f64 = 1.49;
const RAIL_Z_M: f64 = 2.66;
const RAIL_FOOT_X_M: f64 = 7.38;

/// Radius of the wheels' treads, and half the distance between truck centres.
const WHEEL_RADIUS_M: f64 = 0.508;
const TRUCK_X_M: f64 = 5.06;

const TRUCK: Truck = Truck {
    wheelbase_m: 2.743,
    axle_z_m: WHEEL_RADIUS_M,
    top_z_m: 1.06,
    face_y_m: 1.18,
    springing: Springing::SwingLinks,
};

const TANKS: Tanks = Tanks {
    fuel_x_m: (-2.55, 2.55),
    fuel_half_m: 1.38,
    fuel_z_m: (0.32, 1.04),
    air_z_m: 1.18,
};

/// Builds it.
pub fn build() -> Machine {
    let mut machine = Machine {
        stem: "road_switcher",
        name: "four-axle road switcher",
        note: "Invented: no railroad's, no builder's. High short hood leads; 16 engine-room doors a side.",
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
        posts_x_m: vec![-6.10, -4.72, -3.34, -1.96, -0.58, 0.80, 2.0],
    };
    ends.add_side_rail(&mut machine, "handrail", "handrail", &long);
    let short = SideRail {
        from_x_m: CAB_X_M.1 - 0.02,
        foot_x_m: RAIL_FOOT_X_M,
        posts_x_m: vec![6.0],
    };
    ends.add_side_rail(&mut machine, "nose_handrail", "front handrail", &short);
    add_trucks(&mut machine, &TRUCK.meshes(), TRUCK_X_M, WHEEL_RADIUS_M);
    TANKS.add(&mut machine);
    dress(&mut machine, &FOREST_AND_IVORY, &ASH_AND_RUST);
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
    let door = ((0.965, 1.68), (1.445, 3.92));
    let door_window = ((1.05, 3.30), (1.36, 3.82));
    let corner_window = ((-1.40, 3.30), (-1.00, 3.84));
    Cab {
        x_m: CAB_X_M,
        half_m: CAB_HALF_M,
        widest_m: WIDEST_M,
        foot_z_m: FOOT_Z_M,
        band_z_m: BAND_Z_M,
        eaves_z_m: 3.96,
        top_z_m: 4.40,
        sides: vec![((2.98, 3.30), (3.66, 3.84)), ((3.76, 3.30), (4.46, 3.84))],
        windshields: vec![corner_window],
        front: vec![],
        rear: vec![corner_window],
        front_door: Some((door, door_window)),
        rear_door: Some((door, door_window)),
    }
}

fn ends() -> Ends {
    Ends {
        deck: DECK,
        coupler_x_m: COUPLER_FACE_X_M,
        coupler_z_m: 0.84,
        pilot_x_m: PILOT_X_M,
        steps_m: vec![0.46, 0.76, 1.06, 1.34],
        well_bottom_m: 0.39,
        rail_y_m: RAIL_Y_M,
        rail_z_m: RAIL_Z_M,
        rail_foot_z_m: FOOT_Z_M + 0.01,
        plow: false,
        bolsters_x_m: [TRUCK_X_M, -TRUCK_X_M],
        beams_x_m: [-2.6, 0.0, 2.6],
    }
}
