//! The named points of a machine, by which a photograph of it is measured: corners of its own groups that an eye
//! finds again. May not enter: sizes; each point is a corner of the mesh.

use super::machine::Machine;
use glam::DVec3;

/// A point that a person can find in a picture.
pub struct NamedPoint {
    /// What files call it.
    pub name: String,
    /// What a person calls it.
    pub words: String,
    /// Where it is, machine frame.
    pub at: DVec3,
}

/// Group (`{end}` and `{side}` filled in), name, words, and the way in which the corner lies: x toward the named end,
/// y outward on the named side, z up.
type Corner = (&'static str, &'static str, &'static str, [f64; 3]);

/// One a side and end.
const QUARTERS: [Corner; 6] = [
    (
        "cab_roof",
        "cab_roof",
        "corner of the cab roof's eaves",
        [1.0, 1.0, 0.0],
    ),
    (
        "glass_{side}",
        "cab_window",
        "outer lower corner of the side cab windows",
        [1.0, 0.0, -1.0],
    ),
    (
        "hood_doors_{side}",
        "door_foot",
        "lower corner of the row of hood doors",
        [1.0, 0.1, -1.0],
    ),
    (
        "side_door_{side}",
        "door_foot",
        "lower corner of the side door",
        [1.0, 0.1, -1.0],
    ),
    (
        "fuel_tank",
        "fuel_tank",
        "lower corner of the fuel tank",
        [1.0, 0.4, -1.0],
    ),
    ("deck", "deck", "outer corner of the deck", [0.8, 1.0, 1.0]),
];

/// One a side and end, of groups that have their end in their name.
const ENDS: [Corner; 3] = [
    (
        "pilot_{end}",
        "pilot",
        "lower outer corner of the pilot",
        [0.3, 1.0, -1.0],
    ),
    (
        "step_wells_{end}",
        "step",
        "lowest outer corner of the steps",
        [1.0, 1.0, -1.0],
    ),
    (
        "number_boards_{end}",
        "number_board",
        "upper outer corner of the number board",
        [0.0, 1.0, 1.0],
    ),
];

/// One an end.
const MIDDLES: [Corner; 2] = [
    (
        "coupler_{end}",
        "coupler",
        "top of the coupler's face",
        [1.0, 0.01, 0.3],
    ),
    (
        "headlight_{end}",
        "headlight",
        "upper corner of the headlight, conductor side",
        [0.1, 1.0, 1.0],
    ),
];

/// One a side.
const SIDES: [Corner; 3] = [
    (
        "handrail_{side}",
        "handrail",
        "rear upper bend of the handrail",
        [-0.4, 0.1, 1.0],
    ),
    (
        "radiator_grilles_{side}",
        "shutters",
        "rear upper corner of the radiator shutters",
        [-1.0, 0.1, 1.0],
    ),
    (
        "nose",
        "nose",
        "upper front corner of the nose",
        [1.0, 1.0, 1.0],
    ),
];

/// Every named point of a machine, each only where it has the group.
pub fn named(machine: &Machine) -> Vec<NamedPoint> {
    let mut all = Vec::new();
    let mut add = |corner: &Corner, ends: &[(&str, f64)], sides: &[(&str, &str, f64)]| {
        for (end, ahead) in ends {
            for (side, who, left) in sides {
                let group = corner.0.replace("{end}", end).replace("{side}", side);
                let [x, y, z] = corner.3;
                let way = DVec3::new(x * ahead, y * left, z);
                let Some(at) = farthest(machine, &group, way) else {
                    continue;
                };
                let words = [corner.2, end, who]
                    .into_iter()
                    .filter(|word| !word.is_empty());
                let name = [corner.1, end, side]
                    .into_iter()
                    .filter(|word| !word.is_empty());
                all.push(NamedPoint {
                    name: name.collect::<Vec<_>>().join("_"),
                    words: words.collect::<Vec<_>>().join(", "),
                    at,
                });
            }
        }
    };
    let ends = [("front", 1.0), ("rear", -1.0)];
    let sides = [
        ("right", "engineer side", -1.0),
        ("left", "conductor side", 1.0),
    ];
    for corner in QUARTERS.iter().chain(&ENDS) {
        add(corner, &ends, &sides);
    }
    for corner in &MIDDLES {
        add(corner, &ends, &[("", "", 1.0)]);
    }
    for corner in &SIDES {
        add(corner, &[("", 1.0)], &sides);
    }
    all
}

/// The corner of a group that lies farthest in some direction; of equals the last of the mesh.
fn farthest(machine: &Machine, group: &str, way: DVec3) -> Option<DVec3> {
    let group = machine.groups.iter().find(|one| one.group == group)?;
    let far = |point: &&DVec3| point.dot(way);
    (group.mesh.points.iter())
        .max_by(|a, b| far(a).total_cmp(&far(b)))
        .copied()
}
