//! Slack in words, for text and card alike. May not enter: markup, numbers of its own.

use super::spread::{Chance, Spread};
use super::{End, Reach, Slack, Way};
use crate::grade::Verdict;
use crate::grade::wording::plain_number;
use crate::units::{METRES_PER_FOOT, Units};

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
fn amount(reach: &Reach, units: Units) -> String {
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
        _ => match units {
            Units::Metric => format!("{} m", down(2)),
            Units::Feet => {
                let inch_m = METRES_PER_FOOT / 12.0;
                units.length((reach.holds / inch_m + 1e-6).floor() * inch_m)
            }
        },
    };
    format!("{number} {}{more}", words(reach.way))
}

/// The tightest way with what ends it, in a sentence.
pub fn tightest(slack: &Slack, units: Units) -> Option<String> {
    let reach = slack.tightest()?;
    Some(format!(
        "tightest: {}; {}",
        amount(reach, units),
        reach.sentence
    ))
}

/// "62 % ± 3 %".
pub fn chance(chance: &Chance) -> String {
    let good = 100.0 * chance.good;
    match chance.standard_error {
        0.0 => format!("{good:.0} %"),
        error => format!("{good:.0} % ± {:.0} %", (100.0 * error).max(1.0)),
    }
}

/// "stop ± 2 m, bearing ± 1°, minute ± 10, your feet on the spot".
pub fn spread_words(spread: &Spread, units: Units) -> String {
    let stop = match units {
        Units::Metric => format!("{} m", stated(spread.stop_m)),
        Units::Feet => units.length(spread.stop_m),
    };
    format!(
        "stop ± {stop}, bearing ± {}°, minute ± {}, your feet on the spot",
        stated(spread.bearing_deg),
        stated(spread.time_min)
    )
}

/// A number as it was stated: to two places, none of them idle.
fn stated(number: f64) -> String {
    let text = plain_number(number, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// "good or better"; of the best there is, its word alone.
pub fn at_least(verdict: Verdict) -> String {
    match verdict {
        Verdict::Fine => verdict.word().into(),
        _ => format!("{} or better", verdict.word()),
    }
}

/// Each line's head and what it says.
pub fn lines(slack: &Slack, units: Units) -> Vec<(&'static str, String)> {
    let of = |way: &Way| slack.reaches.iter().find(|reach| reach.way == *way);
    let line = |(head, ways): &(&'static str, &[Way])| {
        let told: Vec<String> = ways
            .iter()
            .filter_map(of)
            .map(|one| amount(one, units))
            .collect();
        (*head, told.join(", "))
    };
    LINES.iter().map(line).collect()
}
