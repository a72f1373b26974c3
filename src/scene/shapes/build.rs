//! Putting shapes together: solids, each with its coat, and the plainest of them. May not enter: what a
//! shape stands for.

use crate::mesh::solid::Solid;
use crate::scene::coat::Coat;
use crate::units::rad;
use glam::{DVec2, DVec3};

/// Solids, each with what it is made of.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Build {
    /// The solids.
    pub solids: Vec<Solid>,
    /// Their coats, one by one.
    pub coats: Vec<Coat>,
}

impl Build {
    /// Adds a solid.
    pub fn add(&mut self, coat: Coat, solid: Solid) {
        self.solids.push(solid);
        self.coats.push(coat);
    }

    /// Adds solids of one coat.
    pub fn all(&mut self, coat: Coat, solids: impl IntoIterator<Item = Solid>) {
        for solid in solids {
            self.add(coat, solid);
        }
    }

    /// What was built in a frame of its own (x forward, y left, z up from its foot), standing at a foot and
    /// turned to a bearing.
    pub fn standing(self, foot: DVec3, bearing_deg: f64) -> Build {
        let (sin, cos) = rad(bearing_deg).sin_cos();
        let forward = DVec2::new(sin, cos);
        self.moved(|p| foot + (forward * p.x + forward.perp() * p.y).extend(p.z))
    }

    /// Every solid after a shift and a turn about an upright axis.
    pub fn moved(self, map: impl Fn(DVec3) -> DVec3) -> Build {
        Build {
            solids: (self.solids.into_iter())
                .map(|solid| solid.moved(&map))
                .collect(),
            coats: self.coats,
        }
    }
}

/// A round bar of even thickness.
pub fn bar(a: DVec3, b: DVec3, radius_m: f64) -> Solid {
    cone(a, b, radius_m, radius_m)
}

/// A round bar that tapers.
pub fn cone(a: DVec3, b: DVec3, radius_a_m: f64, radius_b_m: f64) -> Solid {
    Solid::Bar {
        a,
        b,
        radius_a_m,
        radius_b_m,
    }
}

/// A beam between the middles of its end faces.
pub fn beam(a: DVec3, b: DVec3, width_m: f64, height_m: f64) -> Solid {
    Solid::Beam {
        a,
        b,
        width_m,
        height_m,
    }
}

/// A box between any two opposite corners, its edges along the axes of the frame it is built in.
pub fn block(corner: DVec3, opposite: DVec3) -> Solid {
    let (middle, size) = ((corner + opposite) / 2.0, (opposite - corner).abs());
    let along = DVec3::X * (size.x / 2.0);
    beam(middle - along, middle + along, size.y, size.z)
}

/// An upright ellipsoid that is round from above.
pub fn round(centre: DVec3, across_m: f64, up_m: f64) -> Solid {
    Solid::Ellipsoid {
        centre,
        radii_m: DVec3::new(across_m, across_m, up_m),
    }
}

/// A hull between two loops (see [`Solid::Loft`]).
pub fn loft(from: impl IntoIterator<Item = DVec3>, to: impl IntoIterator<Item = DVec3>) -> Solid {
    Solid::Loft {
        from: from.into_iter().collect(),
        to: to.into_iter().collect(),
    }
}

/// The same section (y, z; counter-clockwise seen from ahead) from one x to another.
pub fn extruded(section: &[(f64, f64)], from_x: f64, to_x: f64) -> Solid {
    let at = |x: f64| section.iter().map(move |(y, z)| DVec3::new(x, *y, *z));
    loft(at(from_x), at(to_x))
}

/// The same profile (x, z; counter-clockwise seen from the right) from one y to another farther left.
pub fn across(profile: &[(f64, f64)], from_y: f64, to_y: f64) -> Solid {
    // Seen from the left, where the second loop lies, the order is the other way round.
    let at = |y: f64| (profile.iter().rev()).map(move |(x, z)| DVec3::new(*x, y, *z));
    loft(at(from_y), at(to_y))
}

/// A level rectangle about a middle, counter-clockwise from above.
pub fn level(middle: DVec3, half_x_m: f64, half_y_m: f64) -> [DVec3; 4] {
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .map(|(x, y)| middle + DVec3::new(x * half_x_m, y * half_y_m, 0.0))
}

/// A number from 0 to 1 that differs from one place and number to the next: shapes vary by where they
/// stand, and the same file always gives the same shapes. Multiples of the golden ratio spread evenly along a
/// line, those of the plastic ratio's first two powers (1/1.3247…, 1/1.7549…) over a plane (from memory).
pub fn chance(foot: DVec3, number: usize) -> f64 {
    let place = (foot.x * 0.754_877_666 + foot.y * 0.569_840_291).fract();
    (place + number as f64 * 0.618_033_989).rem_euclid(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sections_and_profiles_become_solids_that_look_outward() {
        let box_m3 = block(DVec3::new(1.0, -1.0, 0.0), DVec3::new(3.0, 1.0, 0.5));
        assert!((box_m3.convex().volume_m3() - 2.0).abs() < 1e-12);
        let triangle = [(0.0, 0.0), (2.0, 0.0), (1.0, 1.0)];
        // Seen from ahead y runs to the right: (y, z) is then counter-clockwise as written.
        assert!((extruded(&triangle, 0.0, 4.0).convex().volume_m3() - 4.0).abs() < 1e-12);
        // Seen from the right x runs to the right.
        assert!((across(&triangle, -2.0, 2.0).convex().volume_m3() - 4.0).abs() < 1e-12);
    }

    #[test]
    fn what_stands_at_a_bearing_looks_there() {
        let mut build = Build::default();
        build.add(
            Coat::default(),
            bar(DVec3::ZERO, DVec3::new(1.0, 0.0, 2.0), 0.1),
        );
        let stood = build.standing(DVec3::new(10.0, 20.0, -0.5), 90.0);
        let Solid::Bar { a, b, .. } = stood.solids[0] else {
            panic!("a bar stays a bar");
        };
        assert_eq!(a, DVec3::new(10.0, 20.0, -0.5));
        assert!(b.distance(DVec3::new(11.0, 20.0, 1.5)) < 1e-12, "east: {b}");
    }
}
