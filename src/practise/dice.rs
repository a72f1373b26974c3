//! Chances drawn from a seed: the same seed draws the same. May not enter: what is drawn for.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};

/// A seeded source of chances.
pub struct Dice(Pcg64);

impl Dice {
    /// From a seed and a number within it: rounds of one seed do not depend on one another.
    pub fn new(seed: u64, round: u64) -> Dice {
        let mut first = Pcg64::seed_from_u64(seed);
        let mixed = first.next_u64() ^ round.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        Dice(Pcg64::seed_from_u64(mixed))
    }

    /// Evenly from 0 to 1, 1 left out.
    pub fn share(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly within a range.
    pub fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// A number below a count; 0 of none.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// +1 or −1.
    pub fn sign(&mut self) -> f64 {
        if self.share() < 0.5 { -1.0 } else { 1.0 }
    }

    /// Puts things in another order.
    pub fn shuffle<T>(&mut self, things: &mut [T]) {
        for i in (1..things.len()).rev() {
            things.swap(i, self.below(i + 1));
        }
    }
}
