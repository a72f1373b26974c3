//! Units: the one place that converts. May not enter: anything else of the program.
//!
//! Angles are radians inside formulas and degrees at the borders; lengths are metres; bearings run
//! clockwise from true north.

mod lengths; // in metres or in feet and inches, as people write them

pub use lengths::{Units, parse_number};

/// Metres in one international foot (exact by definition, 1959).
pub const METRES_PER_FOOT: f64 = 0.3048;

/// Metres in one walking pace on level ground. Common practice: a pace of 0.76 m (2.5 ft) is what
/// surveyors' and scouting handbooks teach for an adult (from memory).
pub const METRES_PER_PACE: f64 = 0.762;

/// Degrees to radians.
pub fn rad(degrees: f64) -> f64 {
    degrees.to_radians()
}

/// Radians to degrees.
pub fn deg(radians: f64) -> f64 {
    radians.to_degrees()
}

/// A bearing in degrees brought into 0 ≤ b < 360.
pub fn wrap_360(bearing_deg: f64) -> f64 {
    let wrapped = bearing_deg.rem_euclid(360.0);
    if wrapped >= 360.0 { 0.0 } else { wrapped }
}

/// An angle in degrees brought into −180 ≤ a < 180.
pub fn wrap_180(angle_deg: f64) -> f64 {
    wrap_360(angle_deg + 180.0) - 180.0
}

/// Metres to feet.
pub fn feet(metres: f64) -> f64 {
    metres / METRES_PER_FOOT
}

/// Metres to paces.
pub fn paces(metres: f64) -> f64 {
    metres / METRES_PER_PACE
}

/// The bearing in degrees of a horizontal offset east, north.
pub fn bearing_deg(east: f64, north: f64) -> f64 {
    wrap_360(deg(east.atan2(north)))
}

/// The nearest of the eight compass words for a bearing ("north-east").
pub fn compass_word(bearing_deg: f64) -> &'static str {
    const WORDS: [&str; 8] = [
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    ];
    WORDS[(wrap_360(bearing_deg + 22.5) / 45.0) as usize % 8]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_wrap_into_one_turn() {
        assert_eq!(wrap_360(-10.0), 350.0);
        assert_eq!(wrap_360(720.0), 0.0);
        assert_eq!(wrap_360(-1e-16), 0.0);
        assert_eq!(wrap_180(190.0), -170.0);
        assert_eq!(wrap_180(-180.0), -180.0);
    }

    #[test]
    fn bearings_run_clockwise_from_north() {
        assert_eq!(bearing_deg(0.0, 1.0), 0.0);
        assert_eq!(bearing_deg(1.0, 0.0), 90.0);
        assert_eq!(compass_word(91.0), "east");
        assert_eq!(compass_word(350.0), "north");
    }
}
