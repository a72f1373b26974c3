//! A cab over two colours, with windows all round and walk-through doors. May not enter: hoods, lamps.

use super::super::machine::Machine;
use super::super::parts::{cab, hood};
use super::super::shape::{Frame, Mesh, panel};

/// A window or door, as (low corner, high corner): along the machine or across it, and up.
pub type Opening = ((f64, f64), (f64, f64));

/// How much the upper, light bodies are drawn in against the lower ones: a lip instead of two faces in one
/// plane.
pub const LIP_M: f64 = 0.006;

/// Sizes of a cab.
#[derive(Clone, Debug)]
pub struct Cab {
    /// x of the rear and front walls.
    pub x_m: (f64, f64),
    /// Half the width of its lower walls, and over its armrests.
    pub half_m: f64,
    /// Half the greatest width, over the armrests.
    pub widest_m: f64,
    /// Where it begins, hidden in the deck.
    pub foot_z_m: f64,
    /// Where the lower colour ends.
    pub band_z_m: f64,
    /// Where the roof begins.
    pub eaves_z_m: f64,
    /// The roof's top.
    pub top_z_m: f64,
    /// Windows on both sides (x, z).
    pub sides: Vec<Opening>,
    /// Windows with wipers in the front wall (y, z).
    pub windshields: Vec<Opening>,
    /// Other windows in the front wall (y, z).
    pub front: Vec<Opening>,
    /// Windows in the rear wall, seen from behind (right is +, z).
    pub rear: Vec<Opening>,
    /// A door with its window in the front wall (y, z), if any.
    pub front_door: Option<(Opening, Opening)>,
    /// The same in the rear wall, seen from behind (right is +).
    pub rear_door: Option<(Opening, Opening)>,
}

impl Cab {
    fn half(&self) -> f64 {
        self.half_m - LIP_M
    }

    fn front_wall(&self) -> Frame {
        Frame::front(self.x_m.1 - LIP_M)
    }

    fn rear_wall(&self) -> Frame {
        Frame::rear(self.x_m.0 + LIP_M)
    }

    /// Adds the cab.
    pub fn add(&self, machine: &mut Machine) {
        self.add_walls(machine);
        self.add_glass(machine);
        self.add_doors(machine);
        self.add_trim(machine);
    }

    fn add_walls(&self, machine: &mut Machine) {
        let lower = hood::body(
            &hood::upright(
                self.half_m,
                self.foot_z_m + LIP_M,
                self.band_z_m + LIP_M,
                0.0,
            ),
            self.x_m.0,
            self.x_m.1,
            0.0,
            0.0,
        );
        let span = self.x_m.1 - self.x_m.0;
        let hatches = [(0.08, 0.47), (0.53, 0.92)].map(|(from, to)| {
            let (from, to) = (self.x_m.0 + from * span, self.x_m.0 + to * span);
            let z = (self.foot_z_m + 0.14, self.foot_z_m + 0.58);
            panel((from, z.0), (to, z.1), 0.02, 0.009, 0.006)
        });
        let hatches = Mesh::of(hatches)
            .on(&Frame::right(self.half_m))
            .both_sides();
        let walls = Mesh::of([lower.mesh(), hatches]);
        machine.add("cab_lower", "lower cab", "cab", "cab", walls);
        let (rear, front) = (self.x_m.0 + LIP_M, self.x_m.1 - LIP_M);
        let half = self.half();
        let profile = cab::profile(half, self.band_z_m - 0.03, self.eaves_z_m, self.top_z_m);
        let mut upper = hood::body(&profile, rear, front, 0.0, 0.0);
        let ranges = |w: &Opening| ((w.0.0, w.1.0), (w.0.1, w.1.1));
        for window in &self.sides {
            let (x, z) = ranges(window);
            for y in [half, -half] {
                upper = upper.pocket(&hood::on_flank(y, x, z), cab::WINDOW_POCKET_M);
            }
        }
        for window in self.front_openings() {
            let (y, z) = ranges(&window);
            upper = upper.pocket(&hood::on_end(front, y, z), cab::WINDOW_POCKET_M);
        }
        for window in self.rear_openings() {
            // From behind, along runs to the right (−y).
            let (y, z) = ranges(&window);
            let outline = hood::on_end(rear, (-y.1, -y.0), z);
            upper = upper.pocket(&outline, cab::WINDOW_POCKET_M);
        }
        machine.add("cab_upper", "cab", "cab", "cab upper", upper.mesh());
        let arch = cab::arch(half, self.eaves_z_m, self.top_z_m);
        let skin = cab::roof(&arch, (self.x_m.0 - 0.03, self.x_m.1 + 0.03), 0.05);
        machine.add("cab_roof", "cab roof", "cab", "roof", skin);
    }

    fn front_openings(&self) -> Vec<Opening> {
        let door = self.front_door.iter().map(|door| door.1);
        let plain = self.windshields.iter().chain(&self.front).copied();
        plain.chain(door).collect()
    }

    fn rear_openings(&self) -> Vec<Opening> {
        let door = self.rear_door.iter().map(|door| door.1);
        self.rear.iter().copied().chain(door).collect()
    }

    fn add_glass(&self, machine: &mut Machine) {
        let panes = |windows: &[Opening], wall: &Frame| {
            Mesh::of(
                windows
                    .iter()
                    .map(|(low, high)| cab::pane(*low, *high).on(wall)),
            )
        };
        let sides = panes(&self.sides, &Frame::right(self.half()));
        machine.add_sides("glass", "cab windows", "glass", "glass", sides);
        let front = panes(&self.front_openings(), &self.front_wall());
        machine.add("windshields", "windshields", "glass", "glass", front);
        let rear = panes(&self.rear_openings(), &self.rear_wall());
        machine.add("glass_rear", "rear cab windows", "glass", "glass", rear);
    }

    fn add_doors(&self, machine: &mut Machine) {
        let mut joints = Mesh::default();
        let (mut bottoms, mut tops) = (Mesh::default(), Mesh::default());
        let walls = [Frame::front(self.x_m.1), Frame::rear(self.x_m.0)];
        for (door, wall) in [&self.front_door, &self.rear_door].into_iter().zip(walls) {
            let Some(((low, high), window)) = door else {
                continue;
            };
            let seam = self.band_z_m;
            joints.add(&cab::door_joint(*low, *high, *window).on(&wall));
            bottoms.add(&cab::door_bottom(*low, (high.0, seam - LIP_M)).on(&wall));
            tops.add(&cab::door_top((low.0, seam), *high, *window).on(&wall));
        }
        if !bottoms.triangles.is_empty() {
            machine.add("cab_doors_lower", "cab doors", "cab", "cab", bottoms);
            machine.add(
                "cab_doors_upper",
                "upper cab doors",
                "cab",
                "cab upper",
                tops,
            );
            machine.add(
                "cab_door_joints",
                "joints of the cab doors",
                "detail",
                "black",
                joints,
            );
        }
    }

    fn add_trim(&self, machine: &mut Machine) {
        let gaskets = |windows: &[Opening], wall: &Frame| {
            Mesh::of(
                windows
                    .iter()
                    .map(|(low, high)| cab::gasket(*low, *high).on(wall)),
            )
        };
        let wall = self.front_wall();
        let mut trim = gaskets(&self.sides, &Frame::right(self.half())).both_sides();
        trim.add(&gaskets(&self.windshields, &wall));
        trim.add(&gaskets(&self.front, &wall));
        trim.add(&gaskets(&self.rear, &self.rear_wall()));
        let sill_z = self
            .sides
            .iter()
            .fold(f64::MAX, |z, window| z.min(window.0.1))
            - 0.06;
        let (from, to) = self.sides.iter().fold((f64::MAX, f64::MIN), |(a, b), w| {
            (a.min(w.0.0), b.max(w.1.0))
        });
        let x = (from - 0.04, to + 0.04);
        let rests = cab::armrest(
            self.half(),
            self.widest_m,
            x,
            (sill_z - 0.025, sill_z + 0.025),
        );
        trim.add(&rests.both_sides());
        for (low, high) in &self.windshields {
            let middle = 0.5 * (low.0 + high.0);
            let pivot = (middle, high.1 + 0.08);
            let tip = (middle + 0.09, high.1 - 0.34);
            trim.add(&cab::wiper(pivot, tip).on(&wall));
        }
        machine.add(
            "window_trim",
            "window trim and wipers",
            "detail",
            "black",
            trim,
        );
    }
}
