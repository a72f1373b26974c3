//! Shadows in closed form. May not enter: pixels.

use glam::DVec3;

/// Below this cosine between sun and side the handrail's shadow line has no meaning (rulebook).
const GRAZING: f64 = 0.02;

/// How far below the handrail its shadow lies on a side `standoff_m` behind it: stand-off · tan(elevation) /
/// cos(azimuth from the side's normal). `toward` is the sun's direction in the machine frame, `side_sign` +1 for
/// the left side. `None` where that cosine is at most 0.02.
pub fn handrail_drop_m(standoff_m: f64, toward: DVec3, side_sign: f64) -> Option<f64> {
    let flat = toward.x.hypot(toward.y);
    let aside = toward.y * side_sign;
    (aside > GRAZING * flat && flat > 0.0).then(|| standoff_m * toward.z / aside)
}

/// How far along +x the handrail's shadow on the side lies from the rail's own point.
pub fn handrail_shift_m(standoff_m: f64, toward: DVec3, side_sign: f64) -> Option<f64> {
    let flat = toward.x.hypot(toward.y);
    let aside = toward.y * side_sign;
    (aside > GRAZING * flat && flat > 0.0).then(|| -standoff_m * toward.x / aside)
}

/// The sun's elevation projected on the plane square to the side: tan(profile) = tan(elevation) /
/// cos(azimuth from the side's normal); `None` where the sun stands in the side's plane or behind it.
pub fn profile_angle_deg(toward: DVec3, side_sign: f64) -> Option<f64> {
    handrail_drop_m(1.0, toward, side_sign).map(|drop| crate::units::deg(drop.atan()))
}
