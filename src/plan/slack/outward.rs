//! From the plan outward to where something no longer holds: in steps by a cheap look, its end bisected, proved, and
//! moved by proofs where those say otherwise. May not enter: what is looked at.

use crate::plan::request::{Cancelled, Watch};

/// How far and how finely is looked, in whole units of whoever asks.
pub(super) struct Outward {
    /// Step outward.
    pub step: i64,
    /// The end is known to so much.
    pub fine: i64,
    /// Nothing is looked at beyond.
    pub farthest: i64,
}

/// Where something ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Edge {
    /// The farthest that holds, proved; 0 is the plan itself.
    pub inside: i64,
    /// The nearest beyond it that does not, proved; none where it holds as far as was looked.
    pub outside: Option<i64>,
}

impl Outward {
    /// Looks outward; `seems` is the cheap look, `proves` the exact one.
    pub fn edge(
        &self,
        watch: &Watch,
        seems: &dyn Fn(i64) -> bool,
        proves: &dyn Fn(i64) -> bool,
    ) -> Result<Edge, Cancelled> {
        let (mut inside, mut outside) = (0, self.farthest + self.step);
        for next in (1..=self.farthest / self.step).map(|k| k * self.step) {
            watch.alive()?;
            if !seems(next) {
                outside = next;
                break;
            }
            inside = next;
        }
        if outside <= self.farthest {
            self.bisect(&mut inside, &mut outside, seems);
        }
        // Where the proof is stricter the end comes nearer, where it is milder it goes on.
        let mut back = self.step;
        while inside > 0 && !proves(inside) {
            watch.alive()?;
            outside = inside;
            inside = (inside - back).max(0);
            back *= 2;
        }
        while outside <= self.farthest && proves(outside) {
            watch.alive()?;
            inside = outside;
            outside = match self.farthest - inside {
                0 => self.farthest + 1,
                left => inside + left.min(self.step),
            };
        }
        if outside > self.farthest {
            return Ok(Edge {
                inside: inside.min(self.farthest),
                outside: None,
            });
        }
        watch.alive()?;
        self.bisect(&mut inside, &mut outside, proves);
        Ok(Edge {
            inside,
            outside: Some(outside),
        })
    }

    fn bisect(&self, inside: &mut i64, outside: &mut i64, holds: &dyn Fn(i64) -> bool) {
        while *outside - *inside > self.fine {
            let middle = *inside + (*outside - *inside) / 2;
            *(if holds(middle) {
                &mut *inside
            } else {
                &mut *outside
            }) = middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::AtomicBool;

    fn edge(seems_to: i64, proves_to: i64) -> Edge {
        let watch = Watch {
            cancel: &AtomicBool::new(false),
            told: &|_, _| {},
        };
        let outward = Outward {
            step: 25,
            fine: 5,
            farthest: 1000,
        };
        let found = outward.edge(&watch, &|by| by <= seems_to, &|by| by <= proves_to);
        found.unwrap()
    }

    #[test]
    fn the_proof_says_where_it_ends_whatever_the_look_says() {
        for proves_to in [0, 3, 40, 333, 999] {
            for seems_to in [0, 3, 38, 60, 333, 700, 2000] {
                let Edge { inside, outside } = edge(seems_to, proves_to);
                assert!(inside <= proves_to, "{seems_to} {proves_to}: {inside}");
                let outside = outside.unwrap_or_else(|| panic!("{seems_to} {proves_to}"));
                assert!(outside > proves_to && outside - inside <= 5);
            }
        }
    }

    #[test]
    fn what_never_ends_is_told_as_far_as_was_looked() {
        for seems_to in [20, 2000] {
            let found = edge(seems_to, 2000);
            assert_eq!((found.inside, found.outside), (1000, None));
        }
    }
}
