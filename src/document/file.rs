//! A whole file: its text, its tree, the problems found so far, and what was never asked for.
//! May not enter: what any key means.

use super::near::nearest;
use super::node::{self, Entry, Value};
use super::problem::{Problem, Problems};
use super::source::Source;
use super::table::{Table, join};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io;
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;
use toml::de::DeTable;

/// The path of a file that another one names, relative to that other's folder.
pub fn beside(path: &Path, named: &str) -> PathBuf {
    let mut whole = path.parent().unwrap_or(Path::new("")).to_path_buf();
    for part in Path::new(named).components() {
        match part {
            // Shorter to read in messages; only a folder that stands there by name is taken back.
            Component::ParentDir
                if matches!(whole.components().next_back(), Some(Component::Normal(_))) =>
            {
                whole.pop();
            }
            other => whole.push(other),
        }
    }
    whole
}

/// Longer files are nobody's scene, rulebook or model, bytes.
const LONGEST: u64 = 512 << 20;

/// The bytes of a plain file: a device or a pipe may never end, and is not read.
pub fn read_file(path: &Path) -> io::Result<Vec<u8>> {
    let about = std::fs::metadata(path)?;
    let refusal = if about.is_dir() {
        "it is a folder"
    } else if !about.is_file() {
        "it is not a plain file"
    } else if about.len() > LONGEST {
        "it is longer than 512 MiB"
    } else {
        return std::fs::read(path);
    };
    Err(io::Error::other(refusal))
}

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
        match read_file(path) {
            Ok(bytes) => Ok(Document::parse(&name, &bytes)),
            Err(reason) => Err(Problem::unreadable(&name, &reason).into()),
        }
    }

    /// Parses a file's bytes. Never fails: what is wrong comes out of [`Document::finish`].
    pub fn parse(name: &str, bytes: &[u8]) -> Document {
        let mut problems = Vec::new();
        let source = Source::decode(name, bytes).map_or_else(
            |problem| {
                let source = Arc::clone(&problem.source);
                problems.push(*problem);
                source
            },
            Arc::new,
        );
        let mut root = Vec::new();
        if problems.is_empty() && !source.text.trim().is_empty() {
            let (table, errors) = DeTable::parse_recoverable(&source.text);
            root = node::entries(table.get_ref());
            problems.extend(errors.iter().map(|error| syntax_problem(&source, error)));
        } else if problems.is_empty() {
            let allowed = "a TOML file with keys and tables";
            let problem = Problem::at(&source, 0..0, "", "the file is empty", allowed);
            problems.push(problem);
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
        Table::root(self, &self.root)
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
        self.into_problems().or(Some(()))
    }

    /// Every problem so far, unknown keys not judged.
    pub fn into_problems(self) -> Problems {
        let broken = self.broken_lines;
        let mut all = Problems::new();
        for (i, problem) in self.problems.into_inner().into_iter().enumerate() {
            // The parser's own problems come first; what follows from a guess is not repeated.
            if i < broken.len() || !broken.contains(&problem.line) {
                all.push(problem);
            }
        }
        all.sorted()
    }

    /// Whether a key may be missing only because the parser lost its line.
    pub(super) fn has_lost_lines(&self) -> bool {
        !self.broken_lines.is_empty()
    }

    /// Notes that a table was opened: from now on its unasked keys are unknown.
    pub(super) fn open_table(&self, path: &str) {
        self.asked.borrow_mut().entry(path.to_string()).or_default();
    }

    /// Notes that a key was asked for.
    pub(super) fn know(&self, path: &str, key: &str) {
        let mut asked = self.asked.borrow_mut();
        let known = asked.entry(path.to_string()).or_default();
        if !known.iter().any(|one| one == key) {
            known.push(key.to_string());
        }
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

fn syntax_problem(source: &Arc<Source>, error: &toml::de::Error) -> Problem {
    let span = error.span().unwrap_or(0..0);
    let (message, allowed) = match error.message().split_once(", expected ") {
        Some((message, allowed)) => (message, allowed),
        None if error.message().contains("duplicate") => (error.message(), "each key once"),
        None => (error.message(), "TOML 1.1 syntax"),
    };
    Problem::at(source, span, "", message, allowed)
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
                "f:2:1: not a text file: a byte that is no text: byte 0x89",
            ),
            (
                &b"a\0b"[..],
                "f:1:2: not a text file: a byte that is no text: byte 0x00",
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
    fn a_named_file_lies_beside_the_file_that_names_it() {
        let path = Path::new("scenes/a.toml");
        assert_eq!(beside(path, "../models/b.toml"), Path::new("models/b.toml"));
        assert_eq!(beside(path, "../../b.toml"), Path::new("../b.toml"));
        assert_eq!(beside(Path::new("a.toml"), "b.toml"), Path::new("b.toml"));
        assert_eq!(beside(path, "/b.toml"), Path::new("/b.toml"));
    }

    #[test]
    fn a_file_that_is_not_there_is_a_problem() {
        let problems = Document::open(Path::new("no/such.toml")).unwrap_err();
        assert!(
            problems
                .to_string()
                .starts_with("no/such.toml: cannot read this file")
        );
    }
}
