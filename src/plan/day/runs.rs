//! From looks to stretches: what of a sheet is followed through the day, and neighbours that agree put together.
//! May not enter: drawing, instants that were not looked at.

use super::{Day, Lane, Look};
use crate::grade::rulebook::{Fault, Group};
use crate::grade::sheet::Row;
use crate::grade::{Finding, Grade, Sheet, Studio, Verdict};
use crate::sky::events::DayOfSun;
use chrono::{DateTime, NaiveDate, Utc};

/// A stretch of the day over which something stays the same.
#[derive(Clone, Debug, PartialEq)]
pub struct Run<T> {
    /// Its first minute.
    pub from: DateTime<Utc>,
    /// The first minute after it; the day's last minute for the last run.
    pub to: DateTime<Utc>,
    /// What it is.
    pub what: T,
    /// What is wrong at its worst minute, as findings say it (of a verdict: the faults that bind, one after the
    /// other); none where nothing is.
    pub worst: Option<String>,
}

/// What of a sheet is followed: grade by fault in the rulebook's order, what binds, the verdict.
pub(super) fn face(studio: &Studio, sheet: &Sheet) -> (Vec<Grade>, Option<String>, Verdict) {
    let faults = studio.rulebook.faults.iter();
    let grades = faults.map(|fault| grade_of(sheet, fault)).collect();
    (grades, binding(studio, sheet), sheet.verdict)
}

/// The grade of a fault.
pub fn grade_of(sheet: &Sheet, fault: &Fault) -> Grade {
    let found = sheet.faults.iter().find(|result| result.fault == fault.key);
    found.map_or(Grade::Clean, |result| result.grade)
}

/// Whether any measure of a fault has a value: by night most have none.
pub fn is_judged(sheet: &Sheet, fault: &Fault) -> bool {
    let of_fault = |row: &&Row| row.fault.as_deref() == Some(&fault.key);
    sheet
        .measures
        .iter()
        .filter(of_fault)
        .any(|row| row.value.is_some())
}

/// The title of a sheet's worst fault.
pub fn binding(studio: &Studio, sheet: &Sheet) -> Option<String> {
    let worst = sheet
        .faults
        .first()
        .filter(|worst| worst.grade > Grade::Clean)?;
    let fault = studio
        .rulebook
        .faults
        .iter()
        .find(|fault| fault.key == worst.fault)?;
    Some(fault.title.clone())
}

/// The worst grade outside light.
pub fn rest_of(sheet: &Sheet) -> Grade {
    let others = sheet
        .faults
        .iter()
        .filter(|result| result.group != Group::Light);
    others.map(|result| result.grade).max().unwrap_or_default()
}

/// The day that looks tell of.
pub(super) fn told(
    studio: &Studio,
    date: NaiveDate,
    sun: &DayOfSun,
    looks: Vec<Look>,
    is_proved: bool,
) -> Day {
    let faults = studio.rulebook.faults.iter();
    let lanes = faults
        .filter(|fault| fault.group == Group::Light)
        .map(|fault| Lane {
            runs: runs(
                &looks,
                |look| grade_of(&look.sheet, fault),
                |look| {
                    let found = look
                        .sheet
                        .faults
                        .iter()
                        .find(|result| result.fault == fault.key);
                    found.map_or(0.0, |result| result.penalty)
                },
                |look| finding(look, |f| f.fault == fault.key),
            ),
            fault: fault.clone(),
        });
    let outside = |look: &Look| {
        let others = look
            .sheet
            .faults
            .iter()
            .filter(|result| result.group != Group::Light);
        others.map(|result| result.penalty).fold(0.0, f64::max)
    };
    let badness = |look: &Look| -look.sheet.score;
    let mut verdict = runs(&looks, |look| look.sheet.verdict, badness, |_| None);
    for run in &mut verdict {
        let within = looks
            .iter()
            .filter(|look| (run.from..run.to).contains(&look.at));
        let mut titles: Vec<String> = within
            .filter_map(|look| binding(studio, &look.sheet))
            .collect();
        titles.dedup();
        run.worst = (!titles.is_empty()).then(|| titles.join(", then "));
    }
    Day {
        date,
        state: sun.state,
        rise: sun.rise,
        set: sun.set,
        lanes: lanes.collect(),
        rest: runs(
            &looks,
            |look| rest_of(&look.sheet),
            outside,
            |look| finding(look, |f| f.group != Group::Light),
        ),
        binds: runs(
            &looks,
            |look| binding(studio, &look.sheet),
            badness,
            |look| finding(look, |_| true),
        ),
        verdict,
        looks,
        is_proved,
    }
}

/// A sheet's first finding of a kind, without its remedy.
fn finding(look: &Look, is_one: impl Fn(&Finding) -> bool) -> Option<String> {
    let found = look.sheet.findings.iter().find(|finding| is_one(finding));
    found.map(|finding| finding.what().to_string())
}

/// Neighbouring looks that agree, put together; `sentence` is asked for the look that is worst by `badness`.
fn runs<T: PartialEq>(
    looks: &[Look],
    what: impl Fn(&Look) -> T,
    badness: impl Fn(&Look) -> f64,
    sentence: impl Fn(&Look) -> Option<String>,
) -> Vec<Run<T>> {
    let groups: Vec<&[Look]> = looks.chunk_by(|a, b| what(a) == what(b)).collect();
    let last = looks.last().map(|look| look.at);
    let run = |(i, group): (usize, &&[Look])| {
        let worst = group
            .iter()
            .max_by(|a, b| badness(a).total_cmp(&badness(b)))?;
        let next = groups.get(i + 1).map(|next| next[0].at);
        Some(Run {
            from: group[0].at,
            to: next.or(last)?,
            what: what(worst),
            worst: sentence(worst),
        })
    };
    groups.iter().enumerate().filter_map(run).collect()
}
