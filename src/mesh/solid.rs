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
    /// An upright ellipsoid: crowns and bushes.
    Ellipsoid {
        /// Centre.
        centre: DVec3,
        /// Half axes along x, y and z.
        radii_m: DVec3,
    },
}
