//! Many judged photographs in a table, and how they are ranked. May not enter: single photographs' text.

use super::verdict;
use crate::grade::Sheet;
use crate::judge::take::Take;
use std::cmp::Ordering;
use std::fmt::{Display, Write};

/// How many measures of a sheet are not known.
pub(super) fn unknowns(sheet: &Sheet) -> String {
    match sheet.unknown().count() {
        0 => String::new(),
        count => format!("{count} unknown"),
    }
}

/// What a table tells of one judged photograph.
pub struct Graded {
    /// Its grades.
    pub sheet: Sheet,
    /// The verdict in words.
    pub verdict: String,
    /// Whether it is known when it was taken.
    pub knows_light: bool,
}

impl Graded {
    /// Of a photograph.
    pub fn of(take: &Take) -> Graded {
        Graded {
            sheet: take.sheet.clone(),
            verdict: verdict(take),
            knows_light: take.knows_light(),
        }
    }

    /// Orders photographs from worse to better. One whose light is not known stands below every one whose is: what the sun
    /// would have cost it nobody knows.
    pub fn rank(&self, other: &Graded) -> Ordering {
        let by_light = self.knows_light.cmp(&other.knows_light);
        by_light.then(self.sheet.rank(&other.sheet))
    }
}

/// What a table tells of one photograph.
pub struct Listed {
    /// Its file's name.
    pub name: String,
    /// Its grades; none where it was not judged, with the reason.
    pub graded: Result<Graded, String>,
}

/// What is worst in a frame.
pub(super) fn worst(sheet: &Sheet) -> &str {
    let worst = sheet.findings.first();
    worst.map_or("nothing to say against it", |finding| finding.what())
}

/// Many photographs in the order given, and what became of the others.
pub fn table<'a, E: Display>(all: impl Iterator<Item = &'a Listed>, unread: &[E]) -> String {
    let mut out = String::from("Best first:\n");
    let (mut rank, mut knew_light) = (0, true);
    for one in all {
        let graded = match &one.graded {
            Ok(graded) => graded,
            Err(why) => {
                let _ = writeln!(out, "  –  not judged    {}  {why}", one.name);
                continue;
            }
        };
        if knew_light && !graded.knows_light {
            out += "Light not known, since nobody knows when they were taken; best first by the rest:\n";
            (rank, knew_light) = (0, false);
        }
        rank += 1;
        let unknown = match unknowns(&graded.sheet) {
            none if none.is_empty() => none,
            some => format!(" ({some})"),
        };
        let _ = writeln!(
            out,
            "{rank:>3}  {:<13} {:>5.1}  {}  {}{unknown}",
            graded.verdict,
            graded.sheet.score,
            one.name,
            worst(&graded.sheet)
        );
    }
    for why in unread {
        let _ = writeln!(out, "  –  skipped       {why}");
    }
    out
}
