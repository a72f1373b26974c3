//! What marks must be before a pose is asked of them, and what a pose must be to be told. May not enter: the search.

use super::{Fit, Known, LEAST_MARKS, Mark, Plate, Point, Refused};
use glam::{DVec2, DVec3};

/// Points nearer to one another than this are one point, metres.
const SAME_M: f64 = 0.01;

/// Points that leave a line or plane by less than this share of their greatest extent lie on it: at 40 m a
/// point 1 % of the machine's length off a plane moves some pixels, which marking hides.
const FLAT_SHARE: f64 = 0.01;

/// Marks within this share of the picture's width are all on one spot: a machine so small shows no shape.
const SPOT_SHARE: f64 = 0.005;

/// An eye known less well than this share of its distance, or a focal length than this share of itself, is
/// not known.
const WEAK_SHARE: f64 = 0.2;

/// Holds the marks to what a pose needs.
pub(super) fn check(marks: &[Mark], plate: &Plate, known: &Known) -> Result<(), Refused> {
    let sizes = [
        plate.width_px,
        plate.height_px,
        plate.film.width_mm,
        plate.film.height_mm,
        known.focal_mm.unwrap_or(1.0),
        known.placed_to_px,
    ];
    if !sizes.iter().all(|size| *size > 0.0 && size.is_finite()) {
        let told = "the picture's size, its film's, the focal length and the marks' precision must be above 0";
        return Err(Refused::NoNumber(told.to_string()));
    }
    for (index, mark) in marks.iter().enumerate() {
        if !(mark.at_m.is_finite() && mark.at_px.is_finite()) {
            let told = format!("\"{}\" has no place: not a number", mark.name);
            return Err(Refused::NoNumber(told));
        }
        if marks[..index].iter().any(|other| other.name == mark.name) {
            return Err(Refused::Twice(Point::named(&mark.name)));
        }
    }
    let places = marks.iter().map(|mark| mark.at_px);
    let low = places.clone().reduce(DVec2::min).unwrap_or_default();
    let high = places.reduce(DVec2::max).unwrap_or_default();
    if marks.len() >= LEAST_MARKS && (high - low).max_element() < SPOT_SHARE * plate.width_px {
        return Err(Refused::OneSpot);
    }
    let mut different: Vec<DVec3> = Vec::new();
    for mark in marks {
        if different.iter().all(|at| at.distance(mark.at_m) > SAME_M) {
            different.push(mark.at_m);
        }
    }
    if different.len() < LEAST_MARKS {
        return Err(Refused::TooFew {
            found: different.len(),
        });
    }
    let [least, middle, most] = extents_m(&different);
    if middle < FLAT_SHARE * most {
        return Err(Refused::OneLine);
    }
    if least < FLAT_SHARE * most && known.focal_mm.is_none() {
        return Err(Refused::OnePlane);
    }
    Ok(())
}

/// Whether the pose is known well enough to be told.
pub(super) fn check_strength(found: &Fit, marks: &[Mark]) -> Result<(), Refused> {
    let middle = marks.iter().map(|mark| mark.at_m).sum::<DVec3>() / marks.len() as f64;
    let sigmas = found.sigmas();
    let distance_m = found.pose.eye.distance(middle);
    let weak = |sigma: f64, of: f64| sigma.is_nan() || sigma > WEAK_SHARE * of;
    if weak(sigmas.eye_m.length(), distance_m) {
        return Err(Refused::Unresolved("camera's position"));
    }
    if weak(sigmas.focal_mm, found.focal_mm) {
        return Err(Refused::Unresolved("focal length"));
    }
    Ok(())
}

/// Root mean square extents about the points' middle along their three principal axes, least first: roots of
/// the eigenvalues of their scatter, in closed form (Smith 1961).
fn extents_m(points: &[DVec3]) -> [f64; 3] {
    let count = points.len() as f64;
    let middle = points.iter().sum::<DVec3>() / count;
    let mut scatter = [[0.0; 3]; 3];
    for point in points {
        let offset = (*point - middle).to_array();
        for i in 0..3 {
            for j in 0..3 {
                scatter[i][j] += offset[i] * offset[j] / count;
            }
        }
    }
    let [a, b, c] = scatter;
    let mean = (a[0] + b[1] + c[2]) / 3.0;
    let off = a[1] * a[1] + a[2] * a[2] + b[2] * b[2];
    let spread =
        ((a[0] - mean).powi(2) + (b[1] - mean).powi(2) + (c[2] - mean).powi(2) + 2.0 * off) / 6.0;
    let size = spread.sqrt();
    if size.is_nan() || size <= 0.0 {
        return [mean.max(0.0).sqrt(); 3];
    }
    let (x, y, z) = (
        (a[0] - mean) / size,
        (b[1] - mean) / size,
        (c[2] - mean) / size,
    );
    let (xy, xz, yz) = (a[1] / size, a[2] / size, b[2] / size);
    let determinant = x * (y * z - yz * yz) - xy * (xy * z - yz * xz) + xz * (xy * yz - y * xz);
    let turn = (determinant / 2.0).clamp(-1.0, 1.0).acos() / 3.0;
    let third = 2.0 * std::f64::consts::PI / 3.0;
    let most = mean + 2.0 * size * turn.cos();
    let least = mean + 2.0 * size * (turn + third).cos();
    let middle = 3.0 * mean - most - least;
    [least, middle, most].map(|value| value.max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: corners of a box of half sizes 4, 2 and 1, turned, have just these extents.
    #[test]
    fn extents_are_those_of_a_turned_box() {
        let turn = glam::DQuat::from_euler(glam::EulerRot::XYZ, 0.3, -0.8, 1.9);
        let signs = [-1.0, 1.0];
        let corners: Vec<DVec3> = signs
            .iter()
            .flat_map(|x| signs.iter().map(move |y| (x, y)))
            .flat_map(|(x, y)| signs.iter().map(move |z| DVec3::new(4.0 * x, 2.0 * y, *z)))
            .map(|corner| turn * corner)
            .collect();
        for (found, wanted) in extents_m(&corners).iter().zip([1.0, 2.0, 4.0]) {
            assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
        }
    }
}
