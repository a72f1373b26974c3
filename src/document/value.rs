//! Single values: numbers within limits, tuples, arrays, text, and why one is refused.
//! May not enter: keys and tables.

use super::node::{Node, Value};
use super::printable::steers;
use std::ops::{Range, RangeInclusive};

/// Why a value is refused, and where.
pub struct Refusal {
    pub(super) span: Range<usize>,
    /// Which item of an array, from 0.
    pub(super) item: Option<usize>,
    pub(super) message: String,
    /// What is allowed, if it is more than the field's own description.
    pub(super) allowed: Option<String>,
}

impl Refusal {
    pub(super) fn new(node: &Node, message: impl Into<String>) -> Refusal {
        Refusal {
            span: node.span.clone(),
            item: None,
            message: message.into(),
            allowed: None,
        }
    }

    pub(super) fn wrong_type(node: &Node) -> Refusal {
        Refusal::new(node, format!("wrong type: {}", node.value.type_word()))
    }

    pub(super) fn in_item(mut self, item: usize) -> Refusal {
        self.item = Some(item);
        self
    }
}

/// Everything that is wrong with one value: an array may be wrong in many items.
pub struct Refusals(pub(super) Vec<Refusal>);

impl From<Refusal> for Refusals {
    fn from(refusal: Refusal) -> Refusals {
        Refusals(vec![refusal])
    }
}

/// What numbers and arrays are held to.
#[derive(Default)]
pub struct Limits {
    pub(super) range: Option<RangeInclusive<f64>>,
    pub(super) above: Option<f64>,
    pub(super) whole: bool,
    pub(super) at_least_items: usize,
}

impl Limits {
    fn admits(&self, number: f64) -> bool {
        self.range
            .as_ref()
            .is_none_or(|range| range.contains(&number))
            && self.above.is_none_or(|least| number > least)
    }

    pub(super) fn describe(&self, what: &str) -> String {
        let limits = match (&self.range, self.above) {
            (Some(range), _) if range.end().is_infinite() => {
                format!(" of {} or more", range.start())
            }
            (Some(range), _) => format!(" from {} to {}", range.start(), range.end()),
            (None, Some(least)) => format!(" above {least}"),
            (None, None) => String::new(),
        };
        let what = if self.whole { "a whole number" } else { what };
        match self.at_least_items {
            0 => format!("{what}{limits}"),
            least => format!("{what}{limits}; {least} or more items"),
        }
    }
}

pub(super) fn read_text(node: &Node) -> Result<&str, Refusal> {
    match &node.value {
        Value::Text(text) => Ok(text),
        _ => Err(Refusal::wrong_type(node)),
    }
}

/// A finite number within the limits.
pub(super) fn read_number(node: &Node, limits: &Limits) -> Result<f64, Refusal> {
    let Value::Number(number) = node.value else {
        return Err(Refusal::wrong_type(node));
    };
    match number {
        Some(number) if !number.is_finite() => Err(Refusal::new(node, "not a finite number")),
        Some(number) if limits.whole && number.fract() != 0.0 => {
            Err(Refusal::new(node, "not a whole number"))
        }
        Some(number) if limits.admits(number) => Ok(number),
        Some(_) => Err(Refusal::new(node, "out of range")),
        None => Err(Refusal::new(node, "not a number that can be held")),
    }
}

/// Names are printed on pages and fitted letter by letter into pictures: a longer one was pasted by mistake.
const LONGEST_LINE: usize = 500;

/// Some text of one line, which is shown as it stands: a control character in it would steer the terminal.
pub(super) fn read_line(node: &Node) -> Result<String, Refusal> {
    let text = read_prose(node)?;
    if text.contains(['\n', '\t']) {
        return Err(Refusal::new(node, "more than one line, or a tab"));
    }
    let letters = text.chars().count();
    if letters > LONGEST_LINE {
        let allowed = format!("at most {LONGEST_LINE} letters");
        return Err(Refusal {
            allowed: Some(allowed),
            ..Refusal::new(node, format!("{letters} letters"))
        });
    }
    Ok(text)
}

/// Some text, of several lines perhaps.
pub(super) fn read_prose(node: &Node) -> Result<String, Refusal> {
    let text = read_text(node)?;
    if text.trim().is_empty() {
        return Err(Refusal::new(node, "empty text"));
    }
    if text.contains(steers) {
        return Err(Refusal::new(node, "a control character"));
    }
    Ok(text.to_string())
}

pub(super) fn read_tuple<const N: usize>(
    node: &Node,
    limits: &Limits,
) -> Result<[f64; N], Refusals> {
    let items = read_array(node)?;
    if items.len() != N {
        let message = format!("{} numbers instead of {N}", items.len());
        return Err(Refusal::new(node, message).into());
    }
    let numbers = every(items.iter().map(|item| Ok(read_number(item, limits)?)))?;
    let mut tuple = [0.0; N];
    tuple.copy_from_slice(&numbers);
    Ok(tuple)
}

pub(super) fn read_items<'d, T>(
    node: &'d Node,
    limits: &Limits,
    read: impl Fn(&'d Node) -> Result<T, Refusals>,
) -> Result<Vec<T>, Refusals> {
    let items = read_array(node)?;
    if items.len() < limits.at_least_items {
        return Err(Refusal::new(node, format!("only {} items", items.len())).into());
    }
    every(items.iter().enumerate().map(|(i, item)| {
        let in_item = |refusal: Refusal| refusal.in_item(i);
        read(item).map_err(|all| Refusals(all.0.into_iter().map(in_item).collect()))
    }))
}

pub(super) fn read_array(node: &Node) -> Result<&Vec<Node>, Refusal> {
    match &node.value {
        Value::Array(items) => Ok(items),
        _ => Err(Refusal::wrong_type(node)),
    }
}

/// All that was read, or all that was refused.
fn every<T>(read: impl Iterator<Item = Result<T, Refusals>>) -> Result<Vec<T>, Refusals> {
    let (mut sound, mut refused) = (Vec::new(), Vec::new());
    for one in read {
        match one {
            Ok(value) => sound.push(value),
            Err(more) => refused.extend(more.0),
        }
    }
    if refused.is_empty() {
        Ok(sound)
    } else {
        Err(Refusals(refused))
    }
}
