//! Many slips at random: stop, bearing and minute uncertain at once, and the share of them that is good or better.
//! May not enter: how one slip is graded.

use super::slip::{Rehearsed, Slip};
use super::{COUNTED, Way};
use crate::grade::Verdict;
use crate::plan::request::{Cancelled, Watch};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;
use rand_pcg::rand_core::SeedableRng;
use rayon::prelude::*;

/// How uncertain things are: standard deviations of normal distributions about the plan, independent of one another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Of the place where the machine stops, along its track.
    pub stop_m: f64,
    /// Of the bearing of the track, and of all that was laid out by it.
    pub bearing_deg: f64,
    /// Of the minute at which the shot is taken.
    pub time_min: f64,
    /// How many slips are drawn.
    pub draws: u32,
    /// What the drawing starts from: the same seed gives the same slips, for every answer.
    pub seed: u64,
}

impl Default for Spread {
    /// A machine that stops within some paces, a track read off a map, a photographer with a clock.
    fn default() -> Spread {
        Spread {
            stop_m: 2.0,
            bearing_deg: 1.0,
            time_min: 10.0,
            draws: 200,
            seed: 1,
        }
    }
}

/// How likely a frame is good or better.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    /// The share of slips whose verdict is good or better, 0–1.
    pub good: f64,
    /// The standard error of that.
    pub standard_error: f64,
    /// The share of slips whose verdict is the answer's own or better, 0–1.
    pub as_planned: f64,
    /// Under which spread.
    pub spread: Spread,
}

/// How far the photographer may miss a spot found by paces.
const SPOT_M: f64 = 0.5;

impl Spread {
    /// What is usual one way.
    pub(super) fn usual(&self, way: Way) -> f64 {
        match way {
            Way::Earlier | Way::Later => self.time_min,
            Way::MachineAhead | Way::MachineBack => self.stop_m,
            Way::TurnedRight | Way::TurnedLeft => self.bearing_deg,
            Way::Left | Way::Right | Way::Nearer | Way::Farther => SPOT_M,
        }
    }

    /// Whether nothing is uncertain: all slips are alike.
    fn is_certain(&self) -> bool {
        [self.stop_m, self.bearing_deg, self.time_min] == [0.0; 3]
    }

    /// The slips themselves, in the order of the generator: PCG XSL RR 128/64 (O'Neill 2014), whose numbers are
    /// fixed. How they become normal ones is the library's affair: a test holds its first slips.
    fn slips(&self) -> Vec<Slip> {
        let mut random = Pcg64::seed_from_u64(self.seed);
        let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
        let slip = |_| Slip {
            ahead_m: self.stop_m * normal(),
            turned_deg: self.bearing_deg * normal(),
            late_s: 60.0 * self.time_min * normal(),
            ..Slip::default()
        };
        (0..self.draws).map(slip).collect()
    }

    /// The shares of slips that are good or better and that are `planned` or better, each graded at the size that
    /// `rehearsed` was drawn at. A machine that cannot stand where it would stop is no frame.
    pub(super) fn chance(
        &self,
        rehearsed: &Rehearsed,
        planned: Verdict,
        watch: &Watch,
    ) -> Result<Chance, Cancelled> {
        let verdict = |slip: &Slip| {
            watch.alive()?;
            Ok(rehearsed
                .sheet(slip)
                .map_or(Verdict::Lost, |one| one.verdict))
        };
        let verdicts: Result<Vec<Verdict>, Cancelled> =
            self.slips().par_iter().map(verdict).collect();
        let verdicts = verdicts?;
        let share = |least: Verdict| {
            let served = verdicts.iter().filter(|one| **one >= least).count();
            served as f64 / f64::from(self.draws.max(1))
        };
        let good = share(COUNTED);
        let all = f64::from(self.draws);
        Ok(Chance {
            good,
            standard_error: match self.is_certain() {
                true => 0.0,
                false => standard_error(good * all, all),
            },
            as_planned: share(planned),
            spread: *self,
        })
    }
}

/// Of a share of `good` among `all`, by two more of either kind (Agresti & Coull 1998): a share of none or all is not
/// certain either.
fn standard_error(good: f64, all: f64) -> f64 {
    let share = (good + 2.0) / (all + 4.0);
    (share * (1.0 - share) / (all + 4.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Worked by hand after Agresti & Coull 1998: 10 of 10 gives 12/14 ± √(12/14 · 2/14 / 14) = 0.0935.
    #[test]
    fn no_share_is_certain() {
        assert_relative_eq!(standard_error(10.0, 10.0), 0.0935, epsilon = 1e-4);
        assert_relative_eq!(standard_error(100.0, 200.0), 0.0350, epsilon = 1e-4);
    }

    /// Moments of the normal distribution: mean 0, standard deviation as stated, a third beyond one of them (0.3173).
    #[test]
    fn slips_are_spread_as_stated_and_the_same_for_a_seed() {
        let spread = Spread {
            draws: 20_000,
            ..Spread::default()
        };
        let slips = spread.slips();
        assert_eq!(slips[..50], spread.slips()[..50]);
        // As rand_distr 0.6.0 with rand_pcg 0.10.3 draw them: other ones would be other chances in every plan.
        let first = [slips[0].ahead_m, slips[0].turned_deg, slips[0].late_s];
        let known = [2.667_998_791, -1.766_966_739, -611.872_033_180];
        for (drawn, known) in first.into_iter().zip(known) {
            assert_relative_eq!(drawn, known, epsilon = 1e-8, max_relative = 1e-9);
        }
        let of = |value: &dyn Fn(&Slip) -> f64, sigma: f64| {
            let values: Vec<f64> = slips.iter().map(|slip| value(slip) / sigma).collect();
            let count = values.len() as f64;
            let mean = values.iter().sum::<f64>() / count;
            let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / count;
            let beyond = values.iter().filter(|v| v.abs() > 1.0).count() as f64 / count;
            assert!(
                mean.abs() < 0.03 && (variance - 1.0).abs() < 0.04,
                "{mean} {variance}"
            );
            assert_relative_eq!(beyond, 0.3173, epsilon = 0.012);
        };
        of(&|slip| slip.ahead_m, 2.0);
        of(&|slip| slip.turned_deg, 1.0);
        of(&|slip| slip.late_s, 600.0);
    }
}
