//! The tree of a TOML file with the place of everything, owned and in the file's order.
//! May not enter: what any key means.

use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value and its place.
#[derive(Debug)]
pub struct Node {
    pub(super) span: Range<usize>,
    pub(super) value: Value,
}

/// A value.
#[derive(Debug)]
pub(super) enum Value {
    Text(String),
    /// None: digits that no f64 or i64 holds.
    Number(Option<f64>),
    Flag(bool),
    Time,
    Array(Vec<Node>),
    Table(Vec<Entry>),
}

/// A key with its value.
#[derive(Debug)]
pub(super) struct Entry {
    pub(super) key: String,
    pub(super) key_span: Range<usize>,
    pub(super) node: Node,
}

impl Value {
    /// What a person calls its type.
    pub(super) fn type_word(&self) -> &'static str {
        match self {
            Value::Text(_) => "text",
            Value::Number(_) => "a number",
            Value::Flag(_) => "true or false",
            Value::Time => "a date or time",
            Value::Array(_) => "an array",
            Value::Table(_) => "a table",
        }
    }
}

/// The entries of a parsed table, in the order of the file.
pub(super) fn entries(table: &DeTable<'_>) -> Vec<Entry> {
    let mut entries: Vec<Entry> = table
        .iter()
        .map(|(key, value)| Entry {
            key: key.get_ref().to_string(),
            key_span: key.span(),
            node: node(value),
        })
        .collect();
    entries.sort_by_key(|entry| entry.key_span.start);
    entries
}

fn node(value: &Spanned<DeValue<'_>>) -> Node {
    let inner = match value.get_ref() {
        DeValue::String(text) => Value::Text(text.to_string()),
        DeValue::Integer(whole) => Value::Number(
            i64::from_str_radix(whole.as_str(), whole.radix())
                .ok()
                .map(|whole| whole as f64),
        ),
        DeValue::Float(float) => Value::Number(float.as_str().parse().ok()),
        DeValue::Boolean(flag) => Value::Flag(*flag),
        DeValue::Datetime(_) => Value::Time,
        DeValue::Array(items) => Value::Array(items.iter().map(node).collect()),
        DeValue::Table(table) => Value::Table(entries(table)),
    };
    Node {
        span: value.span(),
        value: inner,
    }
}
