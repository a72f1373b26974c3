//! One table of a document, asked for its keys. May not enter: what any key means.

use super::field::Field;
use super::file::Document;
use super::node::{Entry, Node, Value};
use super::problem::Problem;
use super::value::Refusal;
use std::ops::Range;

/// A key's path below its table's.
pub(super) fn join(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_string()
    } else {
        format!("{path}.{key}")
    }
}

/// One table of a document.
#[derive(Clone, Debug)]
pub struct Table<'d> {
    document: &'d Document,
    entries: &'d [Entry],
    path: String,
    span: Range<usize>,
}

impl<'d> Table<'d> {
    pub(super) fn root(document: &'d Document, entries: &'d [Entry]) -> Table<'d> {
        document.open_table("");
        Table {
            document,
            entries,
            path: String::new(),
            span: 0..0,
        }
    }

    /// The document that it belongs to.
    pub fn document(&self) -> &'d Document {
        self.document
    }

    /// Its path ("machine", "track\[2\]"); empty for the top level.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Whether a key stands here. Asking makes it a known key.
    pub fn has(&self, key: &str) -> bool {
        self.value(key).is_some()
    }

    /// Every key that stands here, in the file's order, for tables whose keys are free names. Each
    /// still has to be asked for by one of the readers.
    pub fn keys(&self) -> Vec<&'d str> {
        self.entries
            .iter()
            .map(|entry| entry.key.as_str())
            .collect()
    }

    /// A number.
    pub fn number(&self, key: &str) -> Field<'d, f64> {
        Field::number(self, key)
    }

    /// Some text of one line, not empty.
    pub fn text(&self, key: &str) -> Field<'d, String> {
        Field::text(self, key)
    }

    /// An array of texts of one line, none empty.
    pub fn texts(&self, key: &str) -> Field<'d, Vec<String>> {
        Field::texts(self, key)
    }

    /// Some text of one or more lines, not empty.
    pub fn prose(&self, key: &str) -> Field<'d, String> {
        Field::prose(self, key)
    }

    /// true or false.
    pub fn flag(&self, key: &str) -> Field<'d, bool> {
        Field::flag(self, key)
    }

    /// One of some words.
    pub fn choice<T: Clone + 'd>(&self, key: &str, words: &[(&str, T)]) -> Field<'d, T> {
        Field::choice(self, key, words)
    }

    /// An array of numbers.
    pub fn numbers(&self, key: &str) -> Field<'d, Vec<f64>> {
        Field::numbers(self, key)
    }

    /// An array of exactly `N` numbers.
    pub fn tuple<const N: usize>(&self, key: &str) -> Field<'d, [f64; N]> {
        Field::tuple(self, key)
    }

    /// An array of arrays of `N` numbers each.
    pub fn tuples<const N: usize>(&self, key: &str) -> Field<'d, Vec<[f64; N]>> {
        Field::tuples(self, key)
    }

    /// A table within this one.
    pub fn table(&self, key: &str) -> Field<'d, Table<'d>> {
        Field::table(self, key)
    }

    /// An array of tables within this one; none if the key is missing.
    pub fn tables(&self, key: &str) -> Vec<Table<'d>> {
        Field::tables(self, key).default(Vec::new())
    }

    /// Refuses what stands at a key (or the table, if nothing stands there).
    pub fn fault(&self, key: &str, message: impl Into<String>, allowed: impl Into<String>) {
        let span = self
            .value(key)
            .map_or(self.span.clone(), |node| node.span.clone());
        self.refuse(key, span, message, allowed);
    }

    /// Refuses one item (from 0) of the array at a key.
    pub fn fault_item(
        &self,
        key: &str,
        item: usize,
        message: impl Into<String>,
        allowed: impl Into<String>,
    ) {
        let span = self.value(key).map(|node| match &node.value {
            Value::Array(items) => items.get(item).map_or(node, |item| item).span.clone(),
            _ => node.span.clone(),
        });
        let key = format!("{key}[{}]", item + 1);
        self.refuse(&key, span.unwrap_or(self.span.clone()), message, allowed);
    }

    /// Refuses the table as a whole.
    pub fn fault_here(&self, message: impl Into<String>, allowed: impl Into<String>) {
        let problem = Problem::at(
            self.document.source(),
            self.span.clone(),
            &self.path,
            message,
            allowed,
        );
        self.document.push(problem);
    }

    /// The value at a key; from now on the key is known.
    pub(super) fn value(&self, key: &str) -> Option<&'d Node> {
        self.document.know(&self.path, key);
        self.entries
            .iter()
            .find(|entry| entry.key == key)
            .map(|entry| &entry.node)
    }

    /// A table below this one; `index` from 0 within an array of tables.
    pub(super) fn inner(
        &self,
        key: &str,
        index: Option<usize>,
        node: &'d Node,
    ) -> Option<Table<'d>> {
        let Value::Table(entries) = &node.value else {
            return None;
        };
        let mut path = join(&self.path, key);
        if let Some(index) = index {
            path = format!("{path}[{}]", index + 1);
        }
        let table = Table {
            document: self.document,
            entries,
            path,
            span: node.span.clone(),
        };
        self.document.open_table(&table.path);
        Some(table)
    }

    pub(super) fn refuse(
        &self,
        key: &str,
        span: Range<usize>,
        message: impl Into<String>,
        allowed: impl Into<String>,
    ) {
        let path = join(&self.path, key);
        let problem = Problem::at(self.document.source(), span, &path, message, allowed);
        self.document.push(problem);
    }

    pub(super) fn refuse_value(&self, key: &str, refusal: Refusal, allowed: String) {
        let key = match refusal.item {
            Some(item) => format!("{key}[{}]", item + 1),
            None => key.to_string(),
        };
        self.refuse(
            &key,
            refusal.span,
            refusal.message,
            refusal.allowed.unwrap_or(allowed),
        );
    }

    /// A missing key is not told where the parser lost lines: it may stand in one of them.
    pub(super) fn refuse_missing(&self, key: &str, allowed: String) {
        if !self.document.has_lost_lines() {
            let path = join(&self.path, key);
            let problem = Problem::at(
                self.document.source(),
                self.span.clone(),
                &path,
                "missing key",
                allowed,
            );
            self.document.push(problem.with_found(""));
        }
    }
}
