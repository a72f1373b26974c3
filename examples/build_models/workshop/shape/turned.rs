//! Bodies of revolution: wheels, cylinders, bells, fan shrouds. May not enter: bent tubes (see `sweep`).

use super::mesh::Mesh;
use glam::DVec3;
use std::f64::consts::TAU;

/// The circle of a station: `radius` about the point `at` on the axis.
fn circle(centre: DVec3, axis: DVec3, radius: f64, segments: usize) -> Vec<DVec3> {
    // A corner lies straight below the axis where it can, so that wheels stand on their rails.
    let down = DVec3::NEG_Z - axis * DVec3::NEG_Z.dot(axis);
    let first = if down.length() > 1e-6 {
        down.normalize()
    } else {
        DVec3::X
    };
    let second = axis.cross(first);
    (0..segments)
        .map(|k| {
            let (sin, cos) = (TAU * k as f64 / segments as f64).sin_cos();
            centre + (first * cos + second * sin) * radius
        })
        .collect()
}

/// A solid turned about the line through `origin` along `axis`, from stations (distance along the
/// axis, radius). A first or last station with radius 0 is a point; otherwise a flat end.
pub fn turned(origin: DVec3, axis: DVec3, stations: &[(f64, f64)], segments: usize) -> Mesh {
    let axis = axis.normalize();
    let mut inner: Vec<(f64, f64)> = stations.to_vec();
    let first = inner[0];
    let last = inner[inner.len() - 1];
    inner.retain(|station| station.1 > 0.0);
    let mut mesh = Mesh::default();
    for station in &inner {
        let centre = origin + axis * station.0;
        mesh.points
            .extend(circle(centre, axis, station.1, segments));
    }
    for band in 0..inner.len() - 1 {
        for k in 0..segments {
            let next = (k + 1) % segments;
            let (a, b) = (band * segments + k, band * segments + next);
            let (c, d) = (a + segments, b + segments);
            mesh.triangles.extend([[a, b, d], [a, d, c]]);
        }
    }
    let top = (inner.len() - 1) * segments;
    close(
        &mut mesh,
        0,
        segments,
        (first.1 == 0.0).then(|| origin + axis * first.0),
        true,
    );
    close(
        &mut mesh,
        top,
        segments,
        (last.1 == 0.0).then(|| origin + axis * last.0),
        false,
    );
    mesh.outward()
}

/// Closes a circle of `segments` points from `base` on by a tip, or by a fan over its own corners.
fn close(mesh: &mut Mesh, base: usize, segments: usize, tip: Option<DVec3>, backward: bool) {
    let order = |a, b, c| if backward { [a, c, b] } else { [a, b, c] };
    match tip {
        Some(tip) => {
            let at = mesh.points.len();
            mesh.points.push(tip);
            for k in 0..segments {
                let next = (k + 1) % segments;
                mesh.triangles.push(order(base + k, base + next, at));
            }
        }
        None => {
            for k in 1..segments - 1 {
                mesh.triangles.push(order(base, base + k, base + k + 1));
            }
        }
    }
}

/// A cylinder from `a` to `b`.
pub fn cylinder(a: DVec3, b: DVec3, radius: f64, segments: usize) -> Mesh {
    turned(
        a,
        b - a,
        &[(0.0, radius), (a.distance(b), radius)],
        segments,
    )
}

/// A ring: a closed profile of stations (along the axis, radius; all radii above 0) turned about it.
pub fn ring(origin: DVec3, axis: DVec3, profile: &[(f64, f64)], segments: usize) -> Mesh {
    let axis = axis.normalize();
    let mut mesh = Mesh::default();
    for station in profile {
        let centre = origin + axis * station.0;
        mesh.points
            .extend(circle(centre, axis, station.1, segments));
    }
    for band in 0..profile.len() {
        let above = (band + 1) % profile.len();
        for k in 0..segments {
            let next = (k + 1) % segments;
            let (a, b) = (band * segments + k, band * segments + next);
            let (c, d) = (above * segments + k, above * segments + next);
            mesh.triangles.extend([[a, b, d], [a, d, c]]);
        }
    }
    mesh.outward()
}
