//! Plain solids that surroundings are made of. May not enter: what they stand for, pixels.

use glam::{DVec2, DVec3};

/// A convex solid, in any right-handed frame, metres.
#[derive(Clone, Debug, PartialEq)]
pub enum Solid {
    /// A round bar from `a` to `b`, tapering from radius `radius_a_m` to `radius_b_m`: poles, trunks, rails.
    Bar {
        /// One end's centre.
        a: DVec3,
        /// The other end's centre.
        b: DVec3,
        /// Radius at `a`.
        radius_a_m: f64,
        /// Radius at `b`.
        radius_b_m: f64,
    },
    /// An upright prism over a convex footprint (counter-clockwise from above): walls, buildings.
    Prism {
        /// Corners, counter-clockwise seen from above.
        footprint: Vec<DVec2>,
        /// Height of the underside.
        bottom_m: f64,
        /// Height of the top.
        top_m: f64,
    },
    /// A box along the line `a`–`b` (its centre line), `width_m` across horizontally and `height_m` high:
    /// crossarms, beams, bridge girders.
    Beam {
        /// Centre of one end face.
        a: DVec3,
        /// Centre of the other end face.
        b: DVec3,
        /// Horizontal width across the line.
        width_m: f64,
        /// Size across the line in the vertical plane.
        height_m: f64,
    },
    /// A bank along the level line `a`–`b`, its sides sloping from the crown down to the foot: ballast.
    Bank {
        /// One end of the middle line.
        a: DVec2,
        /// Its other end.
        b: DVec2,
        /// Half the width at the crown.
        crown_half_m: f64,
        /// Half the width at the foot.
        foot_half_m: f64,
        /// Height of the foot.
        bottom_m: f64,
        /// Height of the crown.
        top_m: f64,
    },
    /// The hull between two level-for-level loops whose side faces are flat: gables, hopper bays, tanks. Both
    /// loops have as many corners and run counter-clockwise seen from the second's side.
    Loft {
        /// The first loop.
        from: Vec<DVec3>,
        /// The second loop, corner for corner.
        to: Vec<DVec3>,
    },
    /// An upright ellipsoid: crowns and bushes.
    Ellipsoid {
        /// Centre.
        centre: DVec3,
        /// Half axes along x, y and z.
        radii_m: DVec3,
    },
}

/// Sides of the polygon that stands for a round bar.
const BAR_SIDES: usize = 10;

/// A convex polyhedron: corners, and faces as corner loops, counter-clockwise seen from outside.
#[derive(Clone, Debug, PartialEq)]
pub struct Convex {
    /// Corners, metres.
    pub corners: Vec<DVec3>,
    /// Loops of corner indices.
    pub faces: Vec<Vec<u32>>,
}

impl Convex {
    /// Whether a point lies inside or on a face.
    pub fn contains(&self, point: DVec3) -> bool {
        self.faces.iter().all(|face| {
            let [a, b, c] = [0, 1, 2].map(|i| self.corners[face[i] as usize]);
            (b - a).cross(c - a).dot(point - a) <= 1e-9
        })
    }

    /// Triangles over the corners, outward.
    pub fn triangles(&self) -> impl Iterator<Item = [u32; 3]> + '_ {
        self.faces
            .iter()
            .flat_map(|face| (1..face.len() - 1).map(|i| [face[0], face[i], face[i + 1]]))
    }

    /// Its volume, positive where faces look outward.
    pub fn volume_m3(&self) -> f64 {
        let six_volumes = |t: [u32; 3]| {
            let [a, b, c] = t.map(|i| self.corners[i as usize]);
            a.dot(b.cross(c))
        };
        self.triangles().map(six_volumes).sum::<f64>() / 6.0
    }

    /// The same polyhedron with every corner moved by a rigid map.
    pub fn moved(mut self, map: impl Fn(DVec3) -> DVec3) -> Convex {
        for corner in &mut self.corners {
            *corner = map(*corner);
        }
        self
    }
}

impl Solid {
    /// The solid as a convex polyhedron. A bar becomes a prism of the same cross-section area; an ellipsoid's
    /// polyhedron has its corners on the ellipsoid and lies inside it.
    pub fn convex(&self) -> Convex {
        match self {
            Solid::Bar {
                a,
                b,
                radius_a_m,
                radius_b_m,
            } => {
                let axis = (*b - *a).normalize_or(DVec3::Z);
                let (u, v) = axis.any_orthonormal_pair();
                // A regular polygon of n sides has the circle's area at this radius.
                let n = BAR_SIDES as f64;
                let fuller = (std::f64::consts::TAU / n / (std::f64::consts::TAU / n).sin()).sqrt();
                let ring = |centre: DVec3, radius: f64| {
                    (0..BAR_SIDES).map(move |i| {
                        let angle = std::f64::consts::TAU * i as f64 / n;
                        centre + (u * angle.cos() + v * angle.sin()) * radius * fuller
                    })
                };
                let corners = ring(*a, *radius_a_m).chain(ring(*b, *radius_b_m)).collect();
                extruded(corners)
            }
            Solid::Prism {
                footprint,
                bottom_m,
                top_m,
            } => {
                let at = |z: f64| footprint.iter().map(move |p| p.extend(z));
                extruded(at(*bottom_m).chain(at(*top_m)).collect())
            }
            Solid::Beam {
                a,
                b,
                width_m,
                height_m,
            } => {
                let axis = (*b - *a).normalize_or(DVec3::X);
                let across = axis.cross(DVec3::Z).normalize_or(DVec3::Y) * (*width_m / 2.0);
                let upward = across.normalize().cross(axis) * (*height_m / 2.0);
                let face = |centre: DVec3| {
                    [
                        centre - across - upward,
                        centre + across - upward,
                        centre + across + upward,
                        centre - across + upward,
                    ]
                };
                // Seen from `b` looking back at `a` the loop must run counter-clockwise.
                let mut corners: Vec<DVec3> = face(*a).into_iter().collect();
                corners.extend(face(*b));
                let loop_normal = (corners[1] - corners[0]).cross(corners[2] - corners[1]);
                if loop_normal.dot(axis) < 0.0 {
                    corners[..4].reverse();
                    corners[4..].reverse();
                }
                extruded(corners)
            }
            Solid::Bank {
                a,
                b,
                crown_half_m,
                foot_half_m,
                bottom_m,
                top_m,
            } => {
                let along = (*b - *a).normalize_or(DVec2::X);
                let left = along.perp();
                let level = |half: f64, z: f64| {
                    [(a, -half), (b, -half), (b, half), (a, half)]
                        .map(|(p, side)| (*p + left * side).extend(z))
                };
                let foot = level(*foot_half_m, *bottom_m);
                extruded(
                    foot.into_iter()
                        .chain(level(*crown_half_m, *top_m))
                        .collect(),
                )
            }
            Solid::Loft { from, to } => extruded(from.iter().chain(to).copied().collect()),
            Solid::Ellipsoid { centre, radii_m } => ellipsoid(*centre, *radii_m),
        }
    }

    /// The solid after a shift and a turn about an upright axis. An ellipsoid keeps its half axes, so only one
    /// that is round from above may be turned.
    pub fn moved(self, map: impl Fn(DVec3) -> DVec3) -> Solid {
        let rise_m = map(DVec3::ZERO).z;
        let flat = |p: DVec2| map(p.extend(0.0)).truncate();
        let all = |points: Vec<DVec3>| points.into_iter().map(&map).collect();
        match self {
            Solid::Bar {
                a,
                b,
                radius_a_m,
                radius_b_m,
            } => Solid::Bar {
                a: map(a),
                b: map(b),
                radius_a_m,
                radius_b_m,
            },
            Solid::Prism {
                footprint,
                bottom_m,
                top_m,
            } => Solid::Prism {
                footprint: footprint.into_iter().map(flat).collect(),
                bottom_m: bottom_m + rise_m,
                top_m: top_m + rise_m,
            },
            Solid::Beam {
                a,
                b,
                width_m,
                height_m,
            } => Solid::Beam {
                a: map(a),
                b: map(b),
                width_m,
                height_m,
            },
            Solid::Bank {
                a,
                b,
                crown_half_m,
                foot_half_m,
                bottom_m,
                top_m,
            } => Solid::Bank {
                a: flat(a),
                b: flat(b),
                crown_half_m,
                foot_half_m,
                bottom_m: bottom_m + rise_m,
                top_m: top_m + rise_m,
            },
            Solid::Loft { from, to } => Solid::Loft {
                from: all(from),
                to: all(to),
            },
            Solid::Ellipsoid { centre, radii_m } => Solid::Ellipsoid {
                centre: map(centre),
                radii_m,
            },
        }
    }
}

/// A prism between two loops of equal length, the first below (or behind) the second; each loop runs
/// counter-clockwise seen from the second's side.
fn extruded(corners: Vec<DVec3>) -> Convex {
    let n = (corners.len() / 2) as u32;
    let mut faces = vec![(0..n).rev().collect::<Vec<u32>>(), (n..2 * n).collect()];
    faces.extend((0..n).map(|i| {
        let j = (i + 1) % n;
        vec![i, j, n + j, n + i]
    }));
    Convex { corners, faces }
}

/// Two poles and rings of latitude between them, every corner on the ellipsoid.
fn ellipsoid(centre: DVec3, radii: DVec3) -> Convex {
    const MERIDIANS: u32 = 12;
    const PARALLELS: u32 = 6;
    let mut corners = vec![centre - DVec3::Z * radii.z];
    for p in 1..PARALLELS {
        let latitude = std::f64::consts::PI * (p as f64 / PARALLELS as f64 - 0.5);
        for m in 0..MERIDIANS {
            let longitude = std::f64::consts::TAU * m as f64 / MERIDIANS as f64;
            let unit = DVec3::new(
                latitude.cos() * longitude.cos(),
                latitude.cos() * longitude.sin(),
                latitude.sin(),
            );
            corners.push(centre + unit * radii);
        }
    }
    corners.push(centre + DVec3::Z * radii.z);
    let top = corners.len() as u32 - 1;
    let at = |p: u32, m: u32| 1 + (p - 1) * MERIDIANS + m % MERIDIANS;
    let mut faces = Vec::new();
    for m in 0..MERIDIANS {
        faces.push(vec![0, at(1, m + 1), at(1, m)]);
        for p in 1..PARALLELS - 1 {
            faces.push(vec![at(p, m), at(p, m + 1), at(p + 1, m + 1), at(p + 1, m)]);
        }
        faces.push(vec![at(PARALLELS - 1, m), at(PARALLELS - 1, m + 1), top]);
    }
    Convex { corners, faces }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solids_are_closed_outward_and_of_the_right_volume() {
        let bar = Solid::Bar {
            a: DVec3::new(1.0, 2.0, 0.0),
            b: DVec3::new(1.5, 2.0, 9.0),
            radius_a_m: 0.2,
            radius_b_m: 0.2,
        };
        let length = (0.25f64 + 81.0).sqrt();
        let exact = std::f64::consts::PI * 0.04 * length;
        assert!((bar.convex().volume_m3() / exact - 1.0).abs() < 1e-9);
        let square = [(0.0, 0.0), (2.0, 0.0), (2.0, 3.0), (0.0, 3.0)];
        let prism = Solid::Prism {
            footprint: square.map(|(x, y)| DVec2::new(x, y)).to_vec(),
            bottom_m: 1.0,
            top_m: 5.0,
        };
        assert!((prism.convex().volume_m3() - 24.0).abs() < 1e-9);
        let beam = Solid::Beam {
            a: DVec3::new(0.0, 0.0, 4.0),
            b: DVec3::new(3.0, 4.0, 4.0),
            width_m: 0.5,
            height_m: 0.2,
        };
        assert!((beam.convex().volume_m3() - 0.5).abs() < 1e-9);
        let gable = Solid::Loft {
            from: [(-2.0, 0.0), (2.0, 0.0), (0.0, 1.5)]
                .map(|(y, z)| DVec3::new(-5.0, y, z))
                .to_vec(),
            to: [(-2.0, 0.0), (2.0, 0.0), (0.0, 1.5)]
                .map(|(y, z)| DVec3::new(5.0, y, z))
                .to_vec(),
        };
        assert!((gable.convex().volume_m3() - 30.0).abs() < 1e-9);
        // A frustum over squares of 1 and 2 m: h/3·(A + B + √(A·B)).
        let square = |half: f64, z: f64| {
            [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
                .map(|(x, y)| DVec3::new(x * half, y * half, z))
                .to_vec()
        };
        let bay = Solid::Loft {
            from: square(0.5, 0.0),
            to: square(1.0, 3.0),
        };
        assert!((bay.convex().volume_m3() - 7.0).abs() < 1e-9);
        let crown = Solid::Ellipsoid {
            centre: DVec3::new(3.0, 1.0, 6.0),
            radii_m: DVec3::new(2.0, 2.0, 3.0),
        };
        let full = 4.0 / 3.0 * std::f64::consts::PI * 12.0;
        let share = crown.convex().volume_m3() / full;
        assert!(share > 0.80 && share < 1.0, "{share}");
        // A turn and a shift change no volume and close what was closed.
        let (sin, cos) = 0.7f64.sin_cos();
        let turn = |p: DVec3| {
            DVec3::new(
                p.x * cos - p.y * sin + 3.0,
                p.x * sin + p.y * cos,
                p.z - 1.0,
            )
        };
        let bank = Solid::Bank {
            a: DVec2::ZERO,
            b: DVec2::new(10.0, 0.0),
            crown_half_m: 1.0,
            foot_half_m: 2.0,
            bottom_m: -1.0,
            top_m: 0.0,
        };
        for solid in [bar, prism, beam, gable, bay, crown, bank] {
            let before = solid.convex().volume_m3();
            let after = solid.clone().moved(turn).convex().volume_m3();
            assert!((after / before - 1.0).abs() < 1e-9, "{solid:?}");
        }
    }
}
