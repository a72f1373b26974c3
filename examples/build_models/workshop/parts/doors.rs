//! Hinged doors on walls, in wall coordinates (along, up, out). May not enter: where they hang.

use super::super::shape::{Mesh, slab};

/// How far a door's outer face stands out of its wall.
pub const DOOR_PROUD_M: f64 = 0.013;

/// A flat door leaf: a plain plate, so that its whole face lies [`DOOR_PROUD_M`] out of the wall.
pub fn leaf(from: (f64, f64), to: (f64, f64)) -> Mesh {
    slab([from.0, from.1, -0.02], [to.0, to.1, DOOR_PROUD_M])
}

/// The dark joint around and between leaves: a plate behind them that shows `gap` beyond their edges.
pub fn joint(from: (f64, f64), to: (f64, f64), gap: f64) -> Mesh {
    slab(
        [from.0 - gap, from.1 - gap, -0.03],
        [to.0 + gap, to.1 + gap, 0.0065],
    )
}

/// Two strap hinges centred on `along`, between `half_length` to either side: they reach over the post
/// between two leaves, or over the edge of a single one.
pub fn hinges(along: f64, half_length: f64, up: (f64, f64)) -> Mesh {
    let height = up.1 - up.0;
    Mesh::of([0.14, 0.86].map(|share| {
        let middle = up.0 + share * height;
        slab(
            [along - half_length, middle - 0.035, -0.01],
            [along + half_length, middle + 0.035, DOOR_PROUD_M + 0.010],
        )
    }))
}

/// A latch lever, upright, on a leaf.
pub fn latch(along: f64, up: f64) -> Mesh {
    slab(
        [along - 0.022, up - 0.11, 0.0],
        [along + 0.022, up + 0.11, DOOR_PROUD_M + 0.022],
    )
}

/// A single door: leaf, and hinges on the edge with the smaller `along`. Joint and latch are apart.
pub fn single(from: (f64, f64), to: (f64, f64)) -> Mesh {
    Mesh::of([leaf(from, to), hinges(from.0, 0.035, (from.1, to.1))])
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
    /// The first edge of each pair.
    fn starts(&self) -> impl Iterator<Item = f64> + '_ {
        (0..self.pairs).map(|k| self.from_m + k as f64 * (self.pair_m() + self.post_m))
    }

    fn pair_m(&self) -> f64 {
        2.0 * self.leaf_m + self.seam_m
    }

    /// The last leaf's last edge.
    pub fn end_m(&self) -> f64 {
        self.from_m + self.pairs as f64 * (self.pair_m() + self.post_m) - self.post_m
    }

    /// Leaves and hinges.
    pub fn leaves(&self) -> Mesh {
        let (low, high) = (self.bottom_m, self.top_m);
        let mut all = Mesh::default();
        for x in self.starts() {
            let second = x + self.leaf_m + self.seam_m;
            all.add(&leaf((x, low), (x + self.leaf_m, high)));
            all.add(&leaf((second, low), (second + self.leaf_m, high)));
            let post = 0.5 * self.post_m;
            all.add(&hinges(x - post, post + 0.03, (low, high)));
        }
        all.add(&hinges(
            self.end_m() + 0.5 * self.post_m,
            0.5 * self.post_m + 0.03,
            (low, high),
        ));
        all
    }

    /// The joints around the pairs.
    pub fn joints(&self) -> Mesh {
        Mesh::of(self.starts().map(|x| {
            joint(
                (x, self.bottom_m),
                (x + self.pair_m(), self.top_m),
                self.seam_m,
            )
        }))
    }

    /// One latch on each pair's second leaf.
    pub fn latches(&self) -> Mesh {
        let up = 0.5 * (self.bottom_m + self.top_m);
        Mesh::of(
            self.starts()
                .map(|x| latch(x + self.leaf_m + self.seam_m + 0.06, up)),
        )
    }
}
