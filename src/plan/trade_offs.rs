//! Trade-offs: what two paces or half an hour would mend, and what that would cost. May not enter:
//! searching.

use super::refine::Held;
use crate::grade::wording::lower_first;
use crate::grade::{Sheet, Studio};
use crate::units::METRES_PER_PACE;
use glam::DVec2;

/// At most this many are told.
const MOST: usize = 3;

/// Sentences on what holds the answer back and could be bought off.
pub fn trade_offs(studio: &Studio, held: &Held) -> Vec<String> {
    let base = held.grade(studio).sheet;
    let mut told: Vec<String> = Vec::new();
    if base.findings.is_empty() {
        return told;
    }
    let ahead = (studio.frame.origin_m - held.stand().spot_m).normalize_or(DVec2::Y);
    let right = DVec2::new(ahead.y, -ahead.x);
    let ways = [
        ("left", -right),
        ("right", right),
        ("nearer", ahead),
        ("farther back", -ahead),
    ];
    for (word, way) in ways {
        for paces in [2.0, 5.0] {
            let step = way * paces * METRES_PER_PACE;
            let Some(graded) = held.moved(studio, step) else {
                continue;
            };
            told.extend(sentence(
                &base,
                &graded.sheet,
                &format!("{paces:.0} paces {word}"),
            ));
        }
    }
    for (minutes, word) in [
        (-30, "earlier"),
        (-15, "earlier"),
        (15, "later"),
        (30, "later"),
    ] {
        let (_, graded) = held.later(studio, minutes * 60);
        let what = format!("{} minutes {word}", minutes.abs());
        told.extend(sentence(&base, &graded.sheet, &what));
    }
    // The first to clear a thing is the smallest move that does.
    let mut cleared: Vec<String> = Vec::new();
    told.retain(|text| {
        let what = text
            .split(" clear this: ")
            .nth(1)
            .and_then(|rest| rest.split(';').next())
            .unwrap_or(text)
            .to_string();
        let new = !cleared.contains(&what);
        cleared.push(what);
        new
    });
    told.truncate(MOST);
    told
}

/// "5 paces left clear this: …; but then …"; none where nothing is cleared.
fn sentence(base: &Sheet, moved: &Sheet, what: &str) -> Option<String> {
    // What costs the verdict is no bargain.
    if moved.verdict < base.verdict {
        return None;
    }
    let grade = |sheet: &Sheet, id| sheet.row(id).and_then(|row| row.grade);
    let cleared = base.findings.iter().find(|finding| {
        grade(moved, finding.measure).is_some_and(|g| g == crate::grade::Grade::Clean)
    })?;
    let cost = moved
        .findings
        .iter()
        .filter(|finding| grade(base, finding.measure).is_none_or(|g| g < finding.grade))
        .max_by_key(|finding| finding.grade);
    let gain = format!("{what} clear this: {}", lower_first(&cleared.sentence));
    Some(match cost {
        None => format!("{gain}; they cost nothing that a rule would note"),
        Some(cost) => format!("{gain}; but then {}", lower_first(&cost.sentence)),
    })
}
