//! The sun's disc on a plane at unit distance, and how much of it a convex outline covers. May not enter: what
//! casts the outline.

use glam::DVec2;

/// Tangent of the sun's mean angular radius, 0.53°/2 (from memory; it ranges 0.524°–0.542°).
pub const SUN_RADIUS_TAN: f64 = 0.004625;

/// Whether a convex counter-clockwise loop holds a point.
pub fn holds(outline: &[DVec2], at: DVec2) -> bool {
    (0..outline.len()).all(|i| {
        let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
        (b - a).perp_dot(at - a) >= 0.0
    })
}

/// Whether a convex counter-clockwise loop holds the sun's whole disc (centred on the origin).
pub fn holds_disc(outline: &[DVec2]) -> bool {
    (0..outline.len()).all(|i| {
        let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
        a.perp_dot(b) >= SUN_RADIUS_TAN * a.distance(b)
    })
}

/// Whether the sun's whole disc (centred on the origin) lies beyond one edge of a convex counter-clockwise loop.
pub fn misses_disc(outline: &[DVec2]) -> bool {
    (0..outline.len()).any(|i| {
        let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
        a.perp_dot(b) <= -SUN_RADIUS_TAN * a.distance(b)
    })
}

/// Share of the sun's disc (centred on the origin) inside a convex counter-clockwise loop: the sum over its
/// edges of the area between edge and centre, cut by the circle.
pub fn disc_overlap(outline: &[DVec2]) -> f64 {
    let radius = SUN_RADIUS_TAN;
    let area: f64 = (0..outline.len())
        .map(|i| {
            wedge(
                outline[i] / radius,
                outline[(i + 1) % outline.len()] / radius,
            )
        })
        .sum();
    (area / std::f64::consts::PI).clamp(0.0, 1.0)
}

/// Signed area of the triangle (origin, a, b) inside the unit circle.
fn wedge(a: DVec2, b: DVec2) -> f64 {
    let sector = |p: DVec2, q: DVec2| p.perp_dot(q).atan2(p.dot(q)) / 2.0;
    let along = b - a;
    // |a + t·along|² = 1
    let (qa, qb, qc) = (
        along.length_squared(),
        2.0 * a.dot(along),
        a.length_squared() - 1.0,
    );
    let discriminant = qb * qb - 4.0 * qa * qc;
    if qa < 1e-18 {
        return 0.0;
    }
    if discriminant <= 0.0 {
        return sector(a, b);
    }
    let root = discriminant.sqrt();
    let (t0, t1) = ((-qb - root) / (2.0 * qa), (-qb + root) / (2.0 * qa));
    let (enter, leave) = (t0.clamp(0.0, 1.0), t1.clamp(0.0, 1.0));
    if enter >= leave {
        return sector(a, b);
    }
    let (p, q) = (a + along * enter, a + along * leave);
    sector(a, p) + p.perp_dot(q) / 2.0 + sector(q, b)
}

/// Convex hull, counter-clockwise (Andrew's monotone chain).
pub fn hull(mut points: Vec<DVec2>) -> Vec<DVec2> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let mut chain: Vec<DVec2> = Vec::with_capacity(points.len() + 1);
    for pass in 0..2 {
        let floor = chain.len() + 1;
        let mut add = |p: DVec2| {
            while chain.len() > floor {
                let (a, b) = (chain[chain.len() - 2], chain[chain.len() - 1]);
                if (b - a).perp_dot(p - b) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        };
        if pass == 0 {
            points.iter().for_each(|p| add(*p));
        } else {
            points.iter().rev().for_each(|p| add(*p));
        }
        chain.pop();
    }
    chain
}
