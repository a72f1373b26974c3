//! Judging a frame: measures against a rulebook, worst finding first. May not enter: how measures are taken.

use super::catalogue::MeasureId;
use super::reading::{Measured, Reading};
use super::rule::Rule;
use super::rulebook::{Group, Rulebook};
use super::verdict::{Grade, Tally, Verdict};
use super::wording::{Filling, is_length, sentence_case};
use crate::units::Units;
use serde::Serialize;
use std::cmp::Ordering;

/// A graded frame.
///
/// As JSON: `rulebook`, `verdict`, `score`, `headroom`, `findings` (worst first), `faults` (worst first,
/// clean ones included), `measures` (every one that was taken or has a rule, in the catalogue's order),
/// `merits`. Grades and verdicts are lower-case words, units ASCII; a number that is infinite is null.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sheet {
    /// The rulebook's name.
    pub rulebook: String,
    /// What becomes of the frame.
    pub verdict: Verdict,
    /// For ranking, 0–100.
    pub score: f64,
    /// Smallest headroom inside the clean limits, 0–1.
    pub headroom: f64,
    /// Whatever is not clean, worst first.
    pub findings: Vec<Finding>,
    /// Every fault of the rulebook, worst first.
    pub faults: Vec<FaultResult>,
    /// Every measure.
    pub measures: Vec<Row>,
    /// What speaks for the frame.
    pub merits: Vec<Merit>,
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// The measure's key.
    pub measure: MeasureId,
    /// The fault's key.
    pub fault: String,
    /// The fault's family.
    pub group: Group,
    /// How bad.
    pub grade: Grade,
    /// The measure's value.
    pub value: f64,
    /// Its unit, ASCII.
    pub unit: &'static str,
    /// The limit that it passed.
    pub limit: f64,
    /// What, how much, which limit and what would mend it; no full stop.
    pub sentence: String,
    /// What would mend it, alone.
    pub remedy: Option<String>,
    /// Sentence and remedy in feet and inches, where these tell a length. What is written to files stays metric.
    #[serde(skip)]
    in_feet: Option<(String, Option<String>)>,
}

impl Finding {
    /// The sentence without its remedy.
    pub fn what(&self) -> &str {
        self.what_in(Units::Metric)
    }

    /// The same, its lengths in these units.
    pub fn what_in(&self, units: Units) -> &str {
        let sentence = self.sentence_in(units);
        let remedy = self.remedy_in(units).unwrap_or_default();
        let what = sentence
            .strip_suffix(remedy)
            .and_then(|what| what.strip_suffix(": "));
        what.unwrap_or(sentence)
    }

    /// The sentence, its lengths in these units.
    pub fn sentence_in(&self, units: Units) -> &str {
        match &self.in_feet {
            Some((sentence, _)) if units == Units::Feet => sentence,
            _ => &self.sentence,
        }
    }

    /// The remedy, its lengths in these units.
    pub fn remedy_in(&self, units: Units) -> Option<&str> {
        match &self.in_feet {
            Some((_, remedy)) if units == Units::Feet => remedy.as_deref(),
            _ => self.remedy.as_deref(),
        }
    }
}

/// One fault, by its worst measure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FaultResult {
    /// The fault's key.
    pub fault: String,
    /// Its family.
    pub group: Group,
    /// The worst grade of its measures.
    pub grade: Grade,
    /// The largest weighted penalty of its measures.
    pub penalty: f64,
    /// The measure that is to blame; none while clean.
    pub measure: Option<MeasureId>,
}

/// One measure, whatever came of it. Exactly one of value, not applicable and unknown is given.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// The measure's key.
    pub measure: MeasureId,
    /// Its fault's key; none where the rulebook has no rule for it.
    pub fault: Option<String>,
    /// Its value.
    pub value: Option<f64>,
    /// Its unit, ASCII.
    pub unit: &'static str,
    /// Its grade, if it was judged.
    pub grade: Option<Grade>,
    /// Its weighted penalty, if it was judged.
    pub penalty: Option<f64>,
    /// How far inside the clean limits, 0–1, where they leave room.
    pub headroom: Option<f64>,
    /// The culprit or the place.
    pub detail: Option<String>,
    /// Why it has no meaning here.
    pub not_applicable: Option<String>,
    /// Why it cannot be known.
    pub unknown: Option<String>,
}

/// What speaks for a frame. Merits break ties and never mend a fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Merit {
    /// Fresh paint.
    FreshPaint,
    /// Not coupled at all.
    Uncoupled,
    /// An uncommon machine.
    Rare,
}

impl Merit {
    /// The words used in reports.
    pub fn words(self) -> &'static str {
        match self {
            Merit::FreshPaint => "fresh paint",
            Merit::Uncoupled => "not coupled at all",
            Merit::Rare => "an uncommon machine",
        }
    }
}

/// Grades a frame. A measure with a rule that was not taken at all counts as unknown, but for those that only
/// photographs have.
pub fn judge(rulebook: &Rulebook, measured: &[Measured]) -> Sheet {
    let mut all = measured.to_vec();
    for rule in rulebook.rules() {
        let is_missing = !measured.iter().any(|one| one.id == rule.id);
        if is_missing && !rule.id.is_of_photographs() {
            all.push(Measured::unknown(rule.id, "it was not measured"));
        }
    }
    all.sort_by_key(|one| one.id);

    let mut tally = Tally::new(rulebook.faults.len());
    let mut findings = Vec::new();
    let mut rows = Vec::new();
    for one in &all {
        let rule = rulebook.rule(one.id);
        let row = row(rulebook, rule, one);
        if let Some(rule) = rule {
            tally.unknown |= row.unknown.is_some();
            if let Some(value) = row.value {
                tally.add(rule, value);
                findings.extend(finding(rulebook, rule, one, value).map(|f| (row.penalty, f)));
            }
        }
        rows.push(row);
    }
    let mut faults = fault_results(rulebook, &tally, &rows);
    // Stable: equal ones stay in the order of the rulebook's tables.
    faults.sort_by(|a, b| {
        let by_grade = b.grade.cmp(&a.grade);
        by_grade.then(b.penalty.total_cmp(&a.penalty))
    });
    findings.sort_by(|(a_penalty, a), (b_penalty, b)| {
        let by_grade = b.grade.cmp(&a.grade);
        by_grade.then(b_penalty.partial_cmp(a_penalty).unwrap_or(Ordering::Equal))
    });
    Sheet {
        rulebook: rulebook.name.clone(),
        verdict: tally.verdict(),
        score: tally.score(),
        headroom: tally.headroom,
        findings: findings.into_iter().map(|(_, finding)| finding).collect(),
        faults,
        measures: rows,
        merits: Vec::new(),
    }
}

fn row(rulebook: &Rulebook, rule: Option<&Rule>, one: &Measured) -> Row {
    let mut row = Row {
        measure: one.id,
        fault: rule.map(|rule| rulebook.faults[rule.fault].key.clone()),
        value: None,
        unit: one.id.unit().word(),
        grade: None,
        penalty: None,
        headroom: None,
        detail: one.detail.clone(),
        not_applicable: None,
        unknown: None,
    };
    match &one.reading {
        Reading::Value(value) if value.is_nan() => {
            row.unknown = Some("it could not be computed".into());
        }
        Reading::Value(value) => {
            row.value = Some(*value);
            if let Some(rule) = rule {
                let (grade, penalty) = rule.penalty(*value);
                row.grade = Some(grade);
                row.penalty = Some(rule.weight * penalty);
                row.headroom = rule.headroom(*value);
            }
        }
        Reading::NotApplicable(why) => row.not_applicable = Some(why.clone()),
        Reading::Unknown(why) => row.unknown = Some(why.clone()),
    }
    row
}

fn finding(rulebook: &Rulebook, rule: &Rule, one: &Measured, value: f64) -> Option<Finding> {
    let limit = rule.passed_limit(value)?;
    let words = rule.words(value, one.signed);
    let told = |units: Units| {
        let filling = Filling {
            id: one.id,
            value,
            limit,
            detail: one.detail.as_deref(),
            units,
        };
        let what = sentence_case(&words.wording.fill(&filling));
        let advice = || words.remedy.as_ref().map(|remedy| remedy.fill(&filling));
        let remedy = one.mend.clone().or_else(advice);
        let sentence = match &remedy {
            Some(remedy) => format!("{what}: {remedy}"),
            None => what,
        };
        (sentence, remedy)
    };
    let (sentence, remedy) = told(Units::Metric);
    let fault = &rulebook.faults[rule.fault];
    Some(Finding {
        measure: one.id,
        fault: fault.key.clone(),
        group: fault.group,
        grade: rule.penalty(value).0,
        value,
        unit: one.id.unit().word(),
        limit,
        sentence,
        remedy,
        in_feet: is_length(one.id).then(|| told(Units::Feet)),
    })
}

fn fault_results(rulebook: &Rulebook, tally: &Tally, rows: &[Row]) -> Vec<FaultResult> {
    let result = |(fault, &(grade, penalty)): (&super::rulebook::Fault, &(Grade, f64))| {
        let of_fault = |row: &&Row| row.fault.as_deref() == Some(&fault.key);
        let guilty = |row: &&Row| row.grade == Some(grade) && grade != Grade::Clean;
        let worst = rows.iter().filter(of_fault).filter(guilty).max_by(|a, b| {
            let order = a.penalty.partial_cmp(&b.penalty);
            order.unwrap_or(Ordering::Equal)
        });
        FaultResult {
            fault: fault.key.clone(),
            group: fault.group,
            grade,
            penalty,
            measure: worst.map(|row| row.measure),
        }
    };
    rulebook
        .faults
        .iter()
        .zip(&tally.faults)
        .map(result)
        .collect()
}

impl Sheet {
    /// With what speaks for the frame.
    pub fn with_merits(mut self, merits: Vec<Merit>) -> Sheet {
        self.merits = merits;
        self
    }

    /// Measures that were judged clean.
    pub fn clean(&self) -> impl Iterator<Item = &Row> {
        let clean = |row: &&Row| row.grade == Some(Grade::Clean);
        self.measures.iter().filter(clean)
    }

    /// Measures without a meaning here.
    pub fn not_applicable(&self) -> impl Iterator<Item = &Row> {
        let none = |row: &&Row| row.not_applicable.is_some();
        self.measures.iter().filter(none)
    }

    /// Measures with a rule that could not be known.
    pub fn unknown(&self) -> impl Iterator<Item = &Row> {
        let unknown = |row: &&Row| row.fault.is_some() && row.unknown.is_some();
        self.measures.iter().filter(unknown)
    }

    /// The row of a measure.
    pub fn row(&self, id: MeasureId) -> Option<&Row> {
        self.measures.iter().find(|row| row.measure == id)
    }

    /// Orders frames from worse to better: by verdict, then score, then number of merits.
    pub fn rank(&self, other: &Sheet) -> Ordering {
        let by_verdict = self.verdict.cmp(&other.verdict);
        by_verdict
            .then(self.score.total_cmp(&other.score))
            .then(self.merits.len().cmp(&other.merits.len()))
    }
}
