//! Grades, verdicts and the score, from one grade and one penalty per fault.
//! May not enter: limits, sentences.

use super::reading::{Measured, Reading};
use super::rule::Rule;
use super::rulebook::Rulebook;
use serde::Serialize;

/// How bad one measure is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Grade {
    /// Nothing to say.
    #[default]
    Clean,
    /// Seen, lived with.
    Slight,
    /// Objectionable.
    Marked,
    /// The frame is lost.
    Ruinous,
}

impl Grade {
    /// From best to worst.
    pub const ALL: [Grade; 4] = [Grade::Clean, Grade::Slight, Grade::Marked, Grade::Ruinous];

    /// The word used in files and reports.
    pub fn word(self) -> &'static str {
        match self {
            Grade::Clean => "clean",
            Grade::Slight => "slight",
            Grade::Marked => "marked",
            Grade::Ruinous => "ruinous",
        }
    }

    /// The penalty that a measure of this grade cannot exceed.
    pub fn penalty_cap(self) -> f64 {
        match self {
            Grade::Clean => 0.0,
            Grade::Slight => 1.0,
            Grade::Marked => 3.0,
            Grade::Ruinous => f64::INFINITY,
        }
    }
}

/// What becomes of the whole frame; a better one is greater.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// A ruinous fault.
    Lost,
    /// Two marked faults or more.
    Poor,
    /// One marked fault, or four slight ones or more.
    Fair,
    /// A slight fault, or something that could not be known.
    Good,
    /// No fault.
    Fine,
}

impl Verdict {
    /// From worst to best.
    pub const ALL: [Verdict; 5] = [
        Verdict::Lost,
        Verdict::Poor,
        Verdict::Fair,
        Verdict::Good,
        Verdict::Fine,
    ];

    /// The word used in reports.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Lost => "lost",
            Verdict::Poor => "poor",
            Verdict::Fair => "fair",
            Verdict::Good => "good",
            Verdict::Fine => "fine",
        }
    }

    /// The words for what lies open from a better to a worse one.
    pub fn between([better, worse]: [Verdict; 2]) -> String {
        let joint = match better as usize - worse.min(better) as usize {
            0 => return better.word().to_string(),
            1 => "or",
            _ => "to",
        };
        format!("{} {joint} {}", better.word(), worse.word())
    }

    /// From one grade per fault; with anything unknown it is at most good.
    pub fn of(grades: impl IntoIterator<Item = Grade>, unknown: bool) -> Verdict {
        let mut count = [0usize; 4];
        for grade in grades {
            count[grade as usize] += 1;
        }
        let [_, slight, marked, ruinous] = count;
        match (ruinous, marked, slight) {
            (1.., _, _) => Verdict::Lost,
            (0, 2.., _) => Verdict::Poor,
            (0, 1, _) | (0, 0, 4..) => Verdict::Fair,
            (0, 0, 1..) => Verdict::Good,
            (0, 0, 0) if unknown => Verdict::Good,
            (0, 0, 0) => Verdict::Fine,
        }
    }

    /// The score, 0–100, from the faults' penalties added up and the smallest headroom (0–1).
    ///
    /// The weights that a rulebook may give ([`super::rulebook::WEIGHTS`]) keep every better verdict's
    /// scores above every worse one's.
    pub fn score(self, penalties: f64, headroom: f64) -> f64 {
        let base = match self {
            Verdict::Lost => 0.0,
            Verdict::Poor => 20.0,
            Verdict::Fair => 40.0,
            Verdict::Good => 60.0,
            Verdict::Fine => return 95.0 + 5.0 * headroom.clamp(0.0, 1.0),
        };
        base + 20.0 * (-penalties / 8.0).exp()
    }
}

/// Adds up a frame without building sentences: the search's inner loop. Reuse one by `clear`.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Per fault of the rulebook: its worst grade and its largest weighted penalty.
    pub faults: Vec<(Grade, f64)>,
    /// Smallest headroom so far; 1 while nothing has any.
    pub headroom: f64,
    /// Whether anything could not be known.
    pub unknown: bool,
}

impl Tally {
    /// An empty one for a rulebook with so many faults.
    pub fn new(fault_count: usize) -> Tally {
        Tally {
            faults: vec![(Grade::Clean, 0.0); fault_count],
            headroom: 1.0,
            unknown: false,
        }
    }

    /// As new.
    pub fn clear(&mut self) {
        self.faults.fill((Grade::Clean, 0.0));
        self.headroom = 1.0;
        self.unknown = false;
    }

    /// Counts one measured value under its rule; NaN counts as unknown.
    pub fn add(&mut self, rule: &Rule, value: f64) {
        if value.is_nan() {
            self.unknown = true;
            return;
        }
        let (grade, penalty) = rule.penalty(value);
        let (worst, largest) = &mut self.faults[rule.fault];
        *worst = (*worst).max(grade);
        *largest = largest.max(rule.weight * penalty);
        if let Some(headroom) = rule.headroom(value) {
            self.headroom = self.headroom.min(headroom);
        }
    }

    /// Counts everything that was measured, as far as the rulebook has rules for it.
    pub fn add_measured(&mut self, rulebook: &Rulebook, measured: &[Measured]) {
        for measured in measured {
            let Some(rule) = rulebook.rule(measured.id) else {
                continue;
            };
            match &measured.reading {
                Reading::Value(value) => self.add(rule, *value),
                Reading::NotApplicable(_) => {}
                Reading::Unknown(_) => self.unknown = true,
            }
        }
    }

    /// The verdict so far.
    pub fn verdict(&self) -> Verdict {
        Verdict::of(self.faults.iter().map(|fault| fault.0), self.unknown)
    }

    /// The score so far.
    pub fn score(&self) -> f64 {
        let penalties = self.faults.iter().map(|fault| fault.1).sum();
        self.verdict().score(penalties, self.headroom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Grade::{Clean, Marked, Ruinous, Slight};

    #[test]
    fn faults_are_counted_as_the_rulebook_says() {
        for (grades, verdict) in [
            (vec![], Verdict::Fine),
            (vec![Clean; 9], Verdict::Fine),
            (vec![Slight], Verdict::Good),
            (vec![Slight; 3], Verdict::Good),
            (vec![Slight; 4], Verdict::Fair),
            (vec![Marked], Verdict::Fair),
            (vec![Marked, Slight, Slight, Slight, Slight], Verdict::Fair),
            (vec![Marked, Marked], Verdict::Poor),
            (vec![Ruinous], Verdict::Lost),
            (vec![Ruinous, Marked, Clean], Verdict::Lost),
        ] {
            assert_eq!(Verdict::of(grades.clone(), false), verdict, "{grades:?}");
            let capped = verdict.min(Verdict::Good);
            assert_eq!(Verdict::of(grades.clone(), true), capped, "{grades:?}");
        }
    }

    #[test]
    fn the_score_follows_its_formula() {
        assert_eq!(Verdict::Fine.score(0.0, 0.5), 97.5);
        assert_eq!(Verdict::Good.score(0.0, 0.5), 80.0);
        let e = std::f64::consts::E;
        assert!((Verdict::Fair.score(8.0, 0.0) - (40.0 + 20.0 / e)).abs() < 1e-12);
        assert_eq!(Verdict::Lost.score(f64::INFINITY, 0.0), 0.0);
    }

    #[test]
    fn what_lies_open_is_told_by_both_ends() {
        let told = |better, worse| Verdict::between([better, worse]);
        assert_eq!(told(Verdict::Good, Verdict::Good), "good");
        assert_eq!(told(Verdict::Fine, Verdict::Good), "fine or good");
        assert_eq!(told(Verdict::Fine, Verdict::Poor), "fine to poor");
    }

    #[test]
    fn a_word_is_what_is_written_into_data() {
        for verdict in Verdict::ALL {
            let written = serde_json::to_string(&verdict).unwrap();
            assert_eq!(written, format!("\"{}\"", verdict.word()));
        }
        for grade in Grade::ALL {
            let written = serde_json::to_string(&grade).unwrap();
            assert_eq!(written, format!("\"{}\"", grade.word()));
        }
    }
}
