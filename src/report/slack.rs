//! Slack as text and as data. May not enter: how it is found.

use crate::grade::Verdict;
use crate::plan::slack::spread::Chance;
use crate::plan::slack::words::{at_least, chance, lines, spread_words, tightest};
use crate::plan::slack::{COUNTED, End, Reach, Slack};
use crate::units::Units;
use serde_json::json;
use std::fmt::Write;

/// The lines below an answer.
pub fn text(slack: &Slack, verdict: Verdict) -> String {
    let mut text = format!("   stays {} with\n", at_least(verdict));
    for (head, told) in lines(slack, Units::Metric) {
        let _ = writeln!(text, "     {head:<10}{told}");
    }
    if let Some(told) = tightest(slack, Units::Metric) {
        let _ = writeln!(text, "     {told}");
    }
    let Chance { spread, .. } = &slack.chance;
    let _ = write!(
        text,
        "   {} in {}",
        at_least(COUNTED),
        chance(&slack.chance)
    );
    if verdict != COUNTED {
        let as_planned = 100.0 * slack.chance.as_planned;
        let _ = write!(text, ", {} in {as_planned:.0} %,", at_least(verdict));
    }
    let _ = writeln!(
        text,
        " of {} rehearsals ({}; seed {})",
        spread.draws,
        spread_words(spread, Units::Metric),
        spread.seed
    );
    text
}

/// The same as data.
pub fn data(slack: &Slack) -> serde_json::Value {
    let reach = |reach: &Reach| {
        let (end, measure) = match reach.end {
            End::Verdict(measure) => ("verdict", measure),
            End::Ground => ("ground", None),
            End::Track => ("track", None),
            End::Nothing => ("nothing", None),
        };
        json!({
            "way": reach.way.word(),
            "holds": reach.holds,
            "unit": reach.way.unit(),
            "end": end,
            "ended_by": measure,
            "sentence": reach.sentence,
        })
    };
    let spread = &slack.chance.spread;
    json!({
        "reaches": slack.reaches.iter().map(reach).collect::<Vec<_>>(),
        "chance_good": slack.chance.good,
        "standard_error": slack.chance.standard_error,
        "chance_as_planned": slack.chance.as_planned,
        "spread": {
            "stop_m": spread.stop_m,
            "bearing_deg": spread.bearing_deg,
            "time_min": spread.time_min,
            "draws": spread.draws,
            "seed": spread.seed,
        },
    })
}
