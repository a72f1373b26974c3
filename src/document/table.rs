//! A TOML document whose tables are asked for their keys, and which remembers what was never asked for.
//! May not enter: what any key means.

use super::field::{Field, Refusal};
use super::near::nearest;
use super::node::{self, Entry, Node, Value};
use super::problem::{Problem, Problems};
use super::source::Source;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::ops::Range;
use std::path::Path;
use std::sync::Arc;
use toml::de::DeTable;

/// One parsed file and the problems found in it so far.
#[derive(Debug)]
pub struct Document {
    source: Arc<Source>,
    root: Vec<Entry>,
    /// Lines with a syntax error: what was recovered from them is a guess, and keys may be lost.
    broken_lines: Vec<usize>,
    problems: RefCell<Vec<Problem>>,
    /// Keys asked for, by the path of their table.
    asked: RefCell<BTreeMap<String, Vec<String>>>,
}

impl Document {
    /// Reads and parses a file.
    pub fn open(path: &Path) -> Result<Document, Problems> {
        let name = path.display().to_string();
        match std::fs::read(path) {
            Ok(bytes) => Ok(Document::parse(&name, &bytes)),
            Err(reason) => Err(Problem::unreadable(&name, &reason).into()),
        }
    }

    /// Parses a file's bytes. Never fails: what is wrong comes out of [`Document::finish`].
    pub fn parse(name: &str, bytes: &[u8]) -> Document {
        let (text, mut problems) = decode(name, bytes);
        let source = Arc::new(Source::new(name, text));
        let mut root = Vec::new();
        if problems.is_empty() && !source.text.trim().is_empty() {
            let (table, errors) = DeTable::parse_recoverable(&source.text);
            root = node::entries(table.get_ref());
            problems.extend(errors.iter().map(|error| syntax_problem(&source, error)));
        } else if problems.is_empty() {
            let allowed = "a TOML file with keys and tables";
            problems.push(Problem::at(&source, 0..0, "", "the file is empty", allowed));
        }
        Document {
            broken_lines: problems.iter().map(|problem| problem.line).collect(),
            source,
            root,
            problems: RefCell::new(problems),
            asked: RefCell::default(),
        }
    }

    /// The top-level table.
    pub fn root(&self) -> Table<'_> {
        Table {
            document: self,
            entries: &self.root,
            path: String::new(),
            span: 0..0,
        }
    }

    /// The file's text.
    pub fn source(&self) -> &Arc<Source> {
        &self.source
    }

    /// Adds a problem found elsewhere in this text.
    pub fn push(&self, problem: Problem) {
        self.problems.borrow_mut().push(problem);
    }

    /// Whether anything is wrong so far (unknown keys not counted).
    pub fn is_sound(&self) -> bool {
        self.problems.borrow().is_empty()
    }

    /// Every problem, unknown keys included. Call it after the last key was asked for.
    pub fn finish(self) -> Result<(), Problems> {
        self.unknown_keys(&self.root, "");
        let broken = self.broken_lines;
        let mut all = Problems::new();
        for (i, problem) in self.problems.into_inner().into_iter().enumerate() {
            // The parser's own problems come first; what follows from a guess is not repeated.
            if i < broken.len() || !broken.contains(&problem.line) {
                all.push(problem);
            }
        }
        all.sorted().or(Some(()))
    }

    fn unknown_keys(&self, entries: &[Entry], path: &str) {
        let asked = self.asked.borrow();
        // A table that nobody opened was refused as a whole.
        let Some(known) = asked.get(path) else { return };
        for Entry {
            key,
            key_span,
            node,
        } in entries
        {
            let name = key.as_str();
            let inner = join(path, name);
            if known.iter().any(|one| one == name) {
                match &node.value {
                    Value::Table(table) => self.unknown_keys(table, &inner),
                    Value::Array(items) => {
                        for (i, item) in items.iter().enumerate() {
                            if let Value::Table(table) = &item.value {
                                self.unknown_keys(table, &format!("{inner}[{}]", i + 1));
                            }
                        }
                    }
                    _ => {}
                }
                continue;
            }
            let mut allowed = known.join(", ");
            if let Some(near) = nearest(name, known.iter().map(String::as_str)) {
                allowed = format!("{allowed}; did you mean {near}?");
            }
            let problem = Problem::at(
                &self.source,
                key_span.clone(),
                &inner,
                "unknown key",
                allowed,
            );
            self.problems.borrow_mut().push(problem);
        }
    }
}

/// The text of a file, or the problem at its first byte that is no text.
fn decode(name: &str, bytes: &[u8]) -> (String, Vec<Problem>) {
    let valid = match std::str::from_utf8(bytes) {
        Ok(text) => text.find('\0').unwrap_or(text.len()),
        Err(error) => error.valid_up_to(),
    };
    // The prefix up to `valid` is text by construction.
    let mut text = String::from_utf8_lossy(&bytes[..valid]).into_owned();
    if valid == bytes.len() {
        return (
            text.strip_prefix('\u{feff}')
                .map(str::to_string)
                .unwrap_or(text),
            vec![],
        );
    }
    text = text.replace(|c: char| c.is_control() && c != '\n', "·");
    let end = text.len();
    text.push('·');
    let source = Arc::new(Source::new(name, text));
    let message = "not a text file: a byte that is no UTF-8 text";
    let problem = Problem::at(
        &source,
        end..end + '·'.len_utf8(),
        "",
        message,
        "UTF-8 text",
    )
    .with_found(format!("byte 0x{:02x}", bytes[valid]));
    (source.text.clone(), vec![problem])
}

fn syntax_problem(source: &Arc<Source>, error: &toml::de::Error) -> Problem {
    let span = error.span().unwrap_or(0..0);
    let (message, allowed) = match error.message().split_once(", expected ") {
        Some((message, allowed)) => (message, allowed),
        None if error.message().contains("duplicate") => (error.message(), "each key once"),
        None => (error.message(), "TOML 1.1 syntax"),
    };
    Problem::at(source, span, "", message, allowed)
}

fn join(path: &str, key: &str) -> String {
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

    /// Some text, not empty.
    pub fn text(&self, key: &str) -> Field<'d, String> {
        Field::text(self, key)
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
            &self.document.source,
            self.span.clone(),
            &self.path,
            message,
            allowed,
        );
        self.document.push(problem);
    }

    /// The value at a key; from now on the key is known.
    pub(super) fn value(&self, key: &str) -> Option<&'d Node> {
        let mut asked = self.document.asked.borrow_mut();
        let known = asked.entry(self.path.clone()).or_default();
        if !known.iter().any(|one| one == key) {
            known.push(key.to_string());
        }
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
        // Opened: from now on its unasked keys are unknown.
        self.document
            .asked
            .borrow_mut()
            .entry(table.path.clone())
            .or_default();
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
        let problem = Problem::at(&self.document.source, span, &path, message, allowed);
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
        if self.document.broken_lines.is_empty() {
            let path = join(&self.path, key);
            let problem = Problem::at(
                &self.document.source,
                self.span.clone(),
                &path,
                "missing key",
                allowed,
            );
            self.document.push(problem.with_found(""));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(document: Document) -> String {
        document
            .finish()
            .map_or_else(|problems| problems.to_string(), |()| String::new())
    }

    #[test]
    fn what_was_never_asked_for_is_unknown_also_deep_inside() {
        let text = b"[[track]]\nname = \"a\"\nguage_m = 1\n[[track]]\nname = \"b\"\n[other]\nx = 1";
        let document = Document::parse("f", text);
        for track in document.root().tables("track") {
            track.text("name").required();
            track.number("gauge_m").optional();
        }
        assert_eq!(
            told(document),
            "f:3:1: track[1].guage_m: unknown key: guage_m (allowed: name, gauge_m; did you mean gauge_m?)\n\
             f:6:2: other: unknown key: other (allowed: track)"
        );
    }

    #[test]
    fn a_missing_key_is_told_at_its_table() {
        let document = Document::parse("f", b"a = 1\n[place]\nb = 2\n");
        let root = document.root();
        root.number("a").required();
        let place = root.table("place").required().unwrap();
        place.number("b").required();
        place.number("c").range(0.0..=1.0).required();
        assert_eq!(
            told(document),
            "f:2:1: place.c: missing key (allowed: a number from 0 to 1)"
        );
    }

    #[test]
    fn every_syntax_error_is_told_and_no_guess_that_follows_from_one() {
        let document = Document::parse("f", b"a = \nb = [1, 2\nc = 3\nc = 4\n");
        let root = document.root();
        for key in ["a", "b", "c", "d"] {
            root.number(key).required();
        }
        let text = told(document);
        assert!(text.contains("f:1:"), "{text}");
        assert!(!text.contains("missing key"), "{text}");
        let twice = Document::parse("f", b"c = 3\nc = 4\n");
        twice.root().number("c").required();
        let text = told(twice);
        assert!(text.starts_with("f:2:1: duplicate key"), "{text}");
    }

    #[test]
    fn empty_and_binary_files_are_one_located_problem_each() {
        for (bytes, wanted) in [
            (&b""[..], "f:1:1: the file is empty"),
            (&b" \n\t\n"[..], "f:1:1: the file is empty"),
            (
                &b"a = 1\n\x89PNG"[..],
                "f:2:1: not a text file: a byte that is no UTF-8 text: byte 0x89",
            ),
            (
                &b"a\0b"[..],
                "f:1:2: not a text file: a byte that is no UTF-8 text: byte 0x00",
            ),
        ] {
            let document = Document::parse("f", bytes);
            document.root().number("a").required();
            let text = told(document);
            assert!(text.starts_with(wanted), "{text}");
            assert_eq!(text.lines().count(), 1, "{text}");
        }
    }

    #[test]
    fn a_domain_fault_lies_at_its_value_or_item() {
        let document = Document::parse("f", b"p = [[0, 0], [1, 1]]\n");
        let root = document.root();
        root.tuples::<2>("p").required();
        root.fault_item("p", 1, "a crossed polygon", "a simple one");
        root.fault("q", "no such thing", "q");
        let text = told(document);
        assert!(
            text.contains("f:1:14: p[2]: a crossed polygon: [1, 1]"),
            "{text}"
        );
        assert!(text.contains("f:1:1: q: no such thing"), "{text}");
    }

    #[test]
    fn a_file_that_is_not_there_is_a_problem() {
        let problems = Document::open(Path::new("no/such.toml")).unwrap_err();
        assert!(
            problems
                .to_string()
                .starts_with("no/such.toml:0:0: cannot read this file")
        );
    }
}
