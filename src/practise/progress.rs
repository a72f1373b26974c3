//! What a learner has done: rounds, and what they tell of each fault: threshold, false alarms, shares. May not enter:
//! files, pictures.

use super::fault::FaultKind;
use super::scale::Scale;
use super::threshold::{Estimate, Posterior, Trial, guess_rate};
use serde::{Deserialize, Serialize};

/// The drills.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Drill {
    /// Which fault, how bad, what to do.
    Spot,
    /// The frame put right.
    Mend,
    /// How long the light lasts.
    Hour,
}

impl Drill {
    /// All.
    pub const ALL: [Drill; 3] = [Drill::Spot, Drill::Mend, Drill::Hour];

    /// Its word on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Drill::Spot => "spot",
            Drill::Mend => "mend",
            Drill::Hour => "hour",
        }
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Drill::Spot => "Spot the fault",
            Drill::Mend => "Mend it",
            Drill::Hour => "Call the hour",
        }
    }
}

/// One round that was played.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Round {
    /// Which drill.
    pub drill: Drill,
    /// The key of the planted fault; none in a clean frame.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planted: Option<String>,
    /// Its degree.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub degree: Option<f64>,
    /// Keys of the faults that the learner named.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub named: Vec<String>,
    /// Moves made, and the fewest that are known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moves: Option<[u32; 2]>,
    /// Minutes by which the hour was called too late (+) or too early.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub late_min: Option<f64>,
    /// Points, 0 to 3.
    pub points: f64,
}

/// Most rounds that are kept: older ones tell of an eye that has changed since.
pub const MOST_ROUNDS: usize = 5000;
/// A fault that is shown for the first time lies so far beyond what is slight, as a factor of its degree.
const PLAIN: f64 = 1.35;
/// So many of the latest trials of a fault count.
const LATEST: usize = 80;

/// All rounds, the latest last.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Progress {
    /// The rounds.
    pub rounds: Vec<Round>,
}

/// What rounds tell of one fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Which.
    pub kind: FaultKind,
    /// Trials with a degree, the latest last.
    pub trials: Vec<Trial>,
    /// Clean frames in which it was named.
    pub false_alarms: u32,
    /// All clean frames.
    pub clean_frames: u32,
}

impl Progress {
    /// Takes in a round.
    pub fn add(&mut self, round: Round) {
        self.rounds.push(round);
        let surplus = self.rounds.len().saturating_sub(MOST_ROUNDS);
        self.rounds.drain(..surplus);
    }

    /// What the rounds of spotting tell of a fault.
    pub fn of(&self, kind: FaultKind) -> Told {
        let spotted = || {
            self.rounds
                .iter()
                .filter(|round| round.drill == Drill::Spot)
        };
        let is_named = |round: &&Round| round.named.iter().any(|key| key == kind.key());
        let clean = || spotted().filter(|round| round.planted.is_none());
        let own = spotted().filter(|round| round.planted.as_deref() == Some(kind.key()));
        let trials = own.filter_map(|round| {
            Some(Trial {
                degree: round.degree?,
                seen: is_named(&round),
            })
        });
        let mut trials: Vec<Trial> = trials.collect();
        let old = trials.len().saturating_sub(LATEST);
        trials.drain(..old);
        Told {
            kind,
            trials,
            false_alarms: clean().filter(is_named).count() as u32,
            clean_frames: clean().count() as u32,
        }
    }

    /// Rounds of a drill, and the share of their points that was won.
    pub fn of_drill(&self, drill: Drill) -> (usize, Option<f64>) {
        let points: Vec<f64> = self
            .rounds
            .iter()
            .filter(|round| round.drill == drill)
            .map(|round| round.points)
            .collect();
        let share = points.iter().sum::<f64>() / (3.0 * points.len().max(1) as f64);
        (points.len(), (!points.is_empty()).then_some(share))
    }

    /// The mean absolute error of called hours, minutes.
    pub fn hour_error_min(&self) -> Option<f64> {
        let late: Vec<f64> = self
            .rounds
            .iter()
            .filter_map(|round| round.late_min)
            .collect();
        let mean = late.iter().map(|late| late.abs()).sum::<f64>() / late.len() as f64;
        (!late.is_empty()).then_some(mean)
    }
}

impl Told {
    fn posterior(&self, scale: &Scale) -> Posterior {
        let guess = guess_rate(self.false_alarms, self.clean_frames);
        Posterior::after(self.kind.asked(scale), guess, &self.trials)
    }

    /// The degree to be asked next.
    pub fn next(&self, scale: &Scale) -> f64 {
        if !scale.is_graded() {
            return 1.0;
        }
        let next = self.posterior(scale).next();
        // A fault that is shown for the first time is plain: nobody learns from what he has never seen.
        let plain = scale.last_slight().map(|last| PLAIN * last);
        match (self.trials.is_empty(), plain) {
            (true, Some(plain)) => next.max(plain.min(scale.asked()[1])),
            _ => next,
        }
    }

    /// The threshold, where the fault has degrees and was shown.
    pub fn threshold(&self, scale: &Scale) -> Option<Estimate> {
        let any = scale.is_graded() && !self.trials.is_empty();
        any.then(|| self.posterior(scale).estimate())
    }

    /// How often it was named where it was shown.
    pub fn named(&self) -> (usize, usize) {
        let seen = self.trials.iter().filter(|trial| trial.seen).count();
        (seen, self.trials.len())
    }
}
