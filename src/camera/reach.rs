//! How far back a lens must stand for points to fill a given share of the frame. May not enter: what the points
//! belong to, where the ground allows it.

use super::framing::{balanced_heading, margins};
use super::projection::Camera;
use super::{film::Film, lens::Lens, pose::Pose};
use glam::DVec3;

/// Nothing is looked for nearer or farther than this, metres.
const REACH_M: [f64; 2] = [0.2, 50_000.0];

/// Share of the frame's width that the points fill from an eye aimed for equal side margins; none where they
/// lie beside or behind it.
pub fn width_share(
    eye: DVec3,
    film: &Film,
    lens: &Lens,
    pitch_deg: f64,
    roll_deg: f64,
    points: &[DVec3],
) -> Option<f64> {
    let pose = Pose {
        eye,
        heading_deg: balanced_heading(eye, film, lens, pitch_deg, roll_deg, points)?,
        pitch_deg,
        roll_deg,
    };
    let camera = Camera {
        pose,
        lens: *lens,
        film: *film,
    };
    let around = margins(&camera, points)?;
    (!around.beyond_eye).then_some(around.width_share)
}

/// The distance at which `share_at` comes down to `share`, by bisection: what is looked at gets smaller with
/// every step back, and so near that it has no share it fills more than any. None within no reach.
pub fn distance_m(share: f64, share_at: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let is_larger = |distance_m: f64| share_at(distance_m).is_none_or(|found| found > share);
    let [mut near_m, mut far_m] = REACH_M;
    if share.is_nan() || share <= 0.0 || !is_larger(near_m) || is_larger(far_m) {
        return None;
    }
    // 64 halvings exhaust a double.
    for _ in 0..64 {
        let middle_m = (near_m + far_m) / 2.0;
        if is_larger(middle_m) {
            near_m = middle_m;
        } else {
            far_m = middle_m;
        }
    }
    Some(far_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::rad;
    use approx::assert_abs_diff_eq;

    fn distance(points: &[DVec3], way: DVec3, focal_mm: f64, share: f64) -> f64 {
        let (film, lens) = (Film::FULL, Lens::new(focal_mm));
        let at = |d: f64| width_share(way * d + DVec3::Z, &film, &lens, 0.0, 0.0, points);
        distance_m(share, at).unwrap()
    }

    /// A flat panel square to the axis: width on film = f · W / d (central projection).
    #[test]
    fn before_a_flat_panel_the_distance_grows_with_the_focal_length() {
        let panel = [-9.0, 9.0].map(|x| DVec3::new(x, 0.0, 1.0));
        for focal_mm in [35.0, 50.0, 85.0, 200.0] {
            let expected = focal_mm * 18.0 / (0.8 * 36.0);
            let found = distance(&panel, DVec3::NEG_Y, focal_mm, 0.8);
            assert_abs_diff_eq!(found, expected, epsilon = 1e-6);
        }
    }

    /// A bar of half length h seen at an angle a off its axis: its ends lie h·cos a nearer and farther, h·sin a
    /// aside, and the frame's axis bisects their bearings. Plane trigonometry.
    #[test]
    fn before_a_slanting_bar_the_bearings_of_its_ends_span_the_share() {
        let (half_m, off_deg, share) = (9.0, 40.0, 0.7);
        let bar = [-half_m, half_m].map(|x| DVec3::new(x, 0.0, 1.0));
        let (sin, cos) = rad(off_deg).sin_cos();
        for focal_mm in [35.0, 50.0, 200.0] {
            let d = distance(&bar, DVec3::new(cos, sin, 0.0), focal_mm, share);
            let span = (half_m * sin / (d - half_m * cos)).atan()
                + (half_m * sin / (d + half_m * cos)).atan();
            let found = 2.0 * (span / 2.0).tan() * focal_mm / 36.0;
            assert_abs_diff_eq!(found, share, epsilon = 1e-9);
        }
    }

    #[test]
    fn a_share_that_nothing_fills_has_no_distance() {
        let nothing = |_| Some(0.0);
        assert_eq!(distance_m(0.5, nothing), None);
        assert_eq!(distance_m(0.0, |d: f64| Some(1.0 / d)), None);
        assert_eq!(distance_m(f64::NAN, |d: f64| Some(1.0 / d)), None);
        assert_eq!(distance_m(0.5, |_| None), None);
    }
}
