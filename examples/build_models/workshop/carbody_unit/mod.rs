//! A four-axle carbody cab unit, invented: a full-width body behind a streamlined nose, no walkways.
//! No table of ours has such a machine: length (15.44 m over coupler faces) and truck centres (9.14 m) are
//! general literature of the 1940s and 1950s, from memory; width and height keep within AAR plate B
//! (3.251 x 4.597 m); truck wheelbase, wheels and couplers are those of the other machines.
//! May not enter: shapes.

mod body;
mod cab;
mod fittings;
mod under;

use super::assemblies::body::LIP_M;
use super::assemblies::running::{Tanks, add_trucks};
use super::liveries::{INK_AND_COPPER, PLUM_AND_BUTTERMILK, dress};
use super::machine::{End, Figures, Machine};
use super::parts::truck_two_axle::{Springing, Truck};
use super::parts::wheel::HALF_GAUGE_M;

/// Its number, on the body and the number boards.
const NUMBER: &str = "711";

/// Its invented road's name.
const ROAD: &str = "TARN VALLEY";

/// x of the coupler faces, front and (negative) rear, and height of the couplers' centres.
const COUPLER_FACE_X_M: f64 = 7.72;
const COUPLER_Z_M: f64 = 0.84;

/// Half the widths of the body and of the cab, and over the grab irons beside its doors.
const BODY_HALF_M: f64 = 1.525;
const CAB_HALF_M: f64 = BODY_HALF_M - LIP_M;
const WIDEST_M: f64 = 1.60;

/// The body's lower edge, eaves and the top of its roof's line.
const SKIRT_Z_M: f64 = 1.12;
const EAVES_Z_M: f64 = 3.68;
const TOP_Z_M: f64 = 4.30;

/// Greatest height: over the horn.
const HIGHEST_M: f64 = 4.56;

/// x of the body's rear wall, of the bulkhead behind the cab, of the cab's front and of the nose's tip.
const REAR_X_M: f64 = -7.02;
const CAB_X_M: (f64, f64) = (4.05, 5.46);
const NOSE_TIP_X_M: f64 = 7.05;

/// The painted band round the body.
const BAND_Z_M: (f64, f64) = (1.92, 2.34);

/// How far the band stands out.
const BAND_PROUD_M: f64 = 0.007;

/// Radius of the wheels' treads, and half the distance between truck centres.
const WHEEL_RADIUS_M: f64 = 0.508;
const TRUCK_X_M: f64 = 4.572;

const TRUCK: Truck = Truck {
    wheelbase_m: 2.743,
    axle_z_m: WHEEL_RADIUS_M,
    top_z_m: 1.04,
    face_y_m: 1.18,
    springing: Springing::SwingLinks,
};

const TANKS: Tanks = Tanks {
    fuel_x_m: (-2.45, 2.45),
    fuel_half_m: 1.36,
    fuel_z_m: (0.30, 0.82),
    air_z_m: 0.97,
};

/// Builds it.
pub fn build() -> Machine {
    let mut machine = Machine {
        stem: "carbody_unit",
        name: "carbody cab unit",
        note: "Invented: no railroad's, no builder's. Full-width body, no walkways and no side handrails.",
        ..Machine::new(figures())
    };
    body::add(&mut machine);
    cab::add(&mut machine);
    fittings::add(&mut machine);
    under::add(&mut machine);
    add_trucks(&mut machine, &TRUCK.meshes(), TRUCK_X_M, WHEEL_RADIUS_M);
    TANKS.add(&mut machine);
    dress(&mut machine, &PLUM_AND_BUTTERMILK, &INK_AND_COPPER);
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
            corner_x_m: NOSE_TIP_X_M,
            corner_half_width_m: 1.05,
        },
        rear: End {
            coupler_x_m: -COUPLER_FACE_X_M,
            corner_x_m: REAR_X_M,
            corner_half_width_m: BODY_HALF_M,
        },
        handrail_m: None,
        doors_m: None,
    }
}
