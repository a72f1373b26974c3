//! A learner's threshold on one fault, from what was seen and what was not: the Bayesian method of Kontsevich & Tyler.
//! May not enter: what is looked at, files.
//!
//! Kontsevich, L. L. & Tyler, C. W. (1999): Bayesian adaptive estimation of psychometric slope and threshold. Vision
//! Research 39, 2729–2737: a posterior over threshold and slope on a grid; the next stimulus is the one whose answer
//! leaves the least entropy to be expected; the estimate is the posterior's mean. The logarithmic axis and the fixed
//! lapse are those of QUEST (Watson, A. B. & Pelli, D. G. (1983), Perception & Psychophysics 33, 113–120); taking the
//! mean for its smaller spread is King-Smith's (King-Smith, P. E. et al. (1994), ZEST, Vision Research 34, 885–912).
//!
//! A learner sees a fault of degree d with the probability γ + (1 − γ − λ)·F. F is logistic in ln d and 3/4 at the
//! threshold, so what was only guessed is taken out (Abbott's correction). γ comes from clean frames, λ is fixed.

use std::cell::OnceCell;

/// Share of answers that go wrong by a slip of the hand (as QUEST has it, 1 to 2 %).
pub const LAPSE: f64 = 0.02;
/// Guess rates below and above which none is believed.
const GUESSES: [f64; 2] = [0.01, 0.5];
/// The prior of the guess rate: half a false alarm in ten clean frames, from memory.
const GUESS_PRIOR: [f64; 2] = [0.5, 10.0];

const THRESHOLDS: usize = 61;
const SLOPES: usize = 9;
const CANDIDATES: usize = 25;
/// Widths of the logistic, as shares of the axis.
const WIDTHS: [f64; 2] = [0.02, 0.2];
/// The axis begins below the least degree that is asked by this factor of itself: one may see more than is asked.
const BELOW: f64 = 0.5;

/// One answer: the degree that was shown, and whether it was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// The fault's degree.
    pub degree: f64,
    /// Whether it was named.
    pub seen: bool,
}

/// What is known of a threshold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The degree seen three times in four.
    pub degree: f64,
    /// Its standard error, as a factor's logarithm: the threshold lies within so much of ln degree two times in three.
    pub error: f64,
    /// The least degree that is asked.
    pub least: f64,
    /// From how many answers.
    pub trials: usize,
    /// Whether it lies so low that nothing below what is asked can be told.
    pub at_floor: bool,
    /// Whether it lies so high that the most that is asked is not seen.
    pub at_ceiling: bool,
}

/// The share of clean frames in which this fault was named, as far as they tell.
pub fn guess_rate(false_alarms: u32, clean_frames: u32) -> f64 {
    let rate =
        (f64::from(false_alarms) + GUESS_PRIOR[0]) / (f64::from(clean_frames) + GUESS_PRIOR[1]);
    rate.clamp(GUESSES[0], GUESSES[1])
}

/// The chance that a fault is named, with `away` = ln d − ln threshold and the logistic's width.
pub fn chance(away: f64, width: f64, guess: f64) -> f64 {
    guess + (1.0 - guess - LAPSE) * seen_of_itself(away, width)
}

fn seen_of_itself(away: f64, width: f64) -> f64 {
    1.0 / (1.0 + (-(away / width) - 3f64.ln()).exp())
}

/// What an answer tells of the threshold where all else is known (Fisher's information, per ln d squared).
pub fn information(away: f64, width: f64, guess: f64) -> f64 {
    let f = seen_of_itself(away, width);
    let slope = (1.0 - guess - LAPSE) * f * (1.0 - f) / width;
    let p = chance(away, width, guess);
    slope * slope / (p * (1.0 - p))
}

/// For each point of the grid: the chance of either answer, and its logarithm.
type Asked = Vec<[[f64; 2]; 2]>;

/// The posterior over threshold and slope.
pub struct Posterior {
    thresholds: Vec<f64>,
    widths: Vec<f64>,
    /// ln of degrees that may be asked.
    candidates: Vec<f64>,
    guess: f64,
    weights: Vec<f64>,
    /// For each candidate and point of the grid: the chance of either answer, and its logarithm. Worked out where the
    /// next degree is wanted: most posteriors are made for their estimate.
    asked: OnceCell<Vec<Asked>>,
    trials: usize,
}

fn steps(from: f64, to: f64, count: usize) -> Vec<f64> {
    let step = (to - from) / (count - 1) as f64;
    (0..count).map(|i| from + step * i as f64).collect()
}

impl Posterior {
    /// Nothing known yet, where degrees of this range may be asked.
    pub fn new([least, most]: [f64; 2], guess: f64) -> Posterior {
        let (low, high) = ((least * BELOW).ln(), most.ln());
        let span = high - low;
        let widths = steps(WIDTHS[0].ln(), WIDTHS[1].ln(), SLOPES);
        Posterior {
            thresholds: steps(low, high, THRESHOLDS),
            widths: widths.into_iter().map(|width| width.exp() * span).collect(),
            candidates: steps(least.ln(), high, CANDIDATES),
            guess,
            weights: vec![1.0 / (THRESHOLDS * SLOPES) as f64; THRESHOLDS * SLOPES],
            asked: OnceCell::new(),
            trials: 0,
        }
    }

    fn asked(&self) -> &[Asked] {
        self.asked.get_or_init(|| {
            let both = |p: f64| [p, 1.0 - p].map(|p| [p, p.ln()]);
            let of = |at: &f64| self.chances(*at).map(both).collect();
            self.candidates.iter().map(of).collect()
        })
    }

    /// After these answers.
    pub fn after(range: [f64; 2], guess: f64, trials: &[Trial]) -> Posterior {
        let mut posterior = Posterior::new(range, guess);
        for trial in trials {
            posterior.learn(trial);
        }
        posterior
    }

    fn chances(&self, at: f64) -> impl Iterator<Item = f64> + '_ {
        let of_width = move |width: &f64| {
            let width = *width;
            let of = move |threshold: &f64| chance(at - threshold, width, self.guess);
            self.thresholds.iter().map(of)
        };
        self.widths.iter().flat_map(of_width)
    }

    /// Takes in an answer. What is no degree is left out.
    pub fn learn(&mut self, trial: &Trial) {
        let at = trial.degree.ln();
        if !at.is_finite() {
            return;
        }
        let likely = |p: f64| if trial.seen { p } else { 1.0 - p };
        let chances: Vec<f64> = self.chances(at).map(likely).collect();
        for (weight, likely) in self.weights.iter_mut().zip(chances) {
            *weight *= likely;
        }
        let sum: f64 = self.weights.iter().sum();
        self.weights.iter_mut().for_each(|weight| *weight /= sum);
        self.trials += 1;
    }

    /// The degree whose answer is expected to tell most.
    pub fn next(&self) -> f64 {
        // Σ w·p·ln(w·p) = Σ w·p·(ln w + ln p); what has no weight left adds nothing.
        let logs: Vec<f64> = self
            .weights
            .iter()
            .map(|weight| weight.max(1e-300).ln())
            .collect();
        let entropy_after = |asked: &[[[f64; 2]; 2]]| {
            let (mut chances, mut sums) = ([0.0; 2], [0.0; 2]);
            for ((weight, log), both) in self.weights.iter().zip(&logs).zip(asked) {
                for (answer, [p, log_p]) in both.iter().enumerate() {
                    chances[answer] += weight * p;
                    sums[answer] -= weight * p * (log + log_p);
                }
            }
            // The entropy of each outcome, weighed by its chance: P·H = P·ln P − Σ w·p·ln(w·p).
            let told = |p: f64| if p > 0.0 { p * p.ln() } else { 0.0 };
            sums[0] + told(chances[0]) + sums[1] + told(chances[1])
        };
        let scored = self
            .candidates
            .iter()
            .zip(self.asked())
            .map(|(at, asked)| (*at, entropy_after(asked)));
        let best = scored.min_by(|a, b| a.1.total_cmp(&b.1));
        best.map_or(1.0, |(at, _)| at.exp())
    }

    /// The threshold, by the posterior's mean and standard deviation.
    pub fn estimate(&self) -> Estimate {
        let at = |i: usize| self.thresholds[i % THRESHOLDS];
        let mean: f64 = self
            .weights
            .iter()
            .enumerate()
            .map(|(i, w)| w * at(i))
            .sum();
        let square = |(i, w): (usize, &f64)| w * (at(i) - mean).powi(2);
        let error = self
            .weights
            .iter()
            .enumerate()
            .map(square)
            .sum::<f64>()
            .sqrt();
        Estimate {
            degree: mean.exp(),
            error,
            least: self.candidates[0].exp(),
            trials: self.trials,
            at_floor: self.trials > 0 && mean < self.candidates[0],
            at_ceiling: mean + error > self.candidates[CANDIDATES - 1],
        }
    }
}
