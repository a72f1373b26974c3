//! Hinged doors on walls, in wall coordinates (along, up, out): doorways, leaves, straps, latches, and the
//! line that each leaf swings on. May not enter: what lies behind, names.

use super::super::shape::{Mesh, Solid, rectangle, slab};
use glam::DVec3;

/// How far a door's outer face stands out of its wall.
pub const DOOR_PROUD_M: f64 = 0.013;

/// How far a leaf reaches into its wall.
const LEAF_SUNK_M: f64 = 0.02;

/// How far the wall reaches behind a leaf's edges: doorways are smaller than their leaves.
const REBATE_M: f64 = 0.03;

/// How far beyond a leaf's edge its hinge lies.
const HINGE_GAP_M: f64 = 0.004;

/// Width of a strap over the leaf, and half its height.
const STRAP_M: f64 = 0.13;
const STRAP_HALF_M: f64 = 0.032;

/// Which leaves close a doorway.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Leaves {
    /// One, hung on the edge with the smaller `along`.
    HungLow,
    /// One, hung on the edge with the greater `along`.
    HungHigh,
    /// Two, hung on both edges, with a joint of this width between them.
    Pair(f64),
}

/// A doorway in a wall with its leaves.
#[derive(Clone, Copy, Debug)]
pub struct Doorway {
    /// From where to where along the wall its leaves reach.
    pub along: (f64, f64),
    /// From where to where up the wall.
    pub up: (f64, f64),
    /// What closes it.
    pub leaves: Leaves,
    /// Width of the joint around them.
    pub joint_m: f64,
}

/// One leaf of a doorway.
#[derive(Clone, Copy, Debug)]
pub struct Leaf {
    /// From where to where along the wall.
    pub along: (f64, f64),
    /// From where to where up the wall.
    pub up: (f64, f64),
    /// Hung on the edge with the smaller `along`.
    pub hung_low: bool,
}

/// How a leaf swings, in wall coordinates.
#[derive(Clone, Copy, Debug)]
pub struct Swing {
    /// Least corner of the box that holds what swings.
    pub low: DVec3,
    /// Greatest corner.
    pub high: DVec3,
    /// The hinge, from its lower end up.
    pub hinge: [DVec3; 2],
    /// +1 where the leaf opens right-handed about the upward hinge.
    pub sense: f64,
}

impl Doorway {
    /// Its leaves.
    pub fn leaf_list(&self) -> Vec<Leaf> {
        let (from, to) = self.along;
        let leaf = |along, hung_low| Leaf {
            along,
            up: self.up,
            hung_low,
        };
        match self.leaves {
            Leaves::HungLow => vec![leaf((from, to), true)],
            Leaves::HungHigh => vec![leaf((from, to), false)],
            Leaves::Pair(joint) => {
                let middle = 0.5 * (from + to);
                vec![
                    leaf((from, middle - 0.5 * joint), true),
                    leaf((middle + 0.5 * joint, to), false),
                ]
            }
        }
    }

    /// The hole in the wall: low and high corner.
    pub fn hole(&self) -> ((f64, f64), (f64, f64)) {
        (
            (self.along.0 + REBATE_M, self.up.0 + REBATE_M),
            (self.along.1 - REBATE_M, self.up.1 - REBATE_M),
        )
    }

    /// The dark joint around its leaves: a frame that shows beyond their edges.
    pub fn joint(&self) -> Mesh {
        let gap = self.joint_m;
        let outer = rectangle(
            (self.along.0 - gap, self.up.0 - gap),
            (self.along.1 + gap, self.up.1 + gap),
        );
        // A little wider than the hole, so that no two faces lie in one plane.
        let (low, high) = self.hole();
        let opening = rectangle(
            (low.0 - 0.012, low.1 - 0.012),
            (high.0 + 0.012, high.1 + 0.012),
        );
        Solid::plate(&outer, &[opening], -0.014, 0.0065).mesh()
    }

    /// Its leaves with their straps.
    pub fn leaf_meshes(&self) -> Mesh {
        Mesh::of(self.leaf_list().iter().map(Leaf::mesh))
    }

    /// One latch on its last leaf.
    pub fn latch(&self) -> Mesh {
        let leaves = self.leaf_list();
        leaves[leaves.len() - 1].latch()
    }
}

impl Leaf {
    /// A plain plate, so that its whole face lies [`DOOR_PROUD_M`] out of the wall, and two straps.
    fn mesh(&self) -> Mesh {
        let plate = slab(
            [self.along.0, self.up.0, -LEAF_SUNK_M],
            [self.along.1, self.up.1, DOOR_PROUD_M],
        );
        let height = self.up.1 - self.up.0;
        let straps = [0.14, 0.86].map(|share| {
            let middle = self.up.0 + share * height;
            let (from, to) = if self.hung_low {
                (self.along.0 - 0.028, self.along.0 + STRAP_M)
            } else {
                (self.along.1 - STRAP_M, self.along.1 + 0.028)
            };
            slab(
                [from, middle - STRAP_HALF_M, -0.008],
                [to, middle + STRAP_HALF_M, DOOR_PROUD_M + 0.010],
            )
        });
        Mesh::of([plate].into_iter().chain(straps))
    }

    /// A latch lever, upright, near the free edge.
    fn latch(&self) -> Mesh {
        let along = if self.hung_low {
            self.along.1 - 0.06
        } else {
            self.along.0 + 0.06
        };
        let up = 0.5 * (self.up.0 + self.up.1);
        slab(
            [along - 0.022, up - 0.11, 0.0],
            [along + 0.022, up + 0.11, DOOR_PROUD_M + 0.022],
        )
    }

    /// How it swings. The hinge lies in front of the wall, so that nothing swings into it.
    pub fn swing(&self) -> Swing {
        let slack = 0.003;
        let (mut low, mut high) = (self.along.0 - slack, self.along.1 + slack);
        let hinge_at = if self.hung_low {
            low -= 0.028;
            self.along.0 - HINGE_GAP_M
        } else {
            high += 0.028;
            self.along.1 + HINGE_GAP_M
        };
        let out = DOOR_PROUD_M + 0.008;
        Swing {
            low: DVec3::new(low, self.up.0 - slack, -LEAF_SUNK_M - slack),
            high: DVec3::new(high, self.up.1 + slack, DOOR_PROUD_M + 0.06),
            hinge: [
                DVec3::new(hinge_at, self.up.0, out),
                DVec3::new(hinge_at, self.up.1, out),
            ],
            // Along turns into out: against the right hand about `up` where the hinge is the low edge.
            sense: if self.hung_low { -1.0 } else { 1.0 },
        }
    }
}

/// A row of double doors: sizes along the wall.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// The first leaf's first edge.
    pub from_m: f64,
    /// How many pairs.
    pub pairs: usize,
    /// Width of a leaf.
    pub leaf_m: f64,
    /// Joint between the two leaves of a pair.
    pub seam_m: f64,
    /// Post between two pairs.
    pub post_m: f64,
    /// Lower edge.
    pub bottom_m: f64,
    /// Upper edge.
    pub top_m: f64,
}

impl Row {
    /// The doorway of each pair.
    pub fn doorways(&self) -> Vec<Doorway> {
        let pair = 2.0 * self.leaf_m + self.seam_m;
        let start = |k: usize| self.from_m + k as f64 * (pair + self.post_m);
        let doorway = |k| Doorway {
            along: (start(k), start(k) + pair),
            up: (self.bottom_m, self.top_m),
            leaves: Leaves::Pair(self.seam_m),
            joint_m: self.seam_m,
        };
        (0..self.pairs).map(doorway).collect()
    }

    /// The last leaf's last edge.
    pub fn end_m(&self) -> f64 {
        let pair = 2.0 * self.leaf_m + self.seam_m;
        self.from_m + self.pairs as f64 * (pair + self.post_m) - self.post_m
    }
}
