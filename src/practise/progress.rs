//! What a learner has done: rounds, and what they tell of each fault: threshold, false alarms, shares. May not enter:
//! files, pictures.

use super::deal::Planted;
use super::fault::FaultKind;
use super::scale::Scale;
use super::threshold::{Estimate, Posterior, Trial, guess_rate};
use crate::grade::MeasureId;
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
    /// The key of the measure that told it, and the measure's value: what limits may make of it may change.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measure: Option<String>,
    /// In the measure's own unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// Its degree, in a round of the first form, which kept no value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub degree: Option<f64>,
    /// Keys of the faults that could be named; none are known of a round of the first form.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub offered: Vec<String>,
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

impl Round {
    /// A round of a drill on a frame with a planted fault or without, and its points.
    pub fn of(drill: Drill, planted: Option<&Planted>, points: f64) -> Round {
        Round {
            drill,
            planted: planted.map(|one| one.kind.key().to_string()),
            measure: planted.map(|one| one.scale.id.key().to_string()),
            value: planted.map(|one| one.value),
            degree: None,
            named: vec![],
            offered: vec![],
            moves: None,
            late_min: None,
            points,
        }
    }
}

/// Most rounds that are kept: older ones tell of an eye that has changed since.
pub const MOST_ROUNDS: usize = 5000;
/// A fault that is shown for the first time lies so far beyond what is slight, as a factor of its degree.
const PLAIN: f64 = 1.35;
/// From fewer frames no threshold is told.
pub const LEAST_TRIALS: usize = 4;
/// How much likelier than another is a fault that was begun or missed.
const ASKED_AGAIN: usize = 4;
/// So many of the latest trials of a fault count.
const LATEST: usize = 80;

/// All rounds, the latest last.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Progress {
    /// The rounds.
    pub rounds: Vec<Round>,
}

/// A fault that was shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// The measure and its value; none in a round of the first form.
    pub measured: Option<(MeasureId, f64)>,
    /// Its degree in a round of the first form.
    pub degree: Option<f64>,
    /// Whether it was named.
    pub seen: bool,
}

/// What rounds tell of one fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Which.
    pub kind: FaultKind,
    /// Each time that it was shown, the latest last.
    pub shown: Vec<Shown>,
    /// Clean frames in which it was named though it could only be guessed.
    pub false_alarms: u32,
    /// Clean frames in which it could be named.
    pub clean_frames: u32,
}

/// The latest of them, in order.
fn latest<T>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut all: Vec<T> = all.collect();
    let old = all.len().saturating_sub(LATEST);
    all.drain(..old);
    all
}

fn is_among(kind: FaultKind, keys: &[String]) -> bool {
    keys.iter().any(|key| key == kind.key())
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
        let own = self
            .spotted()
            .filter(|round| round.planted.as_deref() == Some(kind.key()))
            .filter(|round| round.value.is_some() || round.degree.is_some());
        let shown = own.map(|round| {
            let id = round.measure.as_deref().and_then(MeasureId::from_key);
            Shown {
                measured: id.zip(round.value),
                degree: round.degree,
                seen: is_among(kind, &round.named),
            }
        });
        // Where a fault cannot be named nobody can guess it.
        let clean = self
            .spotted()
            .filter(|round| round.planted.is_none() && is_among(kind, &round.offered));
        let clean = latest(clean);
        let alarms = clean.iter().filter(|round| is_among(kind, &round.named));
        Told {
            kind,
            shown: latest(shown),
            false_alarms: alarms.count() as u32,
            clean_frames: clean.len() as u32,
        }
    }

    fn spotted(&self) -> impl Iterator<Item = &Round> {
        self.rounds
            .iter()
            .filter(|round| round.drill == Drill::Spot)
    }

    /// Clean frames that were shown, and how many faults were named in them.
    pub fn clean(&self) -> (usize, usize) {
        let clean = self.spotted().filter(|round| round.planted.is_none());
        clean.fold((0, 0), |(frames, alarms), round| {
            (frames + 1, alarms + round.named.len())
        })
    }

    /// Rounds of a drill, and the share of their points that was won.
    pub fn of_drill(&self, drill: Drill) -> (usize, Option<f64>) {
        let points: Vec<f64> = self
            .rounds
            .iter()
            .filter(|round| round.drill == drill)
            .map(|round| round.points)
            .collect();
        // An empty sum is −0.
        let share = points.iter().fold(0.0, |sum, points| sum + points)
            / (3.0 * points.len().max(1) as f64);
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
    /// The times that it was shown on a scale. A round of the first form counts on the kind's first.
    pub fn trials(&self, scale: &Scale) -> Vec<Trial> {
        let first = self.kind.graded_by().first().map(|(id, _)| *id);
        let degree = |shown: &Shown| match shown.measured {
            Some((id, value)) => (id == scale.id).then(|| scale.degree(value)),
            None => shown.degree.filter(|_| first == Some(scale.id)),
        };
        let trial = |shown: &Shown| {
            Some(Trial {
                degree: degree(shown)?,
                seen: shown.seen,
            })
        };
        self.shown.iter().filter_map(trial).collect()
    }

    /// How much it is worth asking, against a fault that was never shown: what was begun is made firm, what was missed
    /// last comes again.
    pub fn weight(&self) -> usize {
        let is_begun = (1..LEAST_TRIALS).contains(&self.shown.len());
        let is_missed = self.shown.last().is_some_and(|shown| !shown.seen);
        match is_begun || is_missed {
            true => ASKED_AGAIN,
            false => 1,
        }
    }

    fn posterior(&self, scale: &Scale) -> Posterior {
        let guess = guess_rate(self.false_alarms, self.clean_frames);
        Posterior::after(self.kind.asked(scale), guess, &self.trials(scale))
    }

    /// The degree to be asked next.
    pub fn next(&self, scale: &Scale) -> f64 {
        if !scale.is_graded() {
            return 1.0;
        }
        let next = self.posterior(scale).next();
        // A fault that is shown for the first time is plain: nobody learns from what he has never seen.
        let plain = scale.last_slight().map(|last| PLAIN * last);
        match (self.shown.is_empty(), plain) {
            (true, Some(plain)) => next.max(plain.min(scale.asked()[1])),
            _ => next,
        }
    }

    /// The threshold, where the fault has degrees and was shown.
    pub fn threshold(&self, scale: &Scale) -> Option<Estimate> {
        let any = scale.is_graded() && !self.trials(scale).is_empty();
        any.then(|| self.posterior(scale).estimate())
    }

    /// How often it was named where it was shown.
    pub fn named(&self) -> (usize, usize) {
        let seen = self.shown.iter().filter(|shown| shown.seen).count();
        (seen, self.shown.len())
    }
}
