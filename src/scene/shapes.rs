//! Solids of the things that stand about a railroad, each upright on a point or along a line.
//! May not enter: how files name them.
//!
//! Proportions that no key states are common practice, from memory.

use super::polygon::convex_pieces;
use crate::mesh::solid::Solid;
use crate::units::rad;
use glam::{DVec2, DVec3};

/// A round bar standing at a point, tapering to `taper` of its foot's diameter.
pub fn upright(foot: DVec3, height_m: f64, diameter_m: f64, taper: f64) -> Solid {
    Solid::Bar {
        a: foot,
        b: foot + DVec3::Z * height_m,
        radius_a_m: diameter_m / 2.0,
        radius_b_m: diameter_m / 2.0 * taper,
    }
}

/// A pole with its crossarms (2.4 m long, 0.6 m apart, the uppermost 0.3 m below the top).
pub fn pole(
    foot: DVec3,
    height_m: f64,
    diameter_m: f64,
    crossarms: usize,
    arms_bearing_deg: f64,
) -> Vec<Solid> {
    let bearing = rad(arms_bearing_deg);
    let half_arm = DVec3::new(bearing.sin(), bearing.cos(), 0.0) * 1.2;
    let mut solids = vec![upright(foot, height_m, diameter_m, 0.7)];
    for arm in 0..crossarms {
        let at = foot + DVec3::Z * (height_m - 0.3 - 0.6 * arm as f64);
        solids.push(Solid::Beam {
            a: at - half_arm,
            b: at + half_arm,
            width_m: 0.09,
            height_m: 0.12,
        });
    }
    solids
}

/// A signal: a mast with a tall head near its top and a case at its foot.
pub fn signal(foot: DVec3, height_m: f64, diameter_m: f64) -> Vec<Solid> {
    let box_at = |bottom: f64, top: f64, half: f64| Solid::Prism {
        footprint: square(foot.truncate(), half),
        bottom_m: foot.z + bottom,
        top_m: foot.z + top,
    };
    vec![
        upright(foot, height_m, diameter_m, 1.0),
        box_at((height_m - 1.4).max(0.0), height_m - 0.1, 0.3),
        box_at(0.0, height_m.min(0.8), 0.3),
    ]
}

/// A switch stand: a case, a rod and a target on it.
pub fn switch_stand(foot: DVec3, height_m: f64) -> Vec<Solid> {
    let target = foot + DVec3::Z * (height_m - 0.15);
    vec![
        Solid::Prism {
            footprint: square(foot.truncate(), 0.2),
            bottom_m: foot.z,
            top_m: foot.z + 0.35_f64.min(height_m),
        },
        upright(foot, height_m, 0.05, 1.0),
        Solid::Beam {
            a: target - DVec3::X * 0.2,
            b: target + DVec3::X * 0.2,
            width_m: 0.02,
            height_m: 0.3,
        },
    ]
}

/// A crown: an ellipsoid from its base to the tree's top.
pub fn crown(foot: DVec3, width_m: f64, base_m: f64, top_m: f64) -> Solid {
    Solid::Ellipsoid {
        centre: foot + DVec3::Z * ((base_m + top_m) / 2.0),
        radii_m: DVec3::new(width_m, width_m, top_m - base_m) / 2.0,
    }
}

/// A person: a body and a head.
pub fn person(foot: DVec3, height_m: f64) -> Vec<Solid> {
    let head_m = height_m / 7.5;
    vec![
        upright(foot, height_m - head_m, 0.42, 0.9),
        crown(foot, 0.2, height_m - head_m, height_m),
    ]
}

/// Upright walls over a footprint, in convex pieces.
pub fn prisms(footprint_m: &[DVec2], bottom_m: f64, top_m: f64) -> Vec<Solid> {
    convex_pieces(footprint_m)
        .into_iter()
        .map(|footprint| Solid::Prism {
            footprint,
            bottom_m,
            top_m,
        })
        .collect()
}

/// A thin upright panel over each piece of a line.
pub fn panels(points_m: &[DVec2], bottom_m: f64, height_m: f64, thickness_m: f64) -> Vec<Solid> {
    let middle = bottom_m + height_m / 2.0;
    points_m
        .windows(2)
        .map(|pair| Solid::Beam {
            a: pair[0].extend(middle),
            b: pair[1].extend(middle),
            width_m: thickness_m,
            height_m,
        })
        .collect()
}

/// Points along a line, at most `spacing_m` apart, every corner among them.
pub fn spaced(points_m: &[DVec2], spacing_m: f64) -> Vec<DVec2> {
    let mut at: Vec<DVec2> = points_m.first().copied().into_iter().collect();
    for pair in points_m.windows(2) {
        let pieces = (pair[0].distance(pair[1]) / spacing_m).ceil().max(1.0) as usize;
        at.extend((1..=pieces).map(|i| pair[0].lerp(pair[1], i as f64 / pieces as f64)));
    }
    at
}

fn square(middle: DVec2, half_m: f64) -> Vec<DVec2> {
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .map(|(x, y)| middle + DVec2::new(x, y) * half_m)
        .to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn posts_stand_at_every_corner_and_no_farther_apart_than_asked() {
        let line = [DVec2::ZERO, DVec2::new(10.0, 0.0), DVec2::new(10.0, 2.0)];
        let posts = spaced(&line, 3.0);
        assert_eq!(posts.len(), 6);
        assert!(posts.contains(&line[1]) && posts.contains(&line[2]));
        assert!(
            posts
                .windows(2)
                .all(|pair| pair[0].distance(pair[1]) <= 3.0)
        );
    }

    #[test]
    fn a_crown_reaches_from_its_base_to_the_top_of_the_tree() {
        let Solid::Ellipsoid { centre, radii_m } = crown(DVec3::new(1.0, 2.0, -0.5), 6.0, 2.0, 9.0)
        else {
            panic!("a crown is an ellipsoid");
        };
        assert_eq!(centre, DVec3::new(1.0, 2.0, 5.0));
        assert_eq!(radii_m, DVec3::new(3.0, 3.0, 3.5));
    }
}
