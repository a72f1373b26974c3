//! Round bars along paths: handrails, hoses, pipes. May not enter: straight bodies of changing radius.

use super::mesh::Mesh;
use glam::DVec3;
use std::f64::consts::TAU;

/// A round bar of `sides` faces along an open path, mitred at its corners.
pub fn tube(path: &[DVec3], radius: f64, sides: usize) -> Mesh {
    let mut heading = (path[1] - path[0]).normalize();
    let across = heading.any_orthonormal_vector();
    let other = heading.cross(across);
    let mut spokes: Vec<DVec3> = (0..sides)
        .map(|k| {
            // Half a step on, so that a level bar has flat top and sides where it can.
            let (sin, cos) = (TAU * (k as f64 + 0.5) / sides as f64).sin_cos();
            (across * cos + other * sin) * radius
        })
        .collect();
    let mut mesh = Mesh::default();
    for (at, point) in path.iter().enumerate() {
        let next = path
            .get(at + 1)
            .map_or(heading, |next| (*next - *point).normalize());
        let mitre = (heading + next).normalize();
        for spoke in &mut spokes {
            let on_mitre = *spoke - heading * (spoke.dot(mitre) / heading.dot(mitre));
            mesh.points.push(*point + on_mitre);
            *spoke = on_mitre - next * on_mitre.dot(next);
        }
        heading = next;
    }
    for band in 0..path.len() - 1 {
        for k in 0..sides {
            let next = (k + 1) % sides;
            let (a, b) = (band * sides + k, band * sides + next);
            let (c, d) = (a + sides, b + sides);
            mesh.triangles.extend([[a, b, d], [a, d, c]]);
        }
    }
    let top = (path.len() - 1) * sides;
    for k in 1..sides - 1 {
        mesh.triangles.push([0, k + 1, k]);
        mesh.triangles.push([top, top + k, top + k + 1]);
    }
    mesh.outward()
}

/// The path with each inner corner rounded to `radius` by an arc of `steps` chords.
pub fn rounded(path: &[DVec3], radius: f64, steps: usize) -> Vec<DVec3> {
    let mut smooth = vec![path[0]];
    for corner in path.windows(3) {
        let back = (corner[0] - corner[1]).normalize();
        let on = (corner[2] - corner[1]).normalize();
        let half = 0.5 * back.dot(on).clamp(-1.0, 1.0).acos();
        let reach = radius / half.tan();
        let centre = corner[1] + (back + on).normalize() * (radius / half.sin());
        let (from, to) = (
            corner[1] + back * reach - centre,
            corner[1] + on * reach - centre,
        );
        let turn = std::f64::consts::PI - 2.0 * half;
        for k in 0..=steps {
            let t = k as f64 / steps as f64;
            let blend = (from * ((1.0 - t) * turn).sin() + to * (t * turn).sin()) / turn.sin();
            smooth.push(centre + blend);
        }
    }
    smooth.push(path[path.len() - 1]);
    smooth
}
