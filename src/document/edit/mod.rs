//! Changes in the text of a file that somebody wrote: values are put in the place of values, and every other byte stays,
//! be it a comment, a tab or a carriage return. May not enter: what any key means.
//!
//! The text is parsed with the place of every key and value (`toml_edit`), and pieces of it are exchanged. To print the
//! parsed tree anew would end all lines alike and set keys where that library would have them.

mod many; // tables of which there are several
mod new; // values
mod place; // keys, lines, commas

pub use new::New;

use new::exchange;
use place::{Entry, entries, new_lines, new_table, newline, without_item, without_line};
use std::collections::BTreeMap;
use std::ops::Range;
use toml_edit::{InlineTable, Item, TableLike, Value};

/// Changes of one text, to be made all at once.
#[derive(Debug)]
pub struct Edit<'t> {
    text: &'t str,
    parsed: toml_edit::Document<&'t str>,
    patches: Vec<(Range<usize>, String)>,
    removed: Vec<(String, String)>,
    /// By table, in the order in which they were asked for.
    added: BTreeMap<String, Vec<(String, String)>>,
    /// Tables of which there are several, to come behind everything.
    pushed: String,
}

/// How a table is written.
enum Written<'d> {
    /// Under a header of its own, at this place.
    Header(Vec<Entry>, Range<usize>),
    /// As `table.key = …`.
    Dotted(Vec<Entry>),
    /// As `table = { … }`.
    Inline(Vec<Entry>, &'d InlineTable),
    /// Not at all.
    Missing,
}

impl<'t> Edit<'t> {
    /// Begins with a text; none if it is not TOML.
    pub fn of(text: &'t str) -> Option<Edit<'t>> {
        Some(Edit {
            text,
            parsed: toml_edit::Document::parse(text).ok()?,
            patches: Vec::new(),
            removed: Vec::new(),
            added: BTreeMap::new(),
            pushed: String::new(),
        })
    }

    /// Whether a key stands in a table.
    pub fn has(&self, table: &str, key: &str) -> bool {
        self.value(table, key).is_some()
    }

    /// The text at a key; none where there is none or something else.
    pub fn text_at(&self, table: &str, key: &str) -> Option<&str> {
        self.value(table, key)?.as_str()
    }

    /// Sets a key. What is the same already, to the decimals that are written, stays as it is written.
    pub fn set(&mut self, table: &str, key: &str, new: &New) {
        match self.value(table, key) {
            Some(value) => {
                let patches = exchange(self.text, value, new);
                self.patches.extend(patches);
            }
            None => {
                let keys = self.added.entry(table.to_string()).or_default();
                keys.push((key.to_string(), new.written()));
            }
        }
    }

    /// Sets a key, but where it is missing and what a missing one means is wanted.
    pub fn set_unless(&mut self, table: &str, key: &str, new: &New, usual: &New) {
        if self.has(table, key) || new.written() != usual.written() {
            self.set(table, key, new);
        }
    }

    /// Takes a key away, if it is there. A comment behind it stays, on the line that it leaves.
    pub fn remove(&mut self, table: &str, key: &str) {
        let patches = match self.written(table) {
            Written::Header(entries, _) | Written::Dotted(entries) => {
                let found = entries.iter().find(|entry| entry.name == key);
                found.map(|entry| vec![without_line(self.text, entry)])
            }
            Written::Inline(entries, _) => {
                let found = entries.iter().position(|entry| entry.name == key);
                found.map(|at| without_item(self.text, &entries, at))
            }
            Written::Missing => None,
        };
        if let Some(patches) = patches {
            self.patches.extend(patches);
            self.removed.push((table.to_string(), key.to_string()));
        }
    }

    /// The text with all of it.
    pub fn finish(mut self) -> String {
        let mut appended = String::new();
        for (table, keys) in std::mem::take(&mut self.added) {
            match self.addition(&table, &keys) {
                Some(patch) => self.patches.push(patch),
                None => appended += &new_table(self.text, &table, &keys),
            }
        }
        appended += &self.pushed;
        self.patches
            .sort_by_key(|(place, _)| (place.start, place.end));
        let mut text = self.text.to_string();
        for (place, new) in self.patches.iter().rev() {
            text.replace_range(place.clone(), new);
        }
        if !appended.is_empty() && !text.is_empty() && !text.ends_with('\n') {
            text += newline(self.text);
        }
        text + &appended
    }

    fn value(&self, table: &str, key: &str) -> Option<&Value> {
        let inner: &dyn TableLike = self.parsed.get(table)?.as_table_like()?;
        inner.get(key)?.as_value()
    }

    fn written(&self, table: &str) -> Written<'_> {
        match self.parsed.get(table) {
            Some(Item::Table(inner)) if inner.is_dotted() => Written::Dotted(entries(inner)),
            Some(Item::Table(inner)) if !inner.is_implicit() => {
                Written::Header(entries(inner), inner.span().unwrap_or_default())
            }
            Some(Item::Value(Value::InlineTable(inner))) => Written::Inline(entries(inner), inner),
            _ => Written::Missing,
        }
    }

    /// Where new keys go in a table that is there: behind its last one, written as that is.
    fn addition(&self, table: &str, keys: &[(String, String)]) -> Option<(Range<usize>, String)> {
        let stays = |entry: &&Entry| {
            let removed = self.removed.iter();
            !removed
                .clone()
                .any(|(within, key)| within == table && *key == entry.name)
        };
        let last = |entries: &[Entry]| {
            let kept = entries
                .iter()
                .filter(stays)
                .max_by_key(|entry| entry.value.end);
            kept.or_else(|| entries.last()).cloned()
        };
        match self.written(table) {
            Written::Header(entries, header) => {
                let last = last(&entries);
                let behind = last.as_ref().map_or(header.end, |entry| entry.value.end);
                Some(new_lines(self.text, behind, last.as_ref(), "", keys))
            }
            Written::Dotted(entries) => {
                let last = last(&entries)?;
                let prefix = format!("{table}.");
                Some(new_lines(
                    self.text,
                    last.value.end,
                    Some(&last),
                    &prefix,
                    keys,
                ))
            }
            Written::Inline(entries, inner) => {
                let list = keys.iter().map(|(key, value)| format!("{key} = {value}"));
                let list = list.collect::<Vec<_>>().join(", ");
                Some(match last(&entries) {
                    Some(last) => (last.value.end..last.value.end, format!(", {list}")),
                    None => {
                        let within = inner.span()?.start + 1;
                        (within..within, format!(" {list} "))
                    }
                })
            }
            Written::Missing => None,
        }
    }
}
