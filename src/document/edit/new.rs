//! New values as they are written, and what of an old one has to be exchanged for one. May not enter: where keys stand.

use std::ops::Range;
use toml_edit::{Array, Value};

/// A value to be put in the place of another.
#[derive(Clone, Debug, PartialEq)]
pub enum New {
    /// A number, with so many decimals at most.
    Number(f64, usize),
    /// An array of numbers, each with so many decimals at most.
    Numbers(Vec<f64>, usize),
    /// Text of one line.
    Text(String),
    /// An array of texts, each on a line of its own.
    Texts(Vec<String>),
    /// true or false.
    Flag(bool),
}

impl New {
    /// As it is written anew.
    pub(super) fn written(&self) -> String {
        match self {
            New::Number(value, decimals) => number(*value, *decimals),
            New::Numbers(values, decimals) => {
                let all: Vec<String> = values.iter().map(|one| number(*one, *decimals)).collect();
                format!("[{}]", all.join(", "))
            }
            New::Text(text) => Value::from(text.as_str()).to_string(),
            New::Texts(texts) => {
                let line = |text: &String| format!("\n    {},", Value::from(text.as_str()));
                match texts.is_empty() {
                    true => "[]".into(),
                    false => format!("[{}\n]", texts.iter().map(line).collect::<String>()),
                }
            }
            New::Flag(flag) => flag.to_string(),
        }
    }
}

/// A number without needless zeros.
fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let short = match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    if short == "-0" {
        "0".into()
    } else {
        short.into()
    }
}

/// What to exchange of a value so that it is a new one: nothing where it is already.
pub(super) fn exchange(text: &str, value: &Value, new: &New) -> Vec<(Range<usize>, String)> {
    let Some(place) = value.span() else {
        return vec![];
    };
    let same = match (value, new) {
        (Value::Array(items), New::Numbers(values, decimals)) if items.len() == values.len() => {
            return exchange_items(text, items, values, *decimals);
        }
        (Value::Boolean(flag), New::Flag(new)) => flag.value() == new,
        (Value::String(old), New::Text(new)) => old.value() == new,
        (_, New::Number(new, decimals)) => {
            let old = value
                .as_float()
                .or(value.as_integer().map(|whole| whole as f64));
            old.is_some_and(|old| (old - new).abs() <= 0.5000001 * 0.1_f64.powi(*decimals as i32))
        }
        _ => false,
    };
    if same {
        return vec![];
    }
    let quoted = match new {
        New::Text(new) => as_quoted_before(&text[place.clone()], new),
        _ => None,
    };
    vec![(place, quoted.unwrap_or_else(|| new.written()))]
}

fn exchange_items(
    text: &str,
    items: &Array,
    values: &[f64],
    decimals: usize,
) -> Vec<(Range<usize>, String)> {
    let pairs = items.iter().zip(values);
    pairs
        .flat_map(|(item, value)| exchange(text, item, &New::Number(*value, decimals)))
        .collect()
}

/// A text in literal quotes where the old one was, if it can be.
fn as_quoted_before(old: &str, new: &str) -> Option<String> {
    let literal = old.starts_with('\'') && !old.starts_with("'''");
    let plain = !new.contains(|c: char| c == '\'' || c.is_control());
    (literal && plain).then(|| format!("'{new}'"))
}
