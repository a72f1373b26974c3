//! Reading the shipped models for tests, and checks that hold for every model. May not enter: the program's
//! own loader, since these tests are a second opinion on the files.

use glam::{DVec2, DVec3};
use std::collections::BTreeMap;
use std::path::Path;

/// Corner positions of the triangles of each group of an OBJ file.
pub type Groups = BTreeMap<String, Vec<[DVec3; 3]>>;

/// The text of a file in `models/`.
pub fn committed(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("models")
        .join(name);
    std::fs::read_to_string(path).expect("the model's files are committed")
}

/// The groups of an OBJ file in `models/`.
pub fn obj_groups(file: &str) -> Groups {
    let text = committed(file);
    let mut points = Vec::new();
    let mut all = Groups::new();
    let mut name = String::new();
    for line in text.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        match words.as_slice() {
            ["g", group] => name = (*group).to_owned(),
            ["v", x, y, z] => {
                points.push(DVec3::from([x, y, z].map(|n| n.parse().expect("a number"))))
            }
            ["f", a, b, c] => {
                let corners = [a, b, c].map(|n| points[n.parse::<usize>().expect("an index") - 1]);
                all.entry(name.clone()).or_default().push(corners);
            }
            _ => {}
        }
    }
    all
}

/// Least and greatest corner of some triangles.
pub fn bounds<'a>(triangles: impl IntoIterator<Item = &'a [DVec3; 3]>) -> (DVec3, DVec3) {
    triangles
        .into_iter()
        .flatten()
        .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), p| {
            (low.min(*p), high.max(*p))
        })
}

/// The unit normal of a triangle.
pub fn normal(t: &[DVec3; 3]) -> DVec3 {
    (t[1] - t[0]).cross(t[2] - t[0]).normalize()
}

/// Every part's edges are matched by their opposites, no triangle is empty, volumes are positive.
pub fn assert_closed_and_outward(all: &Groups) {
    type Corner = [i64; 3];
    for (group, triangles) in all {
        let mut open: BTreeMap<(Corner, Corner), i64> = BTreeMap::new();
        let mut volume6 = 0.0;
        for t in triangles {
            let area2 = (t[1] - t[0]).cross(t[2] - t[0]).length();
            assert!(area2 > 1e-9, "{group}: a triangle without area at {}", t[0]);
            volume6 += t[0].dot(t[1].cross(t[2]));
            let corner = t.map(|p| p.to_array().map(|n| (n * 1e4).round() as i64));
            for (from, to) in [(0, 1), (1, 2), (2, 0)] {
                *open.entry((corner[from], corner[to])).or_default() += 1;
                *open.entry((corner[to], corner[from])).or_default() -= 1;
            }
        }
        assert!(volume6 > 0.0, "{group} is inside out");
        assert!(
            open.values().all(|count| *count == 0),
            "{group} has open edges"
        );
    }
}

/// No two faces that look the same way overlap within 3 mm of one plane: their ids would fight.
pub fn assert_no_shared_planes(all: &Groups) {
    let faces: Vec<(&str, &[DVec3; 3])> = all
        .iter()
        .flat_map(|(group, triangles)| triangles.iter().map(move |t| (group.as_str(), t)))
        .collect();
    let mut planes: BTreeMap<[i64; 3], Vec<(f64, usize)>> = BTreeMap::new();
    for (at, (_, t)) in faces.iter().enumerate() {
        let n = normal(t);
        let key = n.to_array().map(|c| (c * 500.0).round() as i64);
        planes.entry(key).or_default().push((n.dot(t[0]), at));
    }
    let mut shared = BTreeMap::new();
    for mut plane in planes.into_values() {
        plane.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (k, (height, at)) in plane.iter().enumerate() {
            let near = plane[k + 1..]
                .iter()
                .take_while(|(other, _)| other - height < 0.003);
            for (_, other) in near {
                let (a, b) = (faces[*at], faces[*other]);
                let area = overlap(a.1, b.1);
                if area > 1e-5 {
                    shared.insert((a.0, b.0), (area, normal(a.1), a.1[0], b.1[0]));
                }
            }
        }
    }
    assert!(shared.is_empty(), "{shared:#?}");
}

/// Area that two nearly coplanar triangles share, seen along the first one's normal.
fn overlap(a: &[DVec3; 3], b: &[DVec3; 3]) -> f64 {
    let n = normal(a);
    let across = n.any_orthonormal_vector();
    let up = n.cross(across);
    let flat = |t: &[DVec3; 3]| t.map(|p| DVec2::new(p.dot(across), p.dot(up)));
    let clip = flat(a);
    let mut shape = flat(b).to_vec();
    for k in 0..3 {
        let (from, to) = (clip[k], clip[(k + 1) % 3]);
        let side = |p: DVec2| (to - from).perp_dot(p - from);
        let mut kept = Vec::new();
        for (i, p) in shape.iter().enumerate() {
            let q = shape[(i + 1) % shape.len()];
            let (s, t) = (side(*p), side(q));
            if s >= 0.0 {
                kept.push(*p);
            }
            if (s > 0.0 && t < 0.0) || (s < 0.0 && t > 0.0) {
                kept.push(*p + (q - *p) * (s / (s - t)));
            }
        }
        shape = kept;
        if shape.is_empty() {
            return 0.0;
        }
    }
    let next = shape.iter().cycle().skip(1);
    0.5 * shape
        .iter()
        .zip(next)
        .map(|(p, q)| p.perp_dot(*q))
        .sum::<f64>()
}
