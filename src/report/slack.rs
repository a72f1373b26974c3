//! Slack as text and as data. May not enter: how it is found.

use crate::plan::slack::spread::Chance;
use crate::plan::slack::words::{chance, lines, spread_words, tightest};
use crate::plan::slack::{COUNTED, End, Reach, Slack};
use crate::units::Units;
use serde_json::json;
use std::fmt::Write;

/// The lines below an answer.
pub fn text(slack: &Slack, verdict: &str) -> String {
    let mut text = format!("   stays {verdict} with\n");
    for (head, told) in lines(slack, Units::Metric) {
        let _ = writeln!(text, "     {head:<10}{told}");
    }
    if let Some(told) = tightest(slack, Units::Metric) {
        let _ = writeln!(text, "     {told}");
    }
    let Chance { spread, .. } = &slack.chance;
    let _ = write!(text, "   good or better in {}", chance(&slack.chance));
    if verdict != COUNTED.word() {
        let as_planned = 100.0 * slack.chance.as_planned;
        let _ = write!(text, ", {verdict} or better in {as_planned:.0} %,");
    }
    let _ = writeln!(
        text,
        " of {} draws ({}; seed {})",
        spread.draws,
        spread_words(spread),
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
