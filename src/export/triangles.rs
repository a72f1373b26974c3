//! Flat triangles ready to be packed: corners that share place and direction are one vertex. May not enter:
//! files, materials.

use glam::DVec3;
use std::collections::HashMap;
use std::f64::consts::TAU;

/// Sides of a wire.
const TUBE_SIDES: usize = 6;

/// Corners of one triangle, counter-clockwise from outside.
pub type Corners = [DVec3; 3];

/// Vertices with the direction of their own face, and triangles over them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flat {
    /// Places, metres.
    pub positions: Vec<[f32; 3]>,
    /// Unit directions.
    pub normals: Vec<[f32; 3]>,
    /// Three to a triangle.
    pub indices: Vec<u32>,
}

impl Flat {
    /// From triangles; what has no area in single precision is left out.
    pub fn of(triangles: impl IntoIterator<Item = Corners>) -> Flat {
        let mut flat = Flat::default();
        let mut known: HashMap<[u32; 6], u32> = HashMap::new();
        for corners in triangles {
            // As the file will have them.
            let [a, b, c] = corners.map(|corner| corner.as_vec3());
            let [p, q, r] = [a, b, c].map(|corner| corner.as_dvec3());
            let Some(normal) = (q - p).cross(r - p).try_normalize() else {
                continue;
            };
            let normal = normal.as_vec3().to_array().map(|k| k + 0.0);
            for corner in [a, b, c] {
                // Adding nought makes one nought of two.
                let place = corner.to_array().map(|k| k + 0.0);
                let key = [place, normal].concat();
                let key: [u32; 6] = std::array::from_fn(|i| key[i].to_bits());
                let index = *known.entry(key).or_insert_with(|| {
                    flat.positions.push(place);
                    flat.normals.push(normal);
                    flat.positions.len() as u32 - 1
                });
                flat.indices.push(index);
            }
        }
        flat
    }
}

/// A closed tube along points.
pub fn tube(points: &[DVec3], diameter_m: f64) -> Vec<Corners> {
    let [first, .., last] = points else {
        return vec![];
    };
    let along = (*last - *first).normalize_or(DVec3::X);
    // Wires sag little: one direction serves for all of their rings.
    let (u, v) = along.any_orthonormal_pair();
    let around = |i: usize| {
        let (sin, cos) = (TAU * (i % TUBE_SIDES) as f64 / TUBE_SIDES as f64).sin_cos();
        (u * cos + v * sin) * (diameter_m / 2.0)
    };
    let mut triangles = Vec::new();
    for pair in points.windows(2) {
        for i in 0..TUBE_SIDES {
            let [a, b] = [pair[0] + around(i), pair[0] + around(i + 1)];
            let [c, d] = [pair[1] + around(i + 1), pair[1] + around(i)];
            triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    for i in 1..TUBE_SIDES - 1 {
        triangles.push([0, i + 1, i].map(|k| *first + around(k)));
        triangles.push([0, i, i + 1].map(|k| *last + around(k)));
    }
    triangles
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_of_two_triangles_has_four_vertices_and_a_folded_one_six() {
        let [a, b, c, d] = [DVec3::ZERO, DVec3::X, DVec3::X + DVec3::Y, DVec3::Y];
        let flat = Flat::of([[a, b, c], [a, c, d]]);
        assert_eq!((flat.positions.len(), flat.indices.len()), (4, 6));
        assert!(flat.normals.iter().all(|normal| *normal == [0.0, 0.0, 1.0]));
        let folded = Flat::of([[a, b, c], [a, c, d + DVec3::Z]]);
        assert_eq!((folded.positions.len(), folded.indices.len()), (6, 6));
    }

    #[test]
    fn what_has_no_area_is_left_out() {
        let flat = Flat::of([[DVec3::ZERO, DVec3::X, DVec3::X * 2.0], [DVec3::ONE; 3]]);
        assert_eq!(flat, Flat::default());
    }

    /// A closed surface's volume is a sixth of the sum of its triangles' triple products (divergence theorem);
    /// a hexagonal prism's is its section 3√3/8·d² times its length.
    #[test]
    fn a_tube_is_closed_and_turned_outward() {
        let points = [0.0, 3.0, 10.0].map(|x| DVec3::new(x, 2.0, 5.0));
        let triangles = tube(&points, 0.2);
        let volume = |t: &Corners| t[0].dot(t[1].cross(t[2])) / 6.0;
        let found: f64 = triangles.iter().map(volume).sum();
        let expected = 3.0 * 3.0_f64.sqrt() / 8.0 * 0.2 * 0.2 * 10.0;
        assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        assert!(tube(&points[..1], 0.2).is_empty());
    }
}
