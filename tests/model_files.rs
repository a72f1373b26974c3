//! Reading the shipped models for tests, and checks that hold for every model. May not enter: the program's
//! own loader, since these tests are a second opinion on the files.

use glam::{DVec2, DVec3};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use sunside::mesh::part::Role;

#[path = "../examples/build_models/workshop/mod.rs"]
pub mod workshop;

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

/// A sidecar in `models/`, read by an independent TOML reader.
pub fn sidecar(file: &str) -> toml::Table {
    committed(file).parse().expect("TOML")
}

/// A number of a sidecar.
pub fn figure(sidecar: &toml::Table, table: &str, key: &str) -> f64 {
    sidecar[table][key].as_float().expect("a number")
}

/// A figure, or the ends of a range, from the reference table (general literature, from memory, unless the
/// row says that a source was seen).
pub fn fact(quantity: &str) -> (f64, f64) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/facts.csv");
    let mut reader = csv::Reader::from_path(path).expect("facts.csv");
    let row = reader
        .records()
        .map(|row| row.expect("a row"))
        .find(|row| row[0] == *quantity)
        .unwrap_or_else(|| panic!("no fact {quantity}"));
    let numbers: Vec<f64> = row[1]
        .split([' ', 'x'])
        .filter_map(|n| n.parse().ok())
        .collect();
    (numbers[0], numbers[numbers.len() - 1])
}

/// Holds a size to a figure, or to the nearer end of a range, within 2 %.
pub fn within_2_percent(value: f64, wanted: (f64, f64)) {
    let (from, to) = (wanted.0 * 0.98, wanted.1 * 1.02);
    assert!(
        (from..=to).contains(&value),
        "{value} is not within 2 % of {wanted:?}"
    );
}

/// Holds a size to a range, its numbers in another unit by `scale`.
pub fn inside(value: f64, range: (f64, f64), scale: f64) {
    let (from, to) = (range.0 * scale, range.1 * scale);
    assert!(
        from - 1e-9 <= value && value <= to + 1e-9,
        "{value} not in {from}–{to}"
    );
}

/// Middle and size of a group.
pub fn extent(all: &Groups, group: &str) -> (DVec3, DVec3) {
    let (low, high) = bounds(&all[group]);
    (0.5 * (low + high), high - low)
}

/// The mesh is as large as the sidecar says, to the millimetre, and its couplers end where it says.
pub fn assert_stated_sizes(all: &Groups, sidecar: &toml::Table) {
    let (low, high) = bounds(all.values().flatten());
    for (value, table, key) in [
        (high.x - low.x, "dimensions", "length_over_couplers_m"),
        (high.y - low.y, "dimensions", "width_m"),
        (high.z, "dimensions", "height_m"),
        (high.x, "head", "coupler_x_m"),
        (low.x, "rear", "coupler_x_m"),
    ] {
        approx::assert_abs_diff_eq!(value, figure(sidecar, table, key), epsilon = 1e-3);
    }
}

/// Wheels, trucks and couplers have the sizes of the literature, on so many axles per truck.
pub fn assert_running_gear(all: &Groups, truck_centres_m: (f64, f64), axles: usize) {
    let (front, rear) = (extent(all, "wheels_front"), extent(all, "wheels_rear"));
    within_2_percent(front.0.x - rear.0.x, truck_centres_m);
    let tread_diameter_m = 2.0 * front.0.z;
    inside(
        tread_diameter_m,
        fact("locomotive wheel diameter, new"),
        1e-3,
    );
    let row = match axles {
        2 => "truck wheelbase two-axle",
        _ => "truck wheelbase three-axle",
    };
    let flange_diameter_m = front.1.z;
    within_2_percent(front.1.x - flange_diameter_m, fact(row));
    let coupler = extent(all, "coupler_front").0.z;
    inside(coupler, fact("coupler centre height above rail"), 1e-3);
    assert_gauge(all, axles);
}

/// Gauge faces lie exactly at the gauge where flange meets tread, on `axles` wheels per rail and truck.
fn assert_gauge(all: &Groups, axles: usize) {
    let half_m = fact("standard track gauge").0 * 1e-3 / 2.0;
    for group in ["wheels_front", "wheels_rear"] {
        let wheels = &all[group];
        let radius = extent(all, group).0.z;
        for side in [1.0, -1.0] {
            let on_rail = wheels
                .iter()
                .flatten()
                .filter(|p| p.z.abs() < 1e-4 && (p.y * side - half_m).abs() < 1e-4)
                .map(|p| (p.x * 1e4).round() as i64)
                .collect::<BTreeSet<_>>();
            assert_eq!(on_rail.len(), axles, "wheels that stand on each rail");
            // Back to back 1.36 m (common practice, 53 1/2 in), so that wheels pass a guard rail.
            let back = wheels
                .iter()
                .flatten()
                .filter(|p| p.y * side > 0.0 && (p.z - radius).abs() > radius)
                .map(|p| p.y * side)
                .fold(f64::INFINITY, f64::min);
            approx::assert_abs_diff_eq!(back, 0.68, epsilon = 1e-4);
        }
    }
}

/// Every group is mapped once, every paint is used, every role is there.
pub fn assert_parts(all: &Groups, sidecar: &toml::Table) {
    let rows = |key: &str| sidecar[key].as_array().expect("a list").clone();
    let word = |row: &toml::Value, key: &str| row[key].as_str().expect("text").to_owned();
    let paints: BTreeSet<String> = rows("material")
        .iter()
        .map(|row| word(row, "name"))
        .collect();
    let parts = rows("part");
    let named: Vec<String> = parts.iter().map(|row| word(row, "group")).collect();
    let unique: BTreeSet<String> = named.iter().cloned().collect();
    assert_eq!(unique.len(), named.len(), "a group is mapped twice");
    assert_eq!(unique, all.keys().cloned().collect::<BTreeSet<_>>());
    assert!((40..=100).contains(&named.len()), "{} groups", named.len());
    let used: BTreeSet<String> = parts.iter().map(|row| word(row, "material")).collect();
    assert_eq!(used, paints, "paints used and paints listed");
    let role = |row| Role::from_word(&word(row, "role")).expect("a known role");
    let roles: BTreeSet<Role> = parts.iter().map(role).collect();
    assert_eq!(
        roles,
        Role::ALL.into_iter().collect(),
        "every role is there"
    );
    let liveries: BTreeSet<String> = rows("livery").iter().map(|row| word(row, "name")).collect();
    assert_eq!(liveries.len(), 2, "two liveries");
}

/// The upper rail is one straight, level, round bar where the sidecar says, on both sides.
pub fn assert_handrail(all: &Groups, sidecar: &toml::Table) {
    let [height, offset, from, to] =
        ["height_m", "offset_m", "from_x_m", "to_x_m"].map(|key| figure(sidecar, "handrail", key));
    for (group, side) in [("handrail_left", 1.0), ("handrail_right", -1.0)] {
        // The rail's own long faces, from end to end.
        let rail: Vec<&[DVec3; 3]> = all[group]
            .iter()
            .filter(|t| {
                let (low, high) = bounds([*t]);
                high.x - low.x > 0.9 * (to - from)
            })
            .collect();
        assert!(rail.len() >= 12, "{group} is not one straight bar");
        let (low, high) = bounds(rail);
        assert!(low.x <= from + 1e-3 && high.x >= to - 1e-3);
        approx::assert_abs_diff_eq!(0.5 * (low.z + high.z), height, epsilon = 1e-3);
        approx::assert_abs_diff_eq!(0.5 * (low.y + high.y), side * offset, epsilon = 1e-3);
        let thickness = (high.z - low.z).max(high.y - low.y);
        assert!(
            (0.028..=0.042).contains(&thickness),
            "{group} is {thickness} m thick"
        );
    }
    // Common practice, as in the rulebook: at a profile angle of 52° the rail's shadow, which lies stand-off ·
    // tan(profile angle) below it, still lies on the doors, 0.10 m or more above their lower edge.
    let stand_off = offset - figure(sidecar, "doors", "offset_m");
    let line = height - stand_off * 52_f64.to_radians().tan();
    assert!(line - figure(sidecar, "doors", "bottom_m") >= 0.10);
    assert!(line < figure(sidecar, "doors", "top_m"));
}

/// The doors beside the engine are so many flat leaves a side, where the sidecar says.
pub fn assert_hood_doors(all: &Groups, sidecar: &toml::Table, leaves: usize) {
    let [bottom, top, offset, from, to] = ["bottom_m", "top_m", "offset_m", "from_x_m", "to_x_m"]
        .map(|key| figure(sidecar, "doors", key));
    for (group, side) in [("hood_doors_left", 1.0), ("hood_doors_right", -1.0)] {
        let faces: Vec<&[DVec3; 3]> = all[group]
            .iter()
            .filter(|t| {
                normal(t).y * side > 0.999 && t.iter().all(|p| (p.y * side - offset).abs() < 1e-4)
            })
            .collect();
        assert_eq!(faces.len(), 2 * leaves, "two triangles a leaf");
        let (low, high) = bounds(faces);
        for (value, wanted) in [(low.x, from), (high.x, to), (low.z, bottom), (high.z, top)] {
            approx::assert_abs_diff_eq!(value, wanted, epsilon = 1e-3);
        }
    }
}

/// The corner of an end is where the sidecar says: a group reaches it, and is so wide.
pub fn assert_corner(all: &Groups, sidecar: &toml::Table, end: &str, group: &str) {
    let (low, high) = bounds(&all[group]);
    let reach = if end == "head" { high.x } else { low.x };
    approx::assert_abs_diff_eq!(reach, figure(sidecar, end, "corner_x_m"), epsilon = 1e-4);
    let at_the_end = |t: &&[DVec3; 3]| t.iter().any(|p| (p.x - reach).abs() < 1e-4);
    let (_, high) = bounds(all[group].iter().filter(at_the_end));
    let half = figure(sidecar, end, "corner_half_width_m");
    approx::assert_abs_diff_eq!(high.y, half, epsilon = 1e-4);
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

/// Heights of slanted planes are known so well: corners are rounded to 0.1 mm, and a small triangle's
/// normal with them, over a lever of half a machine.
const ROUNDING_M: f64 = 0.03;

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
                .take_while(|(other, _)| other - height < ROUNDING_M);
            for (_, other) in near {
                let (a, b) = (faces[*at], faces[*other]);
                if normal(a.1).dot(b.1[0] - a.1[0]).abs() >= 0.003 {
                    continue;
                }
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
