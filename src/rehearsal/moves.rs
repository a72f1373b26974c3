//! Moves of a camera: walking, aiming, lenses. Pure geometry on a stand. May not enter: whether one may stand there.

use crate::grade::Stand;
use crate::scene::limits::{HEIGHTS_M, LENSES_MM, PITCHES_DEG, ROLLS_DEG};
use crate::units::{bearing_deg, rad, wrap_360};
use glam::DVec2;

/// The stand moved by metres to the right and forward as the camera looks, its heading turned with the bearing of
/// `subject_m`, so that the machine stays where it was in the frame.
pub fn walk(stand: &Stand, right_m: f64, forward_m: f64, subject_m: DVec2) -> Stand {
    let heading = rad(stand.heading_deg);
    let forward = DVec2::new(heading.sin(), heading.cos());
    let right = DVec2::new(forward.y, -forward.x);
    stand_at(
        stand,
        stand.spot_m + right * right_m + forward * forward_m,
        subject_m,
    )
}

/// The stand at another spot, its heading turned with the bearing of `subject_m`.
pub fn stand_at(stand: &Stand, spot_m: DVec2, subject_m: DVec2) -> Stand {
    let bearing = |from: DVec2| {
        let way = subject_m - from;
        bearing_deg(way.x, way.y)
    };
    let turn_deg = bearing(spot_m) - bearing(stand.spot_m);
    let turn_deg = if turn_deg.is_finite() { turn_deg } else { 0.0 };
    Stand {
        spot_m,
        heading_deg: wrap_360(stand.heading_deg + turn_deg),
        ..*stand
    }
}

/// The camera raised by so much, within what scenes allow.
pub fn raise(stand: &Stand, by_m: f64) -> Stand {
    Stand {
        height_m: hold(stand.height_m + by_m, HEIGHTS_M, 100.0),
        ..*stand
    }
}

/// The axis turned: right, up, and clockwise about itself, degrees.
pub fn aim(stand: &Stand, right_deg: f64, up_deg: f64, clockwise_deg: f64) -> Stand {
    Stand {
        heading_deg: wrap_360(stand.heading_deg + right_deg),
        pitch_deg: hold(stand.pitch_deg + up_deg, PITCHES_DEG, 1000.0),
        roll_deg: hold(stand.roll_deg + clockwise_deg, ROLLS_DEG, 1000.0),
        ..*stand
    }
}

/// The focal length times a factor, within what scenes allow.
pub fn zoom(stand: &Stand, factor: f64) -> Stand {
    Stand {
        lens_mm: hold(stand.lens_mm * factor, LENSES_MM, 10.0),
        ..*stand
    }
}

/// The next longer or shorter lens of a kit; where the kit ends, none.
pub fn next_lens(stand: &Stand, kit_mm: &[f64], longer: bool) -> Option<Stand> {
    const SAME_MM: f64 = 0.05;
    let beyond = kit_mm.iter().copied().filter(|mm| {
        if longer {
            *mm > stand.lens_mm + SAME_MM
        } else {
            *mm < stand.lens_mm - SAME_MM
        }
    });
    let lens_mm = if longer {
        beyond.min_by(f64::total_cmp)
    } else {
        beyond.max_by(f64::total_cmp)
    }?;
    Some(Stand { lens_mm, ..*stand })
}

/// A value within a range, rounded to so many parts of its unit: what steps add up to stays a short number.
fn hold(value: f64, range: std::ops::RangeInclusive<f64>, parts: f64) -> f64 {
    let rounded = (value * parts).round() / parts;
    rounded.clamp(*range.start(), *range.end()) + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stand() -> Stand {
        Stand {
            spot_m: DVec2::new(10.0, -20.0),
            height_m: 1.5,
            lens_mm: 50.0,
            heading_deg: 0.0,
            pitch_deg: 0.0,
            roll_deg: 0.0,
        }
    }

    #[test]
    fn walking_keeps_the_subject_where_it_was_in_the_frame() {
        let subject = DVec2::new(10.0, 0.0); // due north, 20 m off
        let moved = walk(&stand(), 20.0, 0.0, subject);
        assert!((moved.spot_m - DVec2::new(30.0, -20.0)).length() < 1e-12);
        // From 20 m east and 20 m south it lies to the north-west.
        assert!((moved.heading_deg - 315.0).abs() < 1e-9);
        let near = walk(&stand(), 0.0, 5.0, subject);
        assert!((near.spot_m.y + 15.0).abs() < 1e-12 && near.heading_deg == 0.0);
    }

    #[test]
    fn lenses_step_through_the_kit_and_stop_at_its_ends() {
        let kit = [35.0, 50.0, 85.0];
        let mm = |stand: &Stand, longer| next_lens(stand, &kit, longer).map(|stand| stand.lens_mm);
        assert_eq!(mm(&stand(), true), Some(85.0));
        assert_eq!(mm(&stand(), false), Some(35.0));
        let between = zoom(&stand(), 1.2);
        assert_eq!(mm(&between, false), Some(50.0));
        assert_eq!(
            mm(
                &Stand {
                    lens_mm: 85.0,
                    ..stand()
                },
                true
            ),
            None
        );
    }

    #[test]
    fn steps_stay_within_what_scenes_allow() {
        assert_eq!(raise(&stand(), -99.0).height_m, *HEIGHTS_M.start());
        assert_eq!(aim(&stand(), 0.0, 999.0, 0.0).pitch_deg, *PITCHES_DEG.end());
        assert_eq!(zoom(&stand(), 1e9).lens_mm, *LENSES_MM.end());
        let rolled = (0..5).fold(stand(), |stand, _| aim(&stand, 0.0, 0.0, 0.2));
        assert_eq!(rolled.roll_deg, 1.0);
    }
}
