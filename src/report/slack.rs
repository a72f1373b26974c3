//! Slack as text, as data and as sentences for a card. May not enter: how it is found.

use crate::grade::wording::plain_number;
use crate::plan::slack::spread::{Chance, Spread};
use crate::plan::slack::{End, Reach, Slack, Way};
use serde_json::json;
use std::fmt::Write;

/// Ways that are told in one line, with its head.
const LINES: [(&str, &[Way]); 4] = [
    ("minute", &[Way::Earlier, Way::Later]),
    (
        "your feet",
        &[Way::Left, Way::Right, Way::Nearer, Way::Farther],
    ),
    ("its stop", &[Way::MachineAhead, Way::MachineBack]),
    ("the track", &[Way::TurnedRight, Way::TurnedLeft]),
];

/// A way in words.
fn words(way: Way) -> &'static str {
    match way {
        Way::Earlier => "earlier",
        Way::Later => "later",
        Way::Left => "left",
        Way::Right => "right",
        Way::Nearer => "nearer",
        Way::Farther => "farther back",
        Way::MachineAhead => "toward its nose",
        Way::MachineBack => "toward its rear",
        Way::TurnedRight => "clockwise",
        Way::TurnedLeft => "counter-clockwise",
    }
}

/// "0.85 m left", "12 min earlier": rounded down, so that it holds.
fn amount(reach: &Reach) -> String {
    let down = |places: i32| {
        let scale = 10f64.powi(places);
        plain_number(
            (reach.holds * scale + 1e-6).floor() / scale,
            places as usize,
        )
    };
    let more = match reach.end {
        End::Nothing => " or more",
        _ => "",
    };
    let number = match reach.way.unit() {
        "min" => format!("{} min", down(0)),
        "deg" => format!("{}°", down(1)),
        _ => format!("{} m", down(2)),
    };
    format!("{number} {}{more}", words(reach.way))
}

/// The tightest way with what ends it, in a sentence.
pub fn tightest(slack: &Slack) -> Option<String> {
    let reach = slack.tightest()?;
    Some(format!("tightest: {}; {}", amount(reach), reach.sentence))
}

/// "62 % ± 3 %".
pub fn chance(chance: &Chance) -> String {
    format!(
        "{:.0} % ± {:.0} %",
        100.0 * chance.good,
        (100.0 * chance.standard_error).max(1.0)
    )
}

/// "stop ± 2 m, bearing ± 1°, minute ± 10".
pub fn spread(spread: &Spread) -> String {
    format!(
        "stop ± {} m, bearing ± {}°, minute ± {}",
        plain_number(spread.stop_m, 1),
        plain_number(spread.bearing_deg, 1),
        plain_number(spread.time_min, 1)
    )
}

/// Each line's head and what it says.
pub fn lines(slack: &Slack) -> Vec<(&'static str, String)> {
    let of = |way: &Way| slack.reaches.iter().find(|reach| reach.way == *way);
    let line = |(head, ways): &(&'static str, &[Way])| {
        let told: Vec<String> = ways.iter().filter_map(of).map(amount).collect();
        (*head, told.join(", "))
    };
    LINES.iter().map(line).collect()
}

/// The lines below an answer.
pub fn text(slack: &Slack, verdict: &str) -> String {
    let mut text = format!("   stays {verdict} with\n");
    for (head, told) in lines(slack) {
        let _ = writeln!(text, "     {head:<10}{told}");
    }
    if let Some(told) = tightest(slack) {
        let _ = writeln!(text, "     {told}");
    }
    let _ = writeln!(
        text,
        "   good or better in {}, {verdict} or better in {:.0} % of {} draws ({}; seed {})",
        chance(&slack.chance),
        100.0 * slack.chance.as_planned,
        slack.chance.spread.draws,
        spread(&slack.chance.spread),
        slack.chance.spread.seed
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
