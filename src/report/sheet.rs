//! A graded sheet as lines of text. May not enter: what is graded.

use crate::grade::{Grade, Sheet};
use std::fmt::Write;

/// The mark of a grade: form first, so that it reads without colour.
pub fn mark(grade: Grade) -> &'static str {
    match grade {
        Grade::Clean => "o",
        Grade::Slight => "/",
        Grade::Marked => "//",
        Grade::Ruinous => "[#]",
    }
}

/// Verdict, findings with what mends them, and what could not be judged.
pub fn text(sheet: &Sheet) -> String {
    text_under(sheet.verdict.word(), sheet)
}

/// The same under another verdict's words.
pub fn text_under(verdict: &str, sheet: &Sheet) -> String {
    let mut text = format!("Verdict: {verdict} ({:.1})\n", sheet.score);
    if sheet.findings.is_empty() {
        let _ = writeln!(text, "  o    Nothing to say against it");
    }
    for finding in &sheet.findings {
        let _ = writeln!(
            text,
            "  {:<4} {:<8} {}",
            mark(finding.grade),
            finding.grade.word(),
            finding.sentence
        );
    }
    // What is unknown for one reason stands in one line.
    let mut unknown: Vec<(&str, Vec<&str>)> = Vec::new();
    for row in sheet.unknown() {
        let why = row.unknown.as_deref().unwrap_or("it is not known");
        match unknown.iter_mut().find(|(other, _)| *other == why) {
            Some((_, titles)) => titles.push(row.measure.title()),
            None => unknown.push((why, vec![row.measure.title()])),
        }
    }
    for (why, titles) in unknown {
        let _ = writeln!(text, "  ?    unknown  {}: {why}", titles.join(", "));
    }
    // What a machine of its kind always lacks is no news; what a model's file leaves out is.
    for row in sheet.not_applicable() {
        let why = row.not_applicable.as_deref().unwrap_or_default();
        if why.starts_with("the model") {
            let _ = writeln!(text, "  –    left out {}: {why}", row.measure.title());
        }
    }
    for merit in &sheet.merits {
        let _ = writeln!(text, "  +    merit    {}", merit.words());
    }
    text
}
