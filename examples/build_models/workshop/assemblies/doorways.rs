//! Doorways as a machine has them: holes in its walls, leaves that hang and swing, joints and latches, and
//! the engine that shows behind. May not enter: which machine, which walls.

use super::super::machine::{HingedDoor, Machine};
use super::super::parts::doors::{Doorway, Row, Swing};
use super::super::parts::hood;
use super::super::shape::{Frame, Mesh, Solid, cylinder, rectangle, slab};
use glam::DVec3;

/// How far doors swing open: short of the handrail beside them.
pub const OPEN_DEG: f64 = 66.0;

/// How deep the holes behind hood doors are.
const ROOM_DEPTH_M: f64 = 0.42;

/// Leaves of all these doorways.
pub fn leaves(doorways: &[Doorway]) -> Mesh {
    Mesh::of(doorways.iter().map(Doorway::leaf_meshes))
}

/// Their joints.
pub fn joints(doorways: &[Doorway]) -> Mesh {
    Mesh::of(doorways.iter().map(Doorway::joint))
}

/// Their latches.
pub fn latches(doorways: &[Doorway]) -> Mesh {
    Mesh::of(doorways.iter().map(Doorway::latch))
}

/// Sinks their holes into both flanks of a body at ± `half`, the right flank's along being x.
pub fn cut(mut body: Solid, half: f64, doorways: &[Doorway]) -> Solid {
    for doorway in doorways {
        let (low, high) = doorway.hole();
        for y in [half, -half] {
            let outline = hood::on_flank(y, (low.0, high.0), (low.1, high.1));
            body = body.pocket(&outline, ROOM_DEPTH_M);
        }
    }
    body
}

/// Sinks one hole into a wall of a body.
pub fn cut_wall(body: Solid, wall: &Frame, doorway: &Doorway) -> Solid {
    let (low, high) = doorway.hole();
    let corners = rectangle(low, high);
    let outline: Vec<DVec3> = corners.iter().map(|p| wall.point(p.extend(0.0))).collect();
    body.pocket(&outline, ROOM_DEPTH_M)
}

/// The dark lining at the back of one hole, in wall coordinates.
pub fn lining(doorway: &Doorway) -> Mesh {
    let (low, high) = doorway.hole();
    slab(
        [low.0 - 0.02, low.1 - 0.02, -ROOM_DEPTH_M - 0.05],
        [high.0 + 0.02, high.1 + 0.02, -ROOM_DEPTH_M + 0.006],
    )
}

/// The doors low on a hood's flanks: a row beside the engine, and a few others.
#[derive(Clone, Debug)]
pub struct HoodDoors {
    /// Half the hood's width.
    pub half_m: f64,
    /// The row.
    pub row: Row,
    /// Doors to cabinets and compartments.
    pub others: Vec<Doorway>,
    /// Between which x the engine stands behind the row.
    pub engine_x_m: (f64, f64),
}

impl HoodDoors {
    fn all(&self) -> Vec<Doorway> {
        let mut all = self.row.doorways();
        all.extend(&self.others);
        all
    }

    /// Sinks the doorways into the hood.
    pub fn cut(&self, body: Solid) -> Solid {
        cut(body, self.half_m, &self.all())
    }

    /// Adds leaves, joints, latches, what lies behind, and how the leaves swing.
    pub fn add(&self, machine: &mut Machine) {
        let wall = Frame::right(self.half_m);
        let row = self.row.doorways();
        machine.add_sides(
            "hood_doors",
            "hood doors",
            "hood",
            "hood",
            leaves(&row).on(&wall),
        );
        if !self.others.is_empty() {
            let others = leaves(&self.others).on(&wall).both_sides();
            machine.add("cabinet_doors", "cabinet doors", "hood", "hood", others);
        }
        let all = self.all();
        let frames = joints(&all).on(&wall).both_sides();
        machine.add(
            "door_joints",
            "joints of the hood doors",
            "hood",
            "black",
            frames,
        );
        let levers = latches(&all).on(&wall).both_sides();
        machine.add(
            "door_latches",
            "hood door latches",
            "detail",
            "black",
            levers,
        );
        let [mut dark, engine] = engine_room(self.half_m, &row, self.engine_x_m);
        dark.add(&Mesh::of(self.others.iter().map(lining)).on(&wall));
        machine.add(
            "engine_room",
            "engine room",
            "detail",
            "black",
            dark.both_sides(),
        );
        machine.add("engine", "engine", "detail", "engine", engine.both_sides());
        hang_sides(machine, "hood door", &row, &wall, OPEN_DEG);
        hang_sides(machine, "cabinet door", &self.others, &wall, OPEN_DEG);
    }
}

/// Notes how the leaves on a wall swing.
pub fn hang(machine: &mut Machine, name: &str, doorways: &[Doorway], wall: &Frame, open_deg: f64) {
    for (number, door) in swings(doorways, wall).into_iter().enumerate() {
        machine.hinged_doors.push(HingedDoor {
            name: format!("{name} {}", number + 1),
            open_deg: door.open_deg * open_deg,
            ..door
        });
    }
}

/// The same on the right side and on the left, its mirror image.
pub fn hang_sides(
    machine: &mut Machine,
    name: &str,
    doorways: &[Doorway],
    wall: &Frame,
    open_deg: f64,
) {
    hang(
        machine,
        &format!("engineer-side {name}"),
        doorways,
        wall,
        open_deg,
    );
    let flip = |p: DVec3| DVec3::new(p.x, -p.y, p.z);
    for (number, door) in swings(doorways, wall).into_iter().enumerate() {
        let (a, b) = (flip(door.low), flip(door.high));
        machine.hinged_doors.push(HingedDoor {
            name: format!("conductor-side {name} {}", number + 1),
            low: a.min(b),
            high: a.max(b),
            hinge: door.hinge.map(flip),
            open_deg: -door.open_deg * open_deg,
        });
    }
}

/// Boxes and hinges in the machine frame; `open_deg` holds the sense alone.
fn swings(doorways: &[Doorway], wall: &Frame) -> Vec<HingedDoor> {
    let leaf_swings = doorways
        .iter()
        .flat_map(Doorway::leaf_list)
        .map(|leaf| leaf.swing());
    let door = |swing: Swing| {
        let (a, b) = (wall.point(swing.low), wall.point(swing.high));
        HingedDoor {
            name: String::new(),
            low: a.min(b),
            high: a.max(b),
            hinge: swing.hinge.map(|p| wall.point(p)),
            open_deg: swing.sense,
        }
    };
    leaf_swings.map(door).collect()
}

/// What shows behind open hood doors on the right side: a dark lining, the engine's crankcase, heads and
/// exhaust pipe. `engine` says between which x the engine stands.
fn engine_room(half: f64, doorways: &[Doorway], engine: (f64, f64)) -> [Mesh; 2] {
    let floor = -(half - ROOM_DEPTH_M);
    let (from, to) = doorways.iter().fold((f64::MAX, f64::MIN), |(a, b), d| {
        (a.min(d.along.0), b.max(d.along.1))
    });
    let (low, high) = doorways[0].up;
    // Its ends lie inside the posts, behind the holes' own edges.
    let lining = slab(
        [from + 0.02, floor - 0.006, low + 0.02],
        [to - 0.02, floor + 0.05, high - 0.02],
    );
    let height = high - low;
    let mut block = Mesh::of([
        slab(
            [engine.0, floor - 0.16, low + 0.025],
            [engine.1, floor + 0.04, low + 0.36 * height],
        ),
        cylinder(
            DVec3::new(engine.0 + 0.05, floor - 0.09, low + 0.84 * height),
            DVec3::new(engine.1 - 0.05, floor - 0.09, low + 0.84 * height),
            0.075,
            8,
        ),
    ]);
    let count = ((engine.1 - engine.0) / 0.75).floor() as usize;
    let step = (engine.1 - engine.0) / count as f64;
    for k in 0..count {
        let x = engine.0 + (k as f64 + 0.5) * step;
        block.add(&slab(
            [x - 0.27, floor - 0.20, low + 0.42 * height],
            [x + 0.27, floor + 0.04, low + 0.68 * height],
        ));
    }
    [lining, block]
}
