//! Plane polygons: whether they are simple, what they contain, and how they fall into convex pieces.
//! May not enter: what they bound.

use super::track::distance_to_piece;
use geo::algorithm::coordinate_position::{CoordPos, coord_pos_relative_to_ring};
use geo::{Area, IsConvex, LineString, Polygon, TriangulateEarcut, Validation, unary_union};
use glam::DVec2;

/// Corners and points of a line nearer to the next one than this are the same, metres.
pub const CLOSEST_M: f64 = 1e-3;

/// Whether a point lies inside or on the edge.
pub fn contains(polygon_m: &[DVec2], point: DVec2) -> bool {
    let at = geo::Coord {
        x: point.x,
        y: point.y,
    };
    coord_pos_relative_to_ring(at, &ring(polygon_m)) != CoordPos::Outside
}

/// How far a point lies outside; 0 inside and on the edge.
pub fn outside_m(polygon_m: &[DVec2], point: DVec2) -> f64 {
    if contains(polygon_m, point) {
        return 0.0;
    }
    let edges = (0..polygon_m.len()).map(|i| (polygon_m[i], polygon_m[(i + 1) % polygon_m.len()]));
    edges
        .map(|(a, b)| distance_to_piece(point, a, b))
        .fold(f64::INFINITY, f64::min)
}

/// Whether no corner looks inward.
pub fn is_convex(polygon_m: &[DVec2]) -> bool {
    ring(polygon_m).is_convex()
}

/// What is wrong with a polygon as a piece of ground, if anything.
pub fn fault(polygon_m: &[DVec2]) -> Option<&'static str> {
    if polygon_m.len() < 3 {
        return Some("fewer than 3 corners");
    }
    let next = |i: usize| polygon_m[(i + 1) % polygon_m.len()];
    if (0..polygon_m.len()).any(|i| polygon_m[i].distance(next(i)) < CLOSEST_M) {
        return Some("the same corner twice (the last one leads back to the first by itself)");
    }
    let polygon = Polygon::new(ring(polygon_m), vec![]);
    if polygon.unsigned_area() < 1e-6 && polygon.is_valid() {
        return Some("a polygon without area");
    }
    (!polygon.is_valid()).then_some("a crossed polygon: its edges meet or its corners repeat")
}

/// Convex pieces, counter-clockwise, that cover a simple polygon.
pub fn convex_pieces(polygon_m: &[DVec2]) -> Vec<Vec<DVec2>> {
    let ring = ring(polygon_m);
    if ring.is_convex() {
        return vec![counter_clockwise(polygon_m.to_vec())];
    }
    Polygon::new(ring, vec![])
        .earcut_triangles()
        .iter()
        .map(|triangle| {
            let corners = triangle.to_array();
            counter_clockwise(corners.map(|c| DVec2::new(c.x, c.y)).to_vec())
        })
        .collect()
}

/// A piece of ground with its holes.
#[derive(Clone, Debug, PartialEq)]
pub struct Region(Polygon<f64>);

impl Region {
    /// Its edge, then the edges of its holes; each leads back to its first corner by itself.
    pub fn rings_m(&self) -> impl Iterator<Item = Vec<DVec2>> + '_ {
        let rings = std::iter::once(self.0.exterior()).chain(self.0.interiors());
        rings.map(|ring| {
            let corners = ring.0.iter().take(ring.0.len().saturating_sub(1));
            corners.map(|c| DVec2::new(c.x, c.y)).collect()
        })
    }

    /// Triangles that cover it.
    pub fn triangles_m(&self) -> Vec<[DVec2; 3]> {
        let triangles = self.0.earcut_triangles();
        let corners = triangles.iter().map(geo::Triangle::to_array);
        corners
            .map(|corners| corners.map(|c| DVec2::new(c.x, c.y)))
            .collect()
    }

    /// How large it is, square metres.
    pub fn area_m2(&self) -> f64 {
        self.0.unsigned_area()
    }
}

/// What simple polygons cover together: regions that do not overlap.
pub fn united(pieces_m: &[Vec<DVec2>]) -> Vec<Region> {
    let pieces = pieces_m.iter().filter(|piece| piece.len() >= 3);
    let polygons: Vec<Polygon<f64>> = pieces
        .map(|piece| Polygon::new(ring(&counter_clockwise(piece.clone())), vec![]))
        .collect();
    unary_union(&polygons).into_iter().map(Region).collect()
}

/// Mean of the corners.
pub fn middle(polygon_m: &[DVec2]) -> DVec2 {
    polygon_m.iter().sum::<DVec2>() / polygon_m.len().max(1) as f64
}

/// The corners in counter-clockwise order.
pub fn counter_clockwise(mut corners: Vec<DVec2>) -> Vec<DVec2> {
    let twice_area: f64 = (0..corners.len())
        .map(|i| corners[i].perp_dot(corners[(i + 1) % corners.len()]))
        .sum();
    if twice_area < 0.0 {
        corners.reverse();
    }
    corners
}

fn ring(polygon_m: &[DVec2]) -> LineString<f64> {
    let mut ring: LineString<f64> = polygon_m.iter().map(|p| (p.x, p.y)).collect();
    ring.close();
    ring
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<DVec2> {
        list.iter().map(|&(x, y)| DVec2::new(x, y)).collect()
    }

    #[test]
    fn a_bow_tie_is_crossed_and_a_square_is_not() {
        let square = points(&[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]);
        let bow_tie = points(&[(0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)]);
        assert_eq!(fault(&square), None);
        assert!(fault(&bow_tie).unwrap().starts_with("a crossed polygon"));
        assert!(fault(&points(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)])).is_some());
    }

    #[test]
    fn a_corner_given_twice_is_told_at_the_end_too() {
        let square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)];
        for at in 0..4 {
            let mut repeated = square.to_vec();
            repeated.insert(at, square[at]);
            assert!(
                fault(&points(&repeated))
                    .unwrap()
                    .starts_with("the same corner twice")
            );
        }
        let closed = points(&[&square[..], &square[..1]].concat());
        assert!(fault(&closed).unwrap().starts_with("the same corner twice"));
    }

    #[test]
    fn outside_is_measured_to_the_nearest_edge_or_corner() {
        let square = points(&[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]);
        let from = |x, y| outside_m(&square, DVec2::new(x, y));
        assert_eq!(
            [from(1.0, 1.0), from(2.0, 0.5), from(1.0, -3.0)],
            [0.0, 0.0, 3.0]
        );
        assert!(
            (from(5.0, 6.0) - 5.0).abs() < 1e-12,
            "3, 4, 5 from the corner"
        );
    }

    #[test]
    fn what_overlaps_is_covered_once_and_a_ring_keeps_its_hole() {
        let bar = |x: [f64; 2], y: [f64; 2]| {
            points(&[(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])])
        };
        // Four bars of 1 x 4 round a yard of 2 x 2, and one by itself, clockwise.
        let mut far = bar([9.0, 10.0], [0.0, 4.0]);
        far.reverse();
        let found = united(&[
            bar([0.0, 4.0], [0.0, 1.0]),
            bar([0.0, 4.0], [3.0, 4.0]),
            bar([0.0, 1.0], [0.0, 4.0]),
            bar([3.0, 4.0], [0.0, 4.0]),
            far,
            points(&[(1.0, 1.0), (2.0, 2.0)]),
        ]);
        let mut areas: Vec<f64> = found.iter().map(Region::area_m2).collect();
        areas.sort_by(f64::total_cmp);
        assert!((areas[0] - 4.0).abs() < 1e-9 && (areas[1] - 12.0).abs() < 1e-9);
        assert_eq!(
            found.iter().map(|one| one.rings_m().count()).sum::<usize>(),
            3
        );
        let triangle = |t: [DVec2; 3]| ((t[1] - t[0]).perp_dot(t[2] - t[0]) / 2.0).abs();
        let covered: f64 = found
            .iter()
            .flat_map(Region::triangles_m)
            .map(triangle)
            .sum();
        assert!((covered - 16.0).abs() < 1e-9);
    }

    #[test]
    fn the_edge_counts_as_inside() {
        let square = points(&[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]);
        assert!(contains(&square, DVec2::new(2.0, 1.0)));
        assert!(contains(&square, DVec2::new(1.0, 1.0)));
        assert!(!contains(&square, DVec2::new(2.001, 1.0)));
    }

    #[test]
    fn an_angled_building_falls_into_pieces_of_its_own_area() {
        // Clockwise on purpose.
        let angled = points(&[
            (0.0, 0.0),
            (0.0, 4.0),
            (1.0, 4.0),
            (1.0, 1.0),
            (4.0, 1.0),
            (4.0, 0.0),
        ]);
        let area = |piece: &Vec<DVec2>| Polygon::new(ring(piece), vec![]).signed_area();
        let pieces = convex_pieces(&angled);
        assert!(
            pieces
                .iter()
                .all(|piece| ring(piece).is_convex() && area(piece) > 0.0)
        );
        assert!((pieces.iter().map(area).sum::<f64>() - 7.0).abs() < 1e-12);
    }
}
