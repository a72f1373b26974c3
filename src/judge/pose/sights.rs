//! Where a camera of given unknowns has a mark, and how that changes with each. May not enter: how the unknowns
//! are searched.

use super::least::{Linear, MOST, Unknowns};
use super::{Mark, Plate};
use crate::camera::framing::NEAREST_M;
use crate::camera::pose::{Basis, Pose};
use crate::units::deg;
use glam::{DVec2, DVec3};

/// Places in [`Unknowns`]: the eye's three, then these.
pub(super) const HEADING: usize = 3;
pub(super) const PITCH: usize = 4;
pub(super) const ROLL: usize = 5;
/// The natural logarithm of the focal length in pixels: it stays positive, and its step is a share.
pub(super) const LOG_FOCAL: usize = 6;
/// The radial term.
pub(super) const RADIAL: usize = 7;
/// How far the lens's axis meets the picture right of and below its middle, pixels.
pub(super) const MIDDLE_X: usize = 8;
pub(super) const MIDDLE_Y: usize = 9;

/// What each unknown is called.
pub(super) const WORDS: [&str; MOST] = [
    "camera's place along the machine",
    "camera's distance from the track",
    "camera's height",
    "heading",
    "pitch",
    "roll",
    "focal length",
    "lens distortion",
    "picture's middle",
    "picture's middle",
];

/// The pose of some unknowns.
pub(super) fn pose(at: &Unknowns) -> Pose {
    Pose {
        eye: DVec3::new(at[0], at[1], at[2]),
        heading_deg: deg(at[HEADING]),
        pitch_deg: deg(at[PITCH]),
        roll_deg: deg(at[ROLL]),
    }
}

/// One point's image, pixels from the upper left corner, and its slopes across and down; none where the point
/// does not lie well in front of the lens.
pub(super) fn image(
    at: &Unknowns,
    basis: &Basis,
    plate: &Plate,
    point: DVec3,
) -> Option<(DVec2, [Unknowns; 2])> {
    let Basis { right, up, forward } = *basis;
    let offset = point - DVec3::new(at[0], at[1], at[2]);
    let depth_m = offset.dot(forward);
    if !(depth_m >= NEAREST_M && depth_m.is_finite()) {
        return None;
    }
    let (sin_r, cos_r) = at[ROLL].sin_cos();
    // A growing heading turns every direction clockwise seen from above.
    let turned = |v: DVec3| DVec3::new(v.y, -v.x, 0.0);
    let level_up = up * cos_r - right * sin_r;
    // How right, up and forward change with heading, pitch and roll (the derivatives of `Pose::basis`).
    let turns = [
        [turned(right), turned(up), turned(forward)],
        [forward * sin_r, forward * -cos_r, level_up],
        [-up, right, DVec3::ZERO],
    ];
    let (x, y) = (offset.dot(right) / depth_m, offset.dot(up) / depth_m);
    let (focal_px, bend) = (at[LOG_FOCAL].exp(), at[RADIAL]);
    let r2 = x * x + y * y;
    let stretch = 1.0 + bend * r2;
    let mut slopes = [[0.0; MOST]; 2];
    let mut note = |unknown: usize, [across, rise, depth]: [f64; 3]| {
        let (dx, dy) = ((across - x * depth) / depth_m, (rise - y * depth) / depth_m);
        let d_stretch = 2.0 * bend * (x * dx + y * dy);
        slopes[0][unknown] = focal_px * (dx * stretch + x * d_stretch);
        slopes[1][unknown] = -focal_px * (dy * stretch + y * d_stretch);
    };
    for axis in 0..3 {
        note(axis, [-right[axis], -up[axis], -forward[axis]]);
    }
    for (turn, unknown) in turns.iter().zip([HEADING, PITCH, ROLL]) {
        note(unknown, turn.map(|direction| offset.dot(direction)));
    }
    slopes[0][LOG_FOCAL] = focal_px * x * stretch;
    slopes[1][LOG_FOCAL] = -focal_px * y * stretch;
    slopes[0][RADIAL] = focal_px * x * r2;
    slopes[1][RADIAL] = -focal_px * y * r2;
    (slopes[0][MIDDLE_X], slopes[1][MIDDLE_Y]) = (1.0, 1.0);
    let axis_px = plate.middle_px() + DVec2::new(at[MIDDLE_X], at[MIDDLE_Y]);
    let place = axis_px + focal_px * stretch * DVec2::new(x, -y);
    place.is_finite().then_some((place, slopes))
}

/// An unknown of which something is known roughly: one more observation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rough {
    /// Which.
    pub unknown: usize,
    /// What is told of it.
    pub told: f64,
    /// What a mark errs by over what that may be off by: both then weigh as they are known.
    pub weight_px: f64,
}

impl Rough {
    /// How far some unknowns are from it, weighed as pixels.
    pub(super) fn error_px(&self, at: &Unknowns) -> f64 {
        self.weight_px * (at[self.unknown] - self.told)
    }
}

/// The errors of all marks, pixels across and down in turn, and behind them those of what is known roughly.
pub(super) fn look(
    at: &Unknowns,
    plate: &Plate,
    marks: &[&Mark],
    rough: &[Rough],
) -> Option<Linear> {
    let basis = pose(at).basis();
    let mut linear = Linear {
        errors: Vec::with_capacity(2 * marks.len() + rough.len()),
        slopes: Vec::with_capacity(2 * marks.len() + rough.len()),
    };
    for mark in marks {
        let (place, slopes) = image(at, &basis, plate, mark.at_m)?;
        let error = place - mark.at_px;
        linear.errors.extend([error.x, error.y]);
        linear.slopes.extend(slopes);
    }
    for rough in rough {
        let mut slope = [0.0; MOST];
        slope[rough.unknown] = rough.weight_px;
        linear.errors.push(rough.error_px(at));
        linear.slopes.push(slope);
    }
    Some(linear)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::camera::film::Film;

    /// Against differences: (f(x + h) − f(x − h)) / 2h.
    #[test]
    fn slopes_are_those_of_small_differences() {
        let plate = Plate {
            width_px: 4500.0,
            height_px: 3000.0,
            film: Film::FULL,
        };
        let at = [3.0, -20.0, 1.6, 0.1, 0.05, 0.03, 8.4, -0.08, 120.0, -45.0];
        let point = DVec3::new(-4.0, 1.5, 3.9);
        let seen = |at: &Unknowns| image(at, &pose(at).basis(), &plate, point).unwrap();
        let (_, slopes) = seen(&at);
        for unknown in 0..MOST {
            let (mut more, mut less) = (at, at);
            more[unknown] += 1e-6;
            less[unknown] -= 1e-6;
            let difference = (seen(&more).0 - seen(&less).0) / 2e-6;
            for (axis, slope) in slopes.iter().enumerate() {
                let (found, wanted) = (slope[unknown], difference[axis]);
                assert!((found - wanted).abs() < 1e-3, "{unknown}: {found} {wanted}");
            }
        }
    }
}
