//! Where keys stand in a text, and the pieces of text by which one comes or goes. May not enter: which keys.

use std::ops::Range;
use toml_edit::{Item, Key, TableLike};

/// A key with its value, by their places in the text.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub name: String,
    pub key: Range<usize>,
    pub value: Range<usize>,
}

/// Keys with values of a table as it is written, tables under headers of their own left out.
pub(super) fn entries(table: &dyn TableLike) -> Vec<Entry> {
    let entry = |name: &str| {
        let (key, item): (&Key, &Item) = table.get_key_value(name)?;
        let value = match item {
            Item::Value(value) => value.span()?,
            // `table.key.below = …`
            Item::Table(below) if below.is_dotted() => entries(below).last()?.value.clone(),
            _ => return None,
        };
        let (name, key) = (name.to_string(), key.span()?);
        Some(Entry { name, key, value })
    };
    let names: Vec<String> = table.iter().map(|(name, _)| name.to_string()).collect();
    let mut all: Vec<Entry> = names.iter().filter_map(|name| entry(name)).collect();
    all.sort_by_key(|entry| entry.value.end);
    all
}

/// The line end that a text has, by its first one.
pub(super) fn newline(text: &str) -> &'static str {
    match text.find('\n') {
        Some(at) if text[..at].ends_with('\r') => "\r\n",
        _ => "\n",
    }
}

/// The line on which a place lies, its end not counted, and where the next one begins.
fn line_around(text: &str, from: usize, to: usize) -> (Range<usize>, usize) {
    let start = text[..from].rfind('\n').map_or(0, |at| at + 1);
    let next = text[to..].find('\n').map_or(text.len(), |at| to + at + 1);
    let end = start + text[start..next].trim_end_matches(['\r', '\n']).len();
    (start..end, next)
}

/// New keys on lines of their own behind the line of some place, written as the last key is.
pub(super) fn new_lines(
    text: &str,
    behind: usize,
    like: Option<&Entry>,
    prefix: &str,
    keys: &[(String, String)],
) -> (Range<usize>, String) {
    let (line, next) = line_around(text, like.map_or(behind, |entry| entry.key.start), behind);
    let (mut indent, mut equals) = (String::new(), " = ");
    if let Some(entry) = like {
        let own = &text[line.start..];
        indent = own
            .chars()
            .take_while(|c| *c == ' ' || *c == '\t')
            .collect();
        let between = text.get(entry.key.end..entry.value.start);
        if between.is_some_and(|between| between.trim_end_matches(['"', '\'']) == "=") {
            equals = "=";
        }
    }
    let end = newline(text);
    let mut lines = String::new();
    if next == line.end {
        lines += end; // the file's last line is not ended
    }
    for (key, value) in keys {
        lines += &format!("{indent}{prefix}{key}{equals}{value}{end}");
    }
    (next..next, lines)
}

/// A table that is not there yet, behind everything.
pub(super) fn new_table(text: &str, table: &str, keys: &[(String, String)]) -> String {
    let end = newline(text);
    let lines = keys
        .iter()
        .map(|(key, value)| format!("{key} = {value}{end}"));
    format!("{end}[{table}]{end}{}", lines.collect::<String>())
}

/// A key's lines taken away, but for a comment behind its value.
pub(super) fn without_line(text: &str, entry: &Entry) -> (Range<usize>, String) {
    let (line, next) = line_around(text, entry.key.start, entry.value.end);
    let behind = text[entry.value.end..line.end].trim_start();
    if !behind.starts_with('#') {
        return (line.start..next, String::new());
    }
    let indent = text[line.start..].len() - text[line.start..].trim_start().len();
    (line.start + indent..line.end, behind.to_string())
}

/// A key of an inline table taken away with its comma; comments between stay.
pub(super) fn without_item(
    text: &str,
    entries: &[Entry],
    at: usize,
) -> Vec<(Range<usize>, String)> {
    let entry = &entries[at];
    let none = |place: Range<usize>| (place, String::new());
    let own = entry.key.start..entry.value.end;
    if at + 1 < entries.len() {
        let comma = comma_after(text, own.end);
        let blank =
            |from: usize| from + text[from..].len() - text[from..].trim_start_matches(' ').len();
        return match comma {
            Some(comma) if comma == blank(own.end) => vec![none(own.start..blank(comma + 1))],
            Some(comma) => vec![none(own), none(comma..comma + 1)],
            None => vec![none(own)],
        };
    }
    let before = at.checked_sub(1).map(|before| entries[before].value.end);
    match before.and_then(|before| Some((before, comma_after(text, before)?))) {
        Some((before, comma)) if text[before..own.start].trim() == "," => {
            debug_assert!(before <= comma);
            vec![none(before..own.end)]
        }
        Some((_, comma)) => vec![none(comma..comma + 1), none(own)],
        None => vec![none(own)],
    }
}

/// The comma that follows a value, past blanks and comments.
fn comma_after(text: &str, from: usize) -> Option<usize> {
    let mut in_comment = false;
    for (at, c) in text[from..].char_indices() {
        match c {
            '\n' => in_comment = false,
            '#' => in_comment = true,
            ',' if !in_comment => return Some(from + at),
            c if in_comment || c.is_whitespace() => {}
            _ => return None,
        }
    }
    None
}
