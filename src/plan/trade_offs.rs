//! Trade-offs: what two paces or half an hour would mend, and what that would cost, proved. May not enter:
//! searching.

use super::refine::Held;
use crate::grade::wording::lower_first;
use crate::grade::{Finding, Grade, MeasureId, Sheet, Stand, Studio};
use crate::units::METRES_PER_PACE;
use chrono::{DateTime, Utc};
use glam::DVec2;
use rayon::prelude::*;

/// At most this many are told.
const MOST: usize = 3;

/// A small change of plan.
#[derive(Clone, Copy)]
enum Move {
    Paces(f64, &'static str, DVec2),
    Minutes(i64),
}

impl Move {
    /// As a sentence begins.
    fn words(self) -> String {
        match self {
            Move::Paces(paces, word, _) => format!("{paces:.0} paces {word}"),
            Move::Minutes(minutes) => {
                let word = if minutes < 0 { "earlier" } else { "later" };
                format!("{} minutes {word}", minutes.abs())
            }
        }
    }

    fn grade(self, studio: &Studio, held: &Held) -> Option<Sheet> {
        Some(match self {
            Move::Paces(paces, _, way) => {
                let step_m = way * METRES_PER_PACE;
                // Nobody is led over ground where one may not stand, though it be allowed beyond.
                let may = |pace: usize| {
                    let at_m = held.stand().spot_m + step_m * pace as f64;
                    studio.scene.may_stand(&studio.obstacles, at_m).is_ok()
                };
                if !(1..paces as usize).all(may) {
                    return None;
                }
                held.moved(studio, step_m * paces)?.sheet
            }
            Move::Minutes(minutes) => held.later(studio, minutes * 60).1.sheet,
        })
    }
}

/// Sentences on what holds the answer back and could be bought off: the smallest move for each thing, found
/// at search size and told as it stands at proof size.
pub fn trade_offs(studio: &Studio, stand: &Stand, at: DateTime<Utc>) -> Vec<String> {
    let sizes = [&studio.rulebook.search, &studio.rulebook.proof];
    let [rough, held] = sizes.map(|size| Held::new(studio, size, *stand, at));
    let [rough_base, base] = [&rough, &held].map(|one| one.unmended(studio).sheet);
    let moves = moves(studio, &held);
    let seen: Vec<Option<Sheet>> = (moves.par_iter())
        .map(|step| step.grade(studio, &rough))
        .collect();
    let mut told: Vec<String> = Vec::new();
    let mut cleared: Vec<MeasureId> = Vec::new();
    for (step, seen) in moves.into_iter().zip(seen) {
        if told.len() == MOST || cleared.len() == base.findings.len() {
            break;
        }
        let promising = |sheet: &Sheet| gain(&rough_base, sheet, &cleared).is_some();
        if !seen.is_some_and(|sheet| promising(&sheet)) {
            continue;
        }
        let Some(sheet) = step.grade(studio, &held) else {
            continue;
        };
        if let Some(finding) = gain(&base, &sheet, &cleared) {
            cleared.push(finding.measure);
            told.push(sentence(&base, &sheet, finding, &step.words()));
        }
    }
    told
}

/// Small moves before large ones.
fn moves(studio: &Studio, held: &Held) -> Vec<Move> {
    let ahead = (studio.frame.origin_m - held.stand().spot_m).normalize_or(DVec2::Y);
    let right = DVec2::new(ahead.y, -ahead.x);
    let ways = [
        ("left", -right),
        ("right", right),
        ("nearer", ahead),
        ("farther back", -ahead),
    ];
    let paces = [2.0, 5.0].into_iter();
    let steps = paces.flat_map(|paces| ways.map(|(word, way)| Move::Paces(paces, word, way)));
    steps.chain([-15, 15, -30, 30].map(Move::Minutes)).collect()
}

/// The worst finding that a move clears, of those not cleared yet; what costs the verdict is no bargain.
fn gain<'a>(base: &'a Sheet, moved: &Sheet, cleared: &[MeasureId]) -> Option<&'a Finding> {
    if moved.verdict < base.verdict {
        return None;
    }
    base.findings.iter().find(|finding| {
        !cleared.contains(&finding.measure)
            && grade(moved, finding.measure).is_some_and(|grade| grade == Grade::Clean)
    })
}

fn grade(sheet: &Sheet, id: MeasureId) -> Option<Grade> {
    sheet.row(id).and_then(|row| row.grade)
}

/// "5 paces left mend this: …; but then …".
fn sentence(base: &Sheet, moved: &Sheet, cleared: &Finding, what: &str) -> String {
    let cost = moved
        .findings
        .iter()
        .find(|finding| grade(base, finding.measure).is_none_or(|g| g < finding.grade));
    let gain = format!("{what} mend this: {}", lower_first(cleared.what()));
    match cost {
        None => format!("{gain}; nothing is lost by it"),
        Some(cost) => format!("{gain}; but then {}", lower_first(cost.what())),
    }
}
