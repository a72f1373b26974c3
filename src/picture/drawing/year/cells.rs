//! A lane's instants as a grid of dates and civil clock times, joined to as few rectangles and lines as show the same.
//! May not enter: pages, inks.

use crate::grade::Verdict;
use crate::plan::year::Lane;
use crate::sky::clock::Zone;
use chrono::{NaiveDate, Timelike};

/// Minutes of a civil day.
const DAY_MIN: u32 = 1440;

/// The grid.
pub struct Cells {
    dates: usize,
    slots: usize,
    every_min: u32,
    /// By date, then by time of day; none where the sun is down or the clock skips.
    cells: Vec<Option<Verdict>>,
}

/// Some cells that are alike: dates and minutes of the day, from the first up to before the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Patch {
    /// Days since the year began.
    pub dates: [usize; 2],
    /// Minutes since midnight.
    pub minutes: [u32; 2],
}

impl Cells {
    /// Of a lane. What a clock shows twice on a day has the worse of both.
    pub fn of(lane: &Lane, zone: &Zone, first: NaiveDate, dates: usize) -> Cells {
        let every_min = lane.year.asked.every_min;
        let slots = DAY_MIN.div_ceil(every_min) as usize;
        let mut cells = vec![None; dates * slots];
        for (instant, best) in lane.looks() {
            let time = zone.local(instant.at).naive.time();
            let slot = (time.hour() * 60 + time.minute()) / every_min;
            let date = (instant.date - first).num_days().max(0) as usize;
            if let Some(cell) = cells.get_mut(date * slots + slot as usize) {
                let known: Option<Verdict> = *cell;
                *cell = Some(known.map_or(best.verdict, |known| known.min(best.verdict)));
            }
        }
        Cells {
            dates,
            slots,
            every_min,
            cells,
        }
    }

    fn at(&self, date: usize, slot: usize) -> Option<Verdict> {
        let is_in = date < self.dates && slot < self.slots;
        is_in.then(|| self.cells[date * self.slots + slot])?
    }

    fn minute(&self, slot: usize) -> u32 {
        (slot as u32 * self.every_min).min(DAY_MIN)
    }

    /// The first and the last minute of the day with any sun; none where there is none all year.
    pub fn span_min(&self) -> Option<[u32; 2]> {
        let lit = |slot: &usize| (0..self.dates).any(|date| self.at(date, *slot).is_some());
        let first = (0..self.slots).find(lit)?;
        let last = (0..self.slots).rev().find(lit)?;
        Some([self.minute(first), self.minute(last + 1)])
    }

    /// All cells of a verdict, joined down the day, then across days that have the same run.
    pub fn patches(&self, verdict: Verdict) -> Vec<Patch> {
        let mut done = Vec::new();
        let mut open: Vec<Patch> = Vec::new();
        for date in 0..self.dates {
            let mut next = Vec::new();
            let mut slot = 0;
            while slot < self.slots {
                let from = slot;
                while self.at(date, slot) == Some(verdict) {
                    slot += 1;
                }
                if slot > from {
                    let minutes = [self.minute(from), self.minute(slot)];
                    let goes_on = open.iter().position(|patch| patch.minutes == minutes);
                    let first = goes_on.map_or(date, |n| open.swap_remove(n).dates[0]);
                    next.push(Patch {
                        dates: [first, date + 1],
                        minutes,
                    });
                }
                slot += 1;
            }
            done.append(&mut open);
            open = next;
        }
        done.append(&mut open);
        done
    }

    /// Where cells with and without sun meet (true), or two verdicts (false): from date and minute to date and minute.
    pub fn edges(&self, of_sun: bool) -> Vec<Patch> {
        let parts = |a: Option<Verdict>, b: Option<Verdict>| {
            a != b && (a.is_none() || b.is_none()) == of_sun
        };
        let mut edges = Vec::new();
        let before =
            |n: usize, at: &dyn Fn(usize) -> Option<Verdict>| n.checked_sub(1).and_then(at);
        for slot in 0..=self.slots {
            let is_edge = |date: usize| {
                let above = before(slot, &|slot| self.at(date, slot));
                parts(above, self.at(date, slot))
            };
            let minute = self.minute(slot);
            for dates in runs(self.dates, is_edge) {
                let minutes = [minute; 2];
                edges.push(Patch { dates, minutes });
            }
        }
        for date in 0..=self.dates {
            let is_edge = |slot: usize| {
                let left = before(date, &|date| self.at(date, slot));
                parts(left, self.at(date, slot))
            };
            for slots in runs(self.slots, is_edge) {
                let minutes = slots.map(|slot| self.minute(slot));
                let dates = [date; 2];
                edges.push(Patch { dates, minutes });
            }
        }
        edges
    }
}

/// Runs of numbers below a count for which something holds: from the first up to before the last.
fn runs(count: usize, holds: impl Fn(usize) -> bool) -> Vec<[usize; 2]> {
    let mut runs: Vec<[usize; 2]> = Vec::new();
    for n in (0..count).filter(|n| holds(*n)) {
        match runs.last_mut() {
            Some(run) if run[1] == n => run[1] = n + 1,
            _ => runs.push([n, n + 1]),
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(rows: &[&str]) -> Cells {
        let of = |letter: char| match letter {
            'f' => Some(Verdict::Fine),
            'g' => Some(Verdict::Good),
            'l' => Some(Verdict::Lost),
            _ => None,
        };
        Cells {
            dates: rows.len(),
            slots: rows[0].len(),
            every_min: 60,
            cells: rows.iter().flat_map(|row| row.chars().map(of)).collect(),
        }
    }

    #[test]
    fn patches_cover_every_cell_of_their_verdict_once_and_no_other() {
        // Dates down, hours across.
        let cells = cells(&["..lgg.", "..lgg.", ".lgggf", ".lgl.f"]);
        let mut covered = 0;
        for verdict in Verdict::ALL {
            for patch in cells.patches(verdict) {
                for date in patch.dates[0]..patch.dates[1] {
                    for hour in patch.minutes[0] / 60..patch.minutes[1] / 60 {
                        assert_eq!(cells.at(date, hour as usize), Some(verdict));
                        covered += 1;
                    }
                }
            }
        }
        let alive = cells.cells.iter().flatten().count();
        assert_eq!(covered, alive);
        let joined = Patch {
            dates: [0, 2],
            minutes: [180, 300],
        };
        assert!(cells.patches(Verdict::Good).contains(&joined));
        assert_eq!(cells.span_min(), Some([60, 360]));
    }

    /// A rectangle within sun has four edges of verdicts, and its sun has four of its own.
    #[test]
    fn edges_are_where_neighbours_differ() {
        let cells = cells(&["llll", "lggl", "lggl", "llll"]);
        let mut inner = cells.edges(false);
        inner.sort_by_key(|edge| (edge.dates, edge.minutes));
        let edge = |dates: [usize; 2], minutes: [u32; 2]| Patch { dates, minutes };
        assert_eq!(
            inner,
            [
                edge([1, 1], [60, 180]),
                edge([1, 3], [60, 60]),
                edge([1, 3], [180, 180]),
                edge([3, 3], [60, 180]),
            ]
        );
        assert_eq!(cells.edges(true).len(), 4);
    }
}
