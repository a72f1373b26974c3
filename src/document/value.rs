//! Single values: numbers within limits, tuples, arrays, text, and why one is refused.
//! May not enter: keys and tables.

use super::node::{Node, Value};
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

/// What numbers and arrays are held to.
#[derive(Default)]
pub struct Limits {
    pub(super) range: Option<RangeInclusive<f64>>,
    pub(super) above: Option<f64>,
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
        Some(number) if limits.admits(number) => Ok(number),
        Some(_) => Err(Refusal::new(node, "out of range")),
        None => Err(Refusal::new(node, "not a number that can be held")),
    }
}

pub(super) fn read_tuple<const N: usize>(
    node: &Node,
    limits: &Limits,
) -> Result<[f64; N], Refusal> {
    let Value::Array(items) = &node.value else {
        return Err(Refusal::wrong_type(node));
    };
    let mut tuple = [0.0; N];
    if items.len() != N {
        return Err(Refusal::new(
            node,
            format!("{} numbers instead of {N}", items.len()),
        ));
    }
    for (slot, item) in tuple.iter_mut().zip(items.iter()) {
        *slot = read_number(item, limits)?;
    }
    Ok(tuple)
}

pub(super) fn read_items<'d, T>(
    node: &'d Node,
    limits: &Limits,
    read: impl Fn(&'d Node) -> Result<T, Refusal>,
) -> Result<Vec<T>, Refusal> {
    let Value::Array(items) = &node.value else {
        return Err(Refusal::wrong_type(node));
    };
    if items.len() < limits.at_least_items {
        return Err(Refusal::new(node, format!("only {} items", items.len())));
    }
    items
        .iter()
        .enumerate()
        .map(|(i, item)| read(item).map_err(|refusal| refusal.in_item(i)))
        .collect()
}
