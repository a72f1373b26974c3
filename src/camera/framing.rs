//! How points lie in the frame: margins, and the aim that makes them equal. May not enter: pixels
//! (margins come from projected vertices), what the points belong to.

use super::{
    film::Film,
    lens::Lens,
    pose::Pose,
    projection::{Camera, ImagePoint},
};
use crate::units::{bearing_deg, deg, rad, wrap_180, wrap_360};
use glam::DVec3;

/// A point nearer than this along the axis, metres, has no usable image: it counts as cut off.
pub const NEAREST_M: f64 = 0.1;

/// The room around a set of points, as fractions of the frame; negative where it is cut off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margins {
    /// Of the frame's width, left of the points.
    pub left: f64,
    /// Of the frame's width, right of the points.
    pub right: f64,
    /// Of the frame's height, above the points.
    pub top: f64,
    /// Of the frame's height, below the points.
    pub bottom: f64,
    /// Of the frame's width, from the leftmost point to the rightmost; above 1 if wider than the frame.
    pub width_share: f64,
    /// Of the frame's height, from the lowest point to the highest.
    pub height_share: f64,
    /// Whether some point lies nearer than `NEAREST_M` along the axis, or behind the eye. Nothing
    /// can be measured then: every margin is −1.
    pub beyond_eye: bool,
}

impl Margins {
    /// From the lowest and highest u and v that the points reach.
    fn from_extent(u: [f64; 2], v: [f64; 2], beyond_eye: bool) -> Margins {
        Margins {
            left: u[0],
            right: 1.0 - u[1],
            top: v[0],
            bottom: 1.0 - v[1],
            width_share: u[1] - u[0],
            height_share: v[1] - v[0],
            beyond_eye,
        }
    }

    /// The smaller of left and right.
    pub fn smaller_side(&self) -> f64 {
        self.left.min(self.right)
    }

    /// The smaller of top and bottom.
    pub fn smaller_end(&self) -> f64 {
        self.top.min(self.bottom)
    }
}

/// The margins around `points`; none without points, or when one of them is not a number.
pub fn margins(camera: &Camera, points: &[DVec3]) -> Option<Margins> {
    if points.is_empty() || !points.iter().all(|point| point.is_finite()) {
        return None;
    }
    let basis = camera.pose.basis();
    let image = |point: &DVec3| {
        let image = camera.project_in(&basis, *point).filter(usable);
        image.map(|image| camera.u_v(&image))
    };
    Some(margins_of(points.iter().map(image)))
}

/// The margins around images of points, as shares of the frame's width and height from its upper left corner; none
/// for a point without a usable image.
pub fn margins_of(images: impl Iterator<Item = Option<(f64, f64)>>) -> Margins {
    let (mut u_range, mut v_range) = (EMPTY, EMPTY);
    for image in images {
        match image {
            Some((u, v)) => {
                u_range = widen(u_range, u);
                v_range = widen(v_range, v);
            }
            None => return Margins::from_extent([-1.0, 2.0], [-1.0, 2.0], true),
        }
    }
    Margins::from_extent(u_range, v_range, false)
}

/// The heading at which `points` have equal margins left and right, at a fixed pitch and roll.
///
/// A level, unshifted camera bisects the extreme bearings (closed form: the tangents to either side
/// are then opposite). Any other is found by bisection between the headings that keep every point in
/// front, where turning right moves every image to the left. None when a point lies at, above, below
/// or behind the eye, or when no such heading exists (a camera rolled onto its side).
pub fn balanced_heading(
    eye: DVec3,
    film: &Film,
    lens: &Lens,
    pitch_deg: f64,
    roll_deg: f64,
    points: &[DVec3],
) -> Option<f64> {
    if points.is_empty() {
        return None;
    }
    let sights = sights(eye, points)?;
    let [first_deg, last_deg] = extent(sights.iter().map(|sight| sight.bearing_deg));
    if last_deg - first_deg >= 180.0 {
        return None;
    }
    let camera_at = |heading_deg: f64| Camera {
        pose: Pose {
            eye,
            heading_deg,
            pitch_deg,
            roll_deg,
        },
        lens: *lens,
        film: *film,
    };
    // Left margin less right margin, wanted 0; it falls as the heading turns right.
    let imbalance = |heading_deg: f64| {
        margins(&camera_at(heading_deg), points)
            .filter(|around| !around.beyond_eye)
            .map(|around| around.left - around.right)
    };
    let middle_deg = (first_deg + last_deg) / 2.0;
    let heading_deg = if pitch_deg == 0.0 && roll_deg == 0.0 && lens.shift_x_mm == 0.0 {
        middle_deg
    } else {
        let (low_deg, high_deg) = headings_in_front(&sights, pitch_deg)?;
        bisect(low_deg, high_deg, imbalance)?
    };
    imbalance(heading_deg).map(|_| wrap_360(heading_deg))
}

/// A point as the eye finds it on the level.
struct Sight {
    /// Bearing, degrees, continuous across north: within half a turn of the points' mean direction.
    bearing_deg: f64,
    /// Level distance, metres.
    distance_m: f64,
    /// Height over the eye, metres.
    rise_m: f64,
}

/// The bearings of the points about their common middle; none if one has no bearing.
fn sights(eye: DVec3, points: &[DVec3]) -> Option<Vec<Sight>> {
    let mut mean = DVec3::ZERO;
    for &point in points {
        let level = (point - eye).with_z(0.0);
        if !(point.is_finite() && level.length() > 0.0) {
            return None;
        }
        mean += level.normalize();
    }
    let middle_deg = bearing_deg(mean.x, mean.y);
    let sight = |&point: &DVec3| {
        let offset = point - eye;
        Sight {
            bearing_deg: middle_deg + wrap_180(bearing_deg(offset.x, offset.y) - middle_deg),
            distance_m: offset.truncate().length(),
            rise_m: offset.z,
        }
    };
    Some(points.iter().map(sight).collect())
}

/// The headings between which every point lies at `NEAREST_M` or more along the axis and within a
/// right angle of it on the level.
fn headings_in_front(sights: &[Sight], pitch_deg: f64) -> Option<(f64, f64)> {
    let (sin_pitch, cos_pitch) = rad(pitch_deg).sin_cos();
    let (mut low_deg, mut high_deg) = (f64::NEG_INFINITY, f64::INFINITY);
    for sight in sights {
        let needed = (NEAREST_M - sight.rise_m * sin_pitch) / (sight.distance_m * cos_pitch);
        if !(cos_pitch > 0.0 && needed < 1.0) {
            return None;
        }
        let reach_deg = deg(needed.max(0.0).acos());
        low_deg = low_deg.max(sight.bearing_deg - reach_deg);
        high_deg = high_deg.min(sight.bearing_deg + reach_deg);
    }
    (low_deg < high_deg).then_some((low_deg, high_deg))
}

/// The root of a falling function between two headings whose ends themselves may have no value.
fn bisect(low_deg: f64, high_deg: f64, value: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let inset_deg = (high_deg - low_deg) * 1e-9;
    let (mut low_deg, mut high_deg) = (low_deg + inset_deg, high_deg - inset_deg);
    if value(low_deg)? < 0.0 || value(high_deg)? > 0.0 {
        return None;
    }
    // Each step halves at most 180°; 64 of them exhaust a double.
    for _ in 0..64 {
        let middle_deg = (low_deg + high_deg) / 2.0;
        if value(middle_deg)? >= 0.0 {
            low_deg = middle_deg;
        } else {
            high_deg = middle_deg;
        }
    }
    Some((low_deg + high_deg) / 2.0)
}

const EMPTY: [f64; 2] = [f64::INFINITY, f64::NEG_INFINITY];

fn widen([low, high]: [f64; 2], value: f64) -> [f64; 2] {
    [low.min(value), high.max(value)]
}

fn extent(values: impl Iterator<Item = f64>) -> [f64; 2] {
    values.fold(EMPTY, widen)
}

fn usable(image: &ImagePoint) -> bool {
    image.depth_m >= NEAREST_M
}

#[cfg(test)]
mod tests {
    use super::*;

    fn camera(heading_deg: f64) -> Camera {
        Camera {
            pose: Pose::level(DVec3::ZERO, heading_deg),
            lens: Lens::new(36.0),
            film: Film::FULL,
        }
    }

    #[test]
    fn margins_and_shares_fill_the_frame() {
        // 36 mm lens, 10 m away: the frame spans 10 m x 6.667 m.
        let points = [DVec3::new(-4.0, 10.0, -1.0), DVec3::new(3.0, 10.0, 2.0)];
        let around = margins(&camera(0.0), &points).unwrap();
        for (found, expected) in [
            (around.left, 0.1),
            (around.right, 0.2),
            (around.width_share, 0.7),
            (around.top, 0.2),
            (around.bottom, 0.35),
            (around.height_share, 0.45),
        ] {
            assert!((found - expected).abs() < 1e-12, "{found} {expected}");
        }
        assert!(!around.beyond_eye);
        assert!((around.smaller_side() - 0.1).abs() < 1e-12);
        assert!((around.smaller_end() - 0.2).abs() < 1e-12);
    }

    #[test]
    fn what_sticks_out_of_the_frame_has_a_negative_margin() {
        let around = margins(&camera(0.0), &[DVec3::new(6.0, 10.0, 0.0)]).unwrap();
        assert!((around.right + 0.1).abs() < 1e-12);
    }

    #[test]
    fn a_point_beside_or_behind_the_eye_counts_as_cut_off_on_every_side() {
        for near in [0.0999, 0.0, -5.0] {
            let points = [DVec3::new(0.0, 10.0, 0.0), DVec3::new(1.0, near, 0.0)];
            let around = margins(&camera(0.0), &points).unwrap();
            assert!(around.beyond_eye);
            assert_eq!([around.left, around.right, around.top], [-1.0; 3]);
        }
    }

    #[test]
    fn no_points_and_no_numbers_give_no_margins() {
        assert_eq!(margins(&camera(0.0), &[]), None);
        assert_eq!(margins(&camera(0.0), &[DVec3::NAN]), None);
    }

    fn aim(points: &[DVec3], pitch_deg: f64, roll_deg: f64) -> Option<f64> {
        let lens = Lens::new(50.0);
        balanced_heading(DVec3::ZERO, &Film::FULL, &lens, pitch_deg, roll_deg, points)
    }

    #[test]
    fn a_level_camera_bisects_the_extreme_bearings_across_north() {
        let at = |bearing: f64, far: f64| {
            DVec3::new(far * rad(bearing).sin(), far * rad(bearing).cos(), 1.0)
        };
        let heading_deg = aim(&[at(350.0, 9.0), at(4.0, 30.0), at(30.0, 12.0)], 0.0, 0.0).unwrap();
        assert!((heading_deg - 10.0).abs() < 1e-9, "{heading_deg}");
    }

    #[test]
    fn there_is_no_aim_when_points_surround_the_eye_or_have_no_bearing() {
        let around = [DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y].map(|side| side * 9.0);
        for pitch_deg in [0.0, 10.0] {
            assert_eq!(aim(&around, pitch_deg, 0.0), None);
            assert_eq!(aim(&around[..2], pitch_deg, 0.0), None);
            assert_eq!(aim(&[DVec3::Z], pitch_deg, 0.0), None);
            assert_eq!(aim(&[DVec3::ZERO], pitch_deg, 0.0), None);
            assert_eq!(aim(&[DVec3::NAN], pitch_deg, 0.0), None);
            assert_eq!(aim(&[], pitch_deg, 0.0), None);
        }
        assert_eq!(aim(&[DVec3::Y * 9.0], f64::NAN, 0.0), None);
        assert_eq!(aim(&[DVec3::Y * 9.0], 90.0, 0.0), None);
    }
}
