//! Where a fit may begin when nothing is known: stands all round the points, aimed at them. May not enter: which
//! of them ends best.

use super::least::Unknowns;
use super::{Mark, Plate, unknowns};
use crate::camera::pose::Pose;
use crate::units::{bearing_deg, deg, rad};
use glam::{DVec2, DVec3};

/// Stands round the points.
const BEARINGS: usize = 24;

/// Focal lengths tried where it is not known, over the picture's width.
const FOCALS: [f64; 4] = [0.7, 1.3, 2.5, 5.0];

/// What the points' spread may look like over what it is: sideways on, or from an end.
const FORESHORTENED: [f64; 3] = [0.9, 0.6, 0.35];

/// Starting values, for a camera held with this roll.
pub(super) fn starts(
    marks: &[&Mark],
    plate: &Plate,
    focal_px: Option<f64>,
    roll_deg: f64,
) -> Vec<Unknowns> {
    let count = marks.len() as f64;
    let middle_m = marks.iter().map(|mark| mark.at_m).sum::<DVec3>() / count;
    let middle_px = marks.iter().map(|mark| mark.at_px).sum::<DVec2>() / count;
    let spread_m = (marks.iter())
        .map(|mark| mark.at_m.distance_squared(middle_m) / count)
        .sum::<f64>()
        .sqrt();
    let spread_px = (marks.iter())
        .map(|mark| mark.at_px.distance_squared(middle_px) / count)
        .sum::<f64>()
        .sqrt();
    let focals = match focal_px {
        Some(focal_px) => vec![focal_px],
        None => FOCALS.map(|share| share * plate.width_px).to_vec(),
    };
    let mut all = Vec::new();
    for focal_px in focals {
        for share in FORESHORTENED {
            // Marks on one spot would be infinitely far away; a kilometre is far enough.
            let away_m = (share * spread_m * focal_px / spread_px).clamp(1.0, 1000.0);
            for step in 0..BEARINGS {
                let (sin, cos) = rad(360.0 * step as f64 / BEARINGS as f64).sin_cos();
                let eye = middle_m - away_m * DVec3::new(sin, cos, 0.0);
                // The points' middle lies off the axis as their marks do.
                let off = rotated(middle_px - plate.middle_px(), roll_deg) / focal_px;
                let pose = Pose {
                    eye,
                    heading_deg: bearing_deg(sin, cos) - deg(off.x.atan()),
                    pitch_deg: deg(off.y.atan()),
                    roll_deg,
                };
                all.push(unknowns(&pose, focal_px, 0.0));
            }
        }
    }
    all
}

/// A place in a rolled picture as a level one would have it: right and down.
fn rotated(place: DVec2, roll_deg: f64) -> DVec2 {
    let (sin, cos) = rad(roll_deg).sin_cos();
    DVec2::new(place.x * cos - place.y * sin, place.x * sin + place.y * cos)
}
