//! Plane polygons: whether they are simple, what they contain, and how they fall into convex pieces.
//! May not enter: what they bound.

use geo::algorithm::coordinate_position::{CoordPos, coord_pos_relative_to_ring};
use geo::{Area, IsConvex, LineString, Polygon, TriangulateEarcut, Validation};
use glam::DVec2;

/// Whether a point lies inside or on the edge.
pub fn contains(polygon_m: &[DVec2], point: DVec2) -> bool {
    let at = geo::Coord {
        x: point.x,
        y: point.y,
    };
    coord_pos_relative_to_ring(at, &ring(polygon_m)) != CoordPos::Outside
}

/// What is wrong with a polygon as a piece of ground, if anything.
pub fn fault(polygon_m: &[DVec2]) -> Option<&'static str> {
    if polygon_m.len() < 3 {
        return Some("fewer than 3 corners");
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
