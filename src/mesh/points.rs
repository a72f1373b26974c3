//! Named points of a machine: corners that an eye finds again in a photograph. May not enter: photographs.

use super::model::{NamedPoint, Triangle};
use crate::document::Table;
use glam::DVec3;

/// A named point lies so near to the mesh: it is marked on a picture of it.
const ON_SURFACE_M: f64 = 0.02;

/// Reads `[[point]]`: name, words and place, each name once.
pub(super) fn read(root: &Table<'_>) -> Option<Vec<NamedPoint>> {
    let mut names: Vec<String> = Vec::new();
    let read = |table: &Table<'_>| {
        let name = table.text("name").map(WORD, as_name).required();
        let words = table.text("words").required();
        let position = table.tuple::<3>("position_m").required();
        if let Some(name) = &name {
            if names.contains(name) {
                table.fault("name", "a name used twice", "each point once");
            }
            names.push(name.clone());
        }
        Some(NamedPoint {
            name: name?,
            words: words?,
            position_m: DVec3::from_array(position?),
        })
    };
    root.tables("point").iter().map(read).collect()
}

/// What a point may be called.
const WORD: &str = "lower-case letters, digits and underscores, such as \"cab_roof_front_left\"";

fn as_name(text: String) -> Result<String, String> {
    let fine = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    match text.chars().all(fine) {
        true => Ok(text),
        false => Err("a name that other files could not write".to_string()),
    }
}

/// Tells every point that does not lie on the mesh.
pub(super) fn hold_to_mesh(
    root: &Table<'_>,
    points: &[NamedPoint],
    vertices: &[DVec3],
    triangles: &[Triangle],
) {
    if points.is_empty() {
        return;
    }
    for (point, table) in points.iter().zip(root.tables("point")) {
        let away_m = distance_m(point.position_m, vertices, triangles);
        if away_m > ON_SURFACE_M {
            let message = format!("the point lies {away_m:.2} m off the mesh");
            table.fault("position_m", message, "a place on the mesh, to 0.02 m");
        }
    }
}

/// How far a point is from the nearest triangle.
fn distance_m(point: DVec3, vertices: &[DVec3], triangles: &[Triangle]) -> f64 {
    let mut nearest = f64::INFINITY;
    for triangle in triangles {
        let [a, b, c] = triangle.corners.map(|corner| vertices[corner as usize]);
        // Most lie farther away than the nearest so far even by their box.
        let outside = (a.min(b).min(c) - point).max(point - a.max(b).max(c));
        if outside.max_element() < nearest {
            nearest = nearest.min(point.distance(nearest_on(point, a, b, c)));
        }
    }
    nearest
}

/// The point of a triangle nearest to another: by the region that it lies in (C. Ericson, Real-Time Collision
/// Detection, 2005, section 5.1.5).
fn nearest_on(p: DVec3, a: DVec3, b: DVec3, c: DVec3) -> DVec3 {
    let (ab, ac) = (b - a, c - a);
    let (d1, d2) = (ab.dot(p - a), ac.dot(p - a));
    if d1 <= 0.0 && d2 <= 0.0 {
        return a;
    }
    let (d3, d4) = (ab.dot(p - b), ac.dot(p - b));
    if d3 >= 0.0 && d4 <= d3 {
        return b;
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        return a + ab * (d1 / (d1 - d3));
    }
    let (d5, d6) = (ab.dot(p - c), ac.dot(p - c));
    if d6 >= 0.0 && d5 <= d6 {
        return c;
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        return a + ac * (d2 / (d2 - d6));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
        return b + (c - b) * ((d4 - d3) / ((d4 - d3) + (d5 - d6)));
    }
    let whole = va + vb + vc;
    a + ab * (vb / whole) + ac * (vc / whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: over the inside, beside an edge, beyond a corner of a right triangle.
    #[test]
    fn the_nearest_point_of_a_triangle_is_that_of_hand_calculation() {
        let [a, b, c] = [DVec3::ZERO, DVec3::X * 4.0, DVec3::Y * 4.0];
        for (point, wanted) in [
            ((1.0, 1.0, 3.0), (1.0, 1.0, 0.0)),
            ((2.0, -3.0, 1.0), (2.0, 0.0, 0.0)),
            ((-2.0, 1.0, 0.0), (0.0, 1.0, 0.0)),
            ((3.0, 3.0, 0.0), (2.0, 2.0, 0.0)),
            ((-1.0, -1.0, 0.0), (0.0, 0.0, 0.0)),
            ((9.0, 1.0, 0.0), (4.0, 0.0, 0.0)),
            ((1.0, 9.0, 0.0), (0.0, 4.0, 0.0)),
        ] {
            let found = nearest_on(point.into(), a, b, c);
            assert!(found.distance(wanted.into()) < 1e-12, "{point:?}: {found}");
        }
    }
}
