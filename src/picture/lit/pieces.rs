//! Which piece of a tile is drawn next: from the middle outward, as many cells as a step has time for. May not enter:
//! devices.

use super::shot::Piece;

/// Side of a cell, pixels of the picture: adapters in software work in squares of this size.
const CELL: usize = 64;

/// The cells of a tile that are not drawn yet.
pub struct Pieces {
    size: [usize; 2],
    cells: [usize; 2],
    free: Vec<bool>,
}

impl Pieces {
    /// All of a tile.
    pub fn of(size: [usize; 2]) -> Pieces {
        let cells = size.map(|pixels| pixels.div_ceil(CELL));
        Pieces {
            size,
            cells,
            free: vec![true; cells[0] * cells[1]],
        }
    }

    /// Whether nothing of it is drawn yet.
    pub fn is_untouched(&self) -> bool {
        self.free.iter().all(|free| *free)
    }

    /// Takes a rectangle of about so many cells, as near the middle as there is one, and says how many it has; none
    /// when all are taken.
    pub fn next(&mut self, about: usize) -> Option<(Piece, usize)> {
        let [columns, rows] = self.cells;
        // Twice the distance of a cell's middle from the tile's.
        let away = |i: usize| {
            let [x, y] = [2 * (i % columns) + 1, 2 * (i / columns) + 1];
            x.abs_diff(columns).pow(2) + y.abs_diff(rows).pow(2)
        };
        let free = (0..self.free.len()).filter(|i| self.free[*i]);
        let seed = free.min_by_key(|i| away(*i))?;
        // Left, top, right, bottom; the last two beyond.
        let mut sides = [
            seed % columns,
            seed / columns,
            seed % columns + 1,
            seed / columns + 1,
        ];
        let mut grew = true;
        while grew {
            grew = false;
            for side in 0..4 {
                let mut wider = sides;
                match side {
                    0 | 1 if sides[side] > 0 => wider[side] -= 1,
                    2 | 3 if sides[side] < self.cells[side - 2] => wider[side] += 1,
                    _ => continue,
                }
                if area(wider) <= about.max(1) && self.is_free(wider, sides) {
                    sides = wider;
                    grew = true;
                }
            }
        }
        let [left, top, right, bottom] = sides;
        for y in top..bottom {
            self.free[y * columns + left..y * columns + right].fill(false);
        }
        let first = [left * CELL, top * CELL];
        let end = [right * CELL, bottom * CELL];
        let size = [0, 1].map(|k| end[k].min(self.size[k]) - first[k]);
        Some((Piece { first, size }, area(sides)))
    }

    /// Whether all cells of a rectangle are free that another within it does not hold.
    fn is_free(&self, wider: [usize; 4], within: [usize; 4]) -> bool {
        let [left, top, right, bottom] = wider;
        (top..bottom).all(|y| {
            (left..right).all(|x| {
                let inside =
                    (within[0]..within[2]).contains(&x) && (within[1]..within[3]).contains(&y);
                inside || self.free[y * self.cells[0] + x]
            })
        })
    }
}

fn area([left, top, right, bottom]: [usize; 4]) -> usize {
    (right - left) * (bottom - top)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_cover_each_pixel_once_from_the_middle_outward() {
        let size = [650, 427];
        let mut pieces = Pieces::of(size);
        let mut times = vec![0; size[0] * size[1]];
        let mut about = 1;
        let mut first = None;
        while let Some((piece, cells)) = pieces.next(about) {
            assert!(cells <= about);
            first.get_or_insert(piece);
            for y in piece.first[1]..piece.first[1] + piece.size[1] {
                for x in piece.first[0]..piece.first[0] + piece.size[0] {
                    times[y * size[0] + x] += 1;
                }
            }
            about = about % 7 + 2;
        }
        assert!(times.iter().all(|times| *times == 1));
        let Piece { first, size: own } = first.unwrap();
        for k in 0..2 {
            assert!(first[k] <= size[k] / 2 && size[k] / 2 <= first[k] + own[k] + CELL);
        }
    }
}
