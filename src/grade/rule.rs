//! One rule: the limits on one measure, and what passing them costs. May not enter: file formats.

use super::catalogue::MeasureId;
use super::verdict::Grade;
use super::wording::Template;

/// Penalties at the clean, slight and marked limits.
const LIMIT_PENALTIES: [f64; 3] = [0.0, 1.0, 3.0];
/// Penalty at the far end; beyond it the slope is halved.
const FAR_PENALTY: f64 = 10.0;

/// The limits toward one side of a measure's scale.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// Clean, slight and marked limits, from the inside outward. Those of grades that the rule never
    /// reaches may be absent.
    pub limits: Vec<f64>,
    /// Where the penalty reaches 10; absent where the worst grade's cap is reached before.
    pub far: Option<f64>,
    /// The worst grade that passing the limits may bring.
    pub worst: Grade,
    /// Beyond this the frame is lost, whatever the worst grade.
    pub ruinous_beyond: Option<f64>,
}

/// Which way out of a scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Downward.
    Low,
    /// Upward.
    High,
}

impl Way {
    /// Turns a value into one that grows outward.
    pub fn outward(self, value: f64) -> f64 {
        match self {
            Way::Low => -value,
            Way::High => value,
        }
    }
}

impl Side {
    /// How many of the limits a value has passed. A limit's own value has not passed it.
    fn passed(&self, way: Way, value: f64) -> usize {
        let x = way.outward(value);
        self.limits
            .iter()
            .filter(|&&limit| x > way.outward(limit))
            .count()
    }

    fn is_past_ruin(&self, way: Way, value: f64) -> bool {
        self.ruinous_beyond
            .is_some_and(|limit| way.outward(value) > way.outward(limit))
    }

    /// Grade and unweighted penalty.
    fn penalty(&self, way: Way, value: f64) -> (Grade, f64) {
        let passed = self.passed(way, value);
        let worst = if self.is_past_ruin(way, value) {
            return (
                Grade::Ruinous,
                self.uncapped_penalty(way, value, self.limits.len()),
            );
        } else {
            self.worst
        };
        let grade = Grade::ALL[passed].min(worst);
        if grade == Grade::Clean {
            return (grade, 0.0);
        }
        let penalty = self.uncapped_penalty(way, value, passed);
        (grade, penalty.min(worst.penalty_cap()))
    }

    /// Piecewise linear between the limits (`passed` of which lie behind) and the far end, then by half
    /// the last slope.
    fn uncapped_penalty(&self, way: Way, value: f64, passed: usize) -> f64 {
        let x = way.outward(value);
        let from = way.outward(self.limits[passed - 1]);
        let base = LIMIT_PENALTIES[passed - 1];
        if let Some(&next) = self.limits.get(passed) {
            let rise = LIMIT_PENALTIES[passed] - base;
            return base + rise * (x - from) / (way.outward(next) - from);
        }
        let Some(far) = self.far.map(|far| way.outward(far)) else {
            return base;
        };
        let slope = (FAR_PENALTY - base) / (far - from);
        base + slope * (x.min(far) - from) + 0.5 * slope * (x - far).max(0.0)
    }

    /// The limit that a value passed last.
    fn last_passed(&self, way: Way, value: f64) -> Option<f64> {
        if self.is_past_ruin(way, value) {
            return self.ruinous_beyond;
        }
        let passed = self.passed(way, value);
        // Limits beyond the worst grade shape the penalty only.
        let told = passed.min(self.worst as usize);
        told.checked_sub(1).map(|i| self.limits[i])
    }
}

/// What a rule says, by the way out of its scale (or by the sign, for one-sided rules).
#[derive(Clone, Debug, PartialEq)]
pub struct Words {
    /// What is wrong.
    pub wording: Template,
    /// What would mend it.
    pub remedy: Option<Template>,
}

/// One rule of a rulebook.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// The measure that it limits.
    pub id: MeasureId,
    /// Index of its fault in the rulebook.
    pub fault: usize,
    /// Limits downward, if low values are bad.
    pub low: Option<Side>,
    /// Limits upward, if high values are bad.
    pub high: Option<Side>,
    /// For one-sided rules: the value at which headroom is whole.
    pub best: f64,
    /// Factor on the penalty, above 0.
    pub weight: f64,
    /// Words for values too low, or of negative sign.
    pub low_words: Words,
    /// Words for values too high, or of positive sign.
    pub high_words: Words,
    /// Words for slight values, where those are another thing than worse ones ("dirty", "filthy").
    pub slight_words: Option<Words>,
    /// Words for values beyond the far end, where that is another thing ("you look into the light").
    pub beyond_words: Option<Words>,
    /// Why the rule exists.
    pub reason: String,
    /// Where its limits come from.
    pub source: String,
}

impl Rule {
    /// Grade and unweighted penalty of a value: 0 at the clean limit, 1 at slight, 3 at marked, 10 at the
    /// far end, then by half that slope; capped by the worst permitted grade.
    pub fn penalty(&self, value: f64) -> (Grade, f64) {
        let at = |side: &Option<Side>, way| {
            side.as_ref()
                .map_or((Grade::Clean, 0.0), |side| side.penalty(way, value))
        };
        let (low, high) = (at(&self.low, Way::Low), at(&self.high, Way::High));
        (low.0.max(high.0), low.1.max(high.1))
    }

    /// The clean value that is nearest to one.
    pub fn nearest_clean(&self, value: f64) -> f64 {
        let limit =
            |side: &Option<Side>| side.as_ref().and_then(|side| side.limits.first().copied());
        let value = limit(&self.low).map_or(value, |low| value.max(low));
        limit(&self.high).map_or(value, |high| value.min(high))
    }

    /// How far inside the clean limits a value lies: 1 in the middle of a range, or at a one-sided rule's
    /// best value; 0 at a limit. None for values that are not clean, and where the clean limit leaves no
    /// room ("none at all").
    pub fn headroom(&self, value: f64) -> Option<f64> {
        let clean = |side: &Option<Side>| side.as_ref().map(|side| side.limits[0]);
        let (room, whole) = match (clean(&self.low), clean(&self.high)) {
            (Some(low), Some(high)) => ((value - low).min(high - value), 0.5 * (high - low)),
            (Some(low), None) => (value - low, self.best - low),
            (None, Some(high)) => (high - value, high - self.best),
            (None, None) => return None,
        };
        (whole > 0.0 && room >= 0.0).then(|| (room / whole).min(1.0))
    }

    /// The limit that a value passed to get its grade; none for clean ones.
    pub fn passed_limit(&self, value: f64) -> Option<f64> {
        let at = |side: &Option<Side>, way| side.as_ref().and_then(|s| s.last_passed(way, value));
        at(&self.low, Way::Low).or(at(&self.high, Way::High))
    }

    fn is_beyond(&self, value: f64) -> bool {
        let past = |side: &Option<Side>, way: Way| {
            let far = side.as_ref().and_then(|side| side.far);
            far.is_some_and(|far| way.outward(value) > way.outward(far))
        };
        past(&self.low, Way::Low) || past(&self.high, Way::High)
    }

    /// The words for a value: its grade's own, else by the limit that it passed where there are two, else
    /// by its sign.
    pub fn words(&self, value: f64, signed: Option<f64>) -> &Words {
        if let (Some(words), Grade::Slight) = (&self.slight_words, self.penalty(value).0) {
            return words;
        }
        if let Some(words) = self.beyond_words.as_ref().filter(|_| self.is_beyond(value)) {
            return words;
        }
        let too_low = match (&self.low, &self.high) {
            (Some(low), Some(_)) => value < low.limits[0],
            _ => signed.unwrap_or(value) < 0.0,
        };
        if too_low {
            &self.low_words
        } else {
            &self.high_words
        }
    }
}
