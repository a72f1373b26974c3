//! Closed forms of shadows on an upright side: for lines so thin, and limits so fine, that no pixel may
//! decide them. May not enter: frames, what is drawn.
//!
//! The sun is a unit vector toward it in the machine frame (x forward, y left, z up); a side is the sign of
//! its outward y: +1 left, −1 right. Trigonometry of a planar shadow.

use crate::units::deg;
use glam::DVec3;

/// The cosine of the sun's azimuth from the side's normal at or below which the sun only grazes the side
/// and its shadows run away (rulebook: "sun height").
const GRAZING_COSINE: f64 = 0.02;

/// Cosine of the sun's azimuth from the level normal of an upright face, where it is more than grazing.
pub fn cosine_from_normal(toward: DVec3, normal: DVec3) -> Option<f64> {
    let cosine = toward.truncate().dot(normal.truncate()) / toward.x.hypot(toward.y);
    (cosine > GRAZING_COSINE).then_some(cosine)
}

/// How far below a rail its shadow falls on the side behind it, metres: stand-off · tan(elevation) /
/// cos(azimuth from the normal). `None` where the sun grazes the side or is behind it.
pub fn handrail_drop_m(standoff_m: f64, toward: DVec3, side_sign: f64) -> Option<f64> {
    let cosine = cosine_from_normal(toward, DVec3::Y * side_sign)?;
    Some(standoff_m * toward.z / toward.x.hypot(toward.y) / cosine)
}

/// How far along the side the shadow of a point of a rail falls, metres, positive to the right as seen
/// from outside: stand-off · tan(azimuth from the normal). `None` as for the drop.
pub fn handrail_shift_m(standoff_m: f64, toward: DVec3, side_sign: f64) -> Option<f64> {
    cosine_from_normal(toward, DVec3::Y * side_sign)?;
    // Right as seen from outside is −x on the left side and +x on the right one: the signs cancel.
    Some(standoff_m * toward.x / toward.y)
}

/// The sun's elevation projected on the plane square to the side, degrees: atan(tan(elevation) /
/// cos(azimuth from the normal)). `None` as for the drop.
pub fn profile_angle_deg(toward: DVec3, side_sign: f64) -> Option<f64> {
    handrail_drop_m(1.0, toward, side_sign).map(|drop| deg(drop.atan()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sun_square_to_the_side_has_its_own_elevation_as_profile() {
        let (sin, cos) = 40.0_f64.to_radians().sin_cos();
        let toward = DVec3::new(0.0, -cos, sin);
        assert!((profile_angle_deg(toward, -1.0).unwrap() - 40.0).abs() < 1e-12);
        assert_eq!(handrail_shift_m(0.5, toward, -1.0).unwrap().abs(), 0.0);
        assert_eq!(profile_angle_deg(toward, 1.0), None);
    }

    #[test]
    fn a_grazing_sun_an_overhead_sun_and_no_sun_have_no_drop() {
        let grazing = DVec3::new(1.0, 0.019, 0.3).normalize();
        assert_eq!(handrail_drop_m(0.5, grazing, 1.0), None);
        assert_eq!(handrail_drop_m(0.5, DVec3::Z, 1.0), None);
        assert_eq!(handrail_drop_m(0.5, DVec3::NAN, 1.0), None);
    }
}
