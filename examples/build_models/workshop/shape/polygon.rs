//! Flat outlines: triangulation with holes that uses every corner (so that solids stay closed), and
//! strokes of constant width. May not enter: the third dimension.

use glam::DVec2;

/// Twice the signed area of a triangle, positive counter-clockwise.
fn cross(a: DVec2, b: DVec2, c: DVec2) -> f64 {
    (b - a).perp_dot(c - a)
}

/// Twice the signed area of an outline, positive counter-clockwise.
pub fn signed_area2(outline: &[DVec2]) -> f64 {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum()
}

/// Whether segments a–b and c–d meet anywhere but in shared end points.
fn segments_meet(a: DVec2, b: DVec2, c: DVec2, d: DVec2) -> bool {
    const TOUCH: f64 = 1e-12;
    if a == c || a == d || b == c || b == d {
        return false;
    }
    let (c_side, d_side) = (cross(a, b, c), cross(a, b, d));
    let (a_side, b_side) = (cross(c, d, a), cross(c, d, b));
    c_side * d_side <= TOUCH && a_side * b_side <= TOUCH
}

/// Whether `target` lies inside the corner `before`–`corner`–`after` of a counter-clockwise ring.
fn in_corner(before: DVec2, corner: DVec2, after: DVec2, target: DVec2) -> bool {
    if cross(before, corner, after) >= 0.0 {
        cross(before, corner, target) > 0.0 && cross(corner, after, target) > 0.0
    } else {
        cross(before, corner, target) > 0.0 || cross(corner, after, target) > 0.0
    }
}

/// Triangles (counter-clockwise) of an outline less its holes, as indices into the outline's points
/// followed by the holes' points, every one of which is used.
///
/// Ear clipping; each hole is first joined to the ring by its shortest free bridge.
pub fn triangulate(outline: &[DVec2], holes: &[Vec<DVec2>]) -> Vec<[usize; 3]> {
    let points: Vec<DVec2> = outline
        .iter()
        .chain(holes.iter().flatten())
        .copied()
        .collect();
    let mut ring: Vec<usize> = (0..outline.len()).collect();
    if signed_area2(outline) < 0.0 {
        ring.reverse();
    }
    let mut waiting = Vec::new();
    let mut first = outline.len();
    for hole in holes {
        let mut indices: Vec<usize> = (first..first + hole.len()).collect();
        if signed_area2(hole) > 0.0 {
            indices.reverse();
        }
        waiting.push(indices);
        first += hole.len();
    }
    while !waiting.is_empty() {
        let (at, which, from) = shortest_bridge(&points, &ring, &waiting);
        let hole = waiting.remove(which);
        let around = (0..=hole.len()).map(|k| hole[(from + k) % hole.len()]);
        let tail = ring[at..].to_vec();
        ring.truncate(at + 1);
        ring.extend(around);
        ring.extend(tail);
    }
    clip_ears(&points, ring)
}

/// The ring position, hole and hole position of the shortest bridge that crosses nothing.
fn shortest_bridge(
    points: &[DVec2],
    ring: &[usize],
    holes: &[Vec<usize>],
) -> (usize, usize, usize) {
    let mut best: Option<(f64, usize, usize, usize)> = None;
    for (at, &corner) in ring.iter().enumerate() {
        let before = points[ring[(at + ring.len() - 1) % ring.len()]];
        let after = points[ring[(at + 1) % ring.len()]];
        for (which, hole) in holes.iter().enumerate() {
            for (from, &target) in hole.iter().enumerate() {
                let (a, b) = (points[corner], points[target]);
                let length = a.distance(b);
                if best.is_some_and(|(shortest, ..)| length >= shortest)
                    || !in_corner(before, a, after, b)
                {
                    continue;
                }
                let free = std::iter::once(ring)
                    .chain(holes.iter().map(Vec::as_slice))
                    .all(|edges| {
                        (0..edges.len()).all(|k| {
                            let next = edges[(k + 1) % edges.len()];
                            !segments_meet(a, b, points[edges[k]], points[next])
                        })
                    });
                if free {
                    best = Some((length, at, which, from));
                }
            }
        }
    }
    let (_, at, which, from) = best.expect("a hole lies outside its outline");
    (at, which, from)
}

/// Cuts the best-shaped ear until a triangle is left.
fn clip_ears(points: &[DVec2], mut ring: Vec<usize>) -> Vec<[usize; 3]> {
    let mut triangles = Vec::with_capacity(ring.len().saturating_sub(2));
    while ring.len() > 3 {
        let count = ring.len();
        let mut best: Option<(f64, usize)> = None;
        for at in 0..count {
            let corners = [
                ring[(at + count - 1) % count],
                ring[at],
                ring[(at + 1) % count],
            ];
            let [a, b, c] = corners.map(|corner| points[corner]);
            let area = cross(a, b, c);
            let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
            let quality = area / (longest * longest);
            if area < 1e-12 || best.is_some_and(|(shape, _)| quality <= shape) {
                continue;
            }
            let empty = ring.iter().map(|&other| points[other]).all(|p| {
                p == a
                    || p == b
                    || p == c
                    || cross(a, b, p) < -1e-12
                    || cross(b, c, p) < -1e-12
                    || cross(c, a, p) < -1e-12
            });
            if empty {
                best = Some((quality, at));
            }
        }
        let (_, at) = best.expect("an outline crosses itself");
        triangles.push([
            ring[(at + count - 1) % count],
            ring[at],
            ring[(at + 1) % count],
        ]);
        ring.remove(at);
    }
    triangles.push([ring[0], ring[1], ring[2]]);
    triangles
}

/// The outline of a stroke of `width_m` along an open path (mitred).
pub fn stroke(path: &[DVec2], width_m: f64) -> Vec<DVec2> {
    let side = |sign: f64| -> Vec<DVec2> {
        (0..path.len())
            .map(|k| {
                let before = (k > 0).then(|| (path[k] - path[k - 1]).normalize());
                let after = (k + 1 < path.len()).then(|| (path[k + 1] - path[k]).normalize());
                let (before, after) = (before.or(after), after.or(before));
                let (before, after) = (before.expect("two points"), after.expect("two points"));
                let normal = (before.perp() + after.perp()).normalize();
                path[k] + normal * (sign * 0.5 * width_m / normal.dot(before.perp()))
            })
            .collect()
    };
    let mut outline = side(-1.0);
    outline.extend(side(1.0).into_iter().rev());
    outline
}
