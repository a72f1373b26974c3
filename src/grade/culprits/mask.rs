//! A value for each pixel of a frame: how strongly it is to blame. May not enter: what is blamed.

use rayon::prelude::*;

/// Rows of values, top row first: 0 not at all, 255 wholly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mask {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// How strongly each is to blame.
    pub values: Vec<u8>,
}

impl Mask {
    /// Nobody is to blame.
    pub fn empty(width: usize, height: usize) -> Mask {
        Mask {
            width,
            height,
            values: vec![0; width * height],
        }
    }

    /// Whether nobody is to blame.
    pub fn is_empty(&self) -> bool {
        self.values.iter().all(|value| *value == 0)
    }

    /// A share of blame (0–1) for each pixel, by its index.
    pub(super) fn blame(&mut self, share: impl Fn(usize) -> f64 + Sync) {
        let each = self.values.par_iter_mut().enumerate();
        each.with_min_len(8192)
            .for_each(|(pixel, value)| *value = (*value).max(strength(share(pixel))));
    }

    /// The whole blame for one pixel, or a share (0–1) of it.
    pub(super) fn set(&mut self, pixel: usize, share: f64) {
        self.values[pixel] = self.values[pixel].max(strength(share));
    }

    /// A pixel to point at, as a place in the frame: the blamed one nearest to the middle of all blame.
    pub fn centre(&self) -> Option<[f64; 2]> {
        let blamed = || {
            let all = self.values.iter().enumerate().filter(|(_, v)| **v > 0);
            all.map(|(i, v)| {
                (
                    (i % self.width) as f64,
                    (i / self.width) as f64,
                    f64::from(*v),
                )
            })
        };
        let sum = blamed().fold([0.0; 3], |[x, y, all], (c, r, v)| {
            [x + c * v, y + r * v, all + v]
        });
        let middle = (sum[0] / sum[2], sum[1] / sum[2]);
        let off = |(c, r, _): &(f64, f64, f64)| (c - middle.0).powi(2) + (r - middle.1).powi(2);
        let (column, row, _) = blamed().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some([
            (column + 0.5) / self.width as f64,
            (row + 0.5) / self.height as f64,
        ])
    }
}

fn strength(share: f64) -> u8 {
    // What is to blame at all must show.
    match share {
        share if share > 0.0 => (share.min(1.0) * 255.0).round().max(1.0) as u8,
        _ => 0,
    }
}
