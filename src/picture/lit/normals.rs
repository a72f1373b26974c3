//! Directions of surfaces that are meant to be round: the mean over the triangles about a corner, as far as these do
//! not turn by more than a crease. May not enter: what surfaces are made of.

use glam::DVec3;
use std::collections::HashMap;

/// Corners nearer than this are one, metres.
const WELD_M: f64 = 1e-4;

/// A welded corner of a group.
type Corner = (i64, i64, i64, u32);

/// Directions for the three corners of each triangle. `group` keeps apart what never blends; `crease_cos` is the cosine
/// of the widest turn that still reads as round. Triangles are weighted by area, so that a flat panel stays flat
/// beside a rounded edge, and by their angle at the corner, so that how a face was cut does not matter (Thürmer and
/// Wüthrich, Journal of Graphics Tools 3, 1998).
pub fn smoothed(
    triangles: &[[DVec3; 3]],
    flat: &[DVec3],
    group: &dyn Fn(usize) -> (u32, f64),
) -> Vec<[DVec3; 3]> {
    let key = |p: DVec3, group: u32| {
        let [x, y, z] = (p / WELD_M).round().to_array().map(|v| v as i64);
        (x, y, z, group)
    };
    // The triangles about each corner, with their weights.
    let mut about: HashMap<Corner, Vec<(u32, f64)>> = HashMap::new();
    for (t, corners) in triangles.iter().enumerate() {
        let [a, b, c] = *corners;
        let area = (b - a).cross(c - a).length();
        for (i, corner) in corners.iter().enumerate() {
            let arms = [1, 2].map(|step| corners[(i + step) % 3] - *corner);
            let here = about.entry(key(*corner, group(t).0)).or_default();
            here.push((t as u32, area * arms[0].angle_between(arms[1])));
        }
    }
    let of_corner = |t: usize, corner: DVec3| {
        let (group, crease_cos) = group(t);
        let alike = (about[&key(corner, group)].iter())
            .filter(|(other, _)| flat[*other as usize].dot(flat[t]) >= crease_cos);
        let sum: DVec3 = alike
            .map(|(other, weight)| flat[*other as usize] * *weight)
            .sum();
        sum.normalize_or(flat[t])
    };
    (triangles.iter().enumerate())
        .map(|(t, corners)| corners.map(|corner| of_corner(t, corner)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solid::Solid;

    /// On a round bar every smoothed direction is square to the axis and points straight outward (the closed form
    /// of a cylinder), while the end caps keep their own.
    #[test]
    fn a_bar_is_round_and_its_ends_are_flat() {
        let bar = Solid::Bar {
            a: DVec3::ZERO,
            b: DVec3::Z * 3.0,
            radius_a_m: 0.2,
            radius_b_m: 0.2,
        };
        let convex = bar.convex();
        let triangles: Vec<[DVec3; 3]> = (convex.triangles())
            .map(|t| t.map(|i| convex.corners[i as usize]))
            .collect();
        let flat: Vec<DVec3> = (triangles.iter())
            .map(|[a, b, c]| (*b - *a).cross(*c - *a).normalize())
            .collect();
        let smooth = smoothed(&triangles, &flat, &|_| (0, 0.7));
        for (t, corners) in triangles.iter().enumerate() {
            for (corner, normal) in corners.iter().zip(smooth[t]) {
                let expected = if flat[t].z.abs() > 0.9 {
                    flat[t]
                } else {
                    DVec3::new(corner.x, corner.y, 0.0).normalize()
                };
                assert!(normal.distance(expected) < 1e-6, "{normal} {expected}");
            }
        }
    }
}
