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
pub fn sheet(sheet: &Sheet) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "Verdict: {} ({:.1})",
        sheet.verdict.word(),
        sheet.score
    );
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
    for row in sheet.unknown() {
        let why = row.unknown.as_deref().unwrap_or("it is not known");
        let _ = writeln!(text, "  ?    unknown  {}: {why}", row.measure.title());
    }
    for merit in &sheet.merits {
        let _ = writeln!(text, "  +    merit    {}", merit.words());
    }
    text
}
