//! Whether a surface is closed and faces outward, so that what faces away may be left undrawn.
//! May not enter: files.

use glam::DVec3;
use std::collections::HashMap;

/// Vertices nearer than this are one: exporters write a corner once per face.
const WELD_M: f64 = 1e-5;

/// True if every edge is run through as often one way as the other, and every connected shell encloses
/// a positive volume (a shell turned inside out, or a hollow inside a body, does not).
pub fn is_closed_and_outward(vertices: &[DVec3], triangles: &[[u32; 3]]) -> bool {
    let welded = welded(vertices, triangles);
    edges_match(&welded) && shells_face_outward(vertices, triangles, &welded)
}

/// The shell of each triangle, numbered from 0 in the order of their first triangles: corners in common
/// make a shell.
pub fn shells(vertices: &[DVec3], triangles: &[[u32; 3]]) -> Vec<usize> {
    shells_of(&welded(vertices, triangles))
}

/// The triangles with corners at one place made one corner.
fn welded(vertices: &[DVec3], triangles: &[[u32; 3]]) -> Vec<[usize; 3]> {
    let mut welded: HashMap<[i64; 3], usize> = HashMap::new();
    let mut weld = |corner: u32| {
        let cell = (vertices[corner as usize] / WELD_M)
            .round()
            .to_array()
            .map(|x| x as i64);
        let next = welded.len();
        *welded.entry(cell).or_insert(next)
    };
    triangles.iter().map(|t| t.map(&mut weld)).collect()
}

fn edges_match(triangles: &[[usize; 3]]) -> bool {
    let mut balance: HashMap<(usize, usize), i32> = HashMap::new();
    for &[a, b, c] in triangles {
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let (edge, way) = if from < to {
                ((from, to), 1)
            } else {
                ((to, from), -1)
            };
            *balance.entry(edge).or_default() += way;
        }
    }
    balance.values().all(|&ways| ways == 0)
}

/// Volume by the divergence theorem, shell by shell.
fn shells_face_outward(vertices: &[DVec3], triangles: &[[u32; 3]], welded: &[[usize; 3]]) -> bool {
    let mut volume_m3: Vec<f64> = Vec::new();
    for (corners, shell) in triangles.iter().zip(shells_of(welded)) {
        let [a, b, c] = corners.map(|corner| vertices[corner as usize]);
        volume_m3.resize(volume_m3.len().max(shell + 1), 0.0);
        volume_m3[shell] += a.dot(b.cross(c)) / 6.0;
    }
    volume_m3.iter().all(|&volume| volume > 0.0)
}

fn shells_of(welded: &[[usize; 3]]) -> Vec<usize> {
    let mut parent: Vec<usize> =
        (0..=welded.iter().flatten().max().copied().unwrap_or(0)).collect();
    for &[a, b, c] in welded {
        for other in [b, c] {
            let (x, y) = (root(&mut parent, a), root(&mut parent, other));
            parent[x] = y;
        }
    }
    let mut number: HashMap<usize, usize> = HashMap::new();
    let of = |corners: &[usize; 3]| {
        let next = number.len();
        *number.entry(root(&mut parent, corners[0])).or_insert(next)
    };
    welded.iter().map(of).collect()
}

fn root(parent: &mut [usize], mut node: usize) -> usize {
    while parent[node] != node {
        parent[node] = parent[parent[node]];
        node = parent[node];
    }
    node
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A tetrahedron with outward faces.
    fn tetrahedron() -> (Vec<DVec3>, Vec<[u32; 3]>) {
        let vertices = vec![DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::Z];
        (vertices, vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]])
    }

    #[test]
    fn a_tetrahedron_is_closed_and_inside_out_it_is_not() {
        let (vertices, faces) = tetrahedron();
        assert!(is_closed_and_outward(&vertices, &faces));
        let inside_out: Vec<_> = faces.iter().map(|&[a, b, c]| [a, c, b]).collect();
        assert!(!is_closed_and_outward(&vertices, &inside_out));
    }

    #[test]
    fn a_missing_or_turned_face_opens_it() {
        let (vertices, mut faces) = tetrahedron();
        faces[0].swap(0, 1);
        assert!(!is_closed_and_outward(&vertices, &faces));
        assert!(!is_closed_and_outward(&vertices, &faces[1..]));
    }

    #[test]
    fn corners_written_once_per_face_are_welded() {
        let (vertices, faces) = tetrahedron();
        let apart: Vec<DVec3> = faces
            .iter()
            .flatten()
            .map(|&i| vertices[i as usize])
            .collect();
        let own: Vec<[u32; 3]> = (0..4).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect();
        assert!(is_closed_and_outward(&apart, &own));
    }

    #[test]
    fn one_shell_of_two_inside_out_is_told() {
        let (mut vertices, mut faces) = tetrahedron();
        vertices.extend(
            vertices
                .clone()
                .iter()
                .map(|v| *v * 0.5 + DVec3::splat(5.0)),
        );
        faces.extend(faces.clone().iter().map(|&[a, b, c]| [a + 4, c + 4, b + 4]));
        assert!(!is_closed_and_outward(&vertices, &faces));
    }
}
