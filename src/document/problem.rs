//! One thing that is wrong with a file, and all of them together. May not enter: how they are drawn
//! (see `render`).

use super::printable::printable;
use super::source::Source;
use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// One located problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The file's name as it was given.
    pub file: String,
    /// From 1; 0 when the file could not be read at all.
    pub line: usize,
    /// From 1, in characters; 0 when the file could not be read at all.
    pub column: usize,
    /// The key's path (`machine.chainage_m`, `track[2].points_m`); empty where a file has no keys.
    pub key_path: String,
    /// What stands there, shortened; empty where nothing does.
    pub found: String,
    /// What is allowed there.
    pub allowed: String,
    /// What is wrong.
    pub message: String,
    /// Bytes of the place in the file's text.
    pub span: Range<usize>,
    /// The file's text.
    pub source: Arc<Source>,
}

impl Problem {
    /// A problem at a span of a text; what is found there is read from it. Control characters in any of its
    /// texts are replaced: they come from files, and go to a terminal.
    pub fn at(
        source: &Arc<Source>,
        span: Range<usize>,
        key_path: &str,
        message: impl Into<String>,
        allowed: impl Into<String>,
    ) -> Problem {
        let span = span.start.min(source.text.len())..span.end.min(source.text.len());
        let (line, column) = source.line_column(span.start);
        Problem {
            file: source.name.clone(),
            line,
            column,
            key_path: printable(key_path).into(),
            found: printable(&source.excerpt(&span)).into(),
            allowed: printable(&allowed.into()).into(),
            message: printable(&message.into()).into(),
            span,
            source: Arc::clone(source),
        }
    }

    /// A file that could not be opened or read.
    pub fn unreadable(name: &str, reason: &std::io::Error) -> Problem {
        Problem {
            file: printable(name).into_owned(),
            line: 0,
            column: 0,
            key_path: String::new(),
            found: reason.to_string(),
            allowed: "a file that exists and can be read".into(),
            message: "cannot read this file".into(),
            span: 0..0,
            source: Arc::new(Source::new(name, String::new())),
        }
    }

    /// The file, with line and column where it has any.
    pub(super) fn place(&self) -> String {
        match self.line {
            0 => self.file.clone(),
            line => format!("{}:{line}:{}", self.file, self.column),
        }
    }

    /// The same problem with something else named as found.
    pub fn with_found(mut self, found: impl Into<String>) -> Problem {
        self.found = printable(&found.into()).into();
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: ", self.place())?;
        if !self.key_path.is_empty() {
            write!(f, "{}: ", self.key_path)?;
        }
        f.write_str(&self.message)?;
        if !self.found.is_empty() {
            write!(f, ": {}", self.found)?;
        }
        write!(f, " (allowed: {})", self.allowed)
    }
}

/// Every problem of one or more files, in the order of files and places; never empty as an error.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problems(Vec<Problem>);

impl Problems {
    /// None so far.
    pub fn new() -> Problems {
        Problems::default()
    }

    /// Adds one.
    pub fn push(&mut self, problem: Problem) {
        self.0.push(problem);
    }

    /// Adds those of another file.
    pub fn extend(&mut self, others: Problems) {
        self.0.extend(others.0);
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// One after the other.
    pub fn iter(&self) -> std::slice::Iter<'_, Problem> {
        self.0.iter()
    }

    /// The value if there is no problem (and it could be built), else the problems.
    pub fn or<T>(self, value: Option<T>) -> Result<T, Problems> {
        match value {
            Some(value) if self.is_empty() => Ok(value),
            _ => Err(self),
        }
    }

    /// In the order of their places, file by file, the first file first.
    pub(super) fn sorted(mut self) -> Problems {
        self.0
            .sort_by_key(|problem| (problem.span.start, problem.span.end));
        self.0.dedup();
        self
    }
}

impl From<Problem> for Problems {
    fn from(problem: Problem) -> Problems {
        Problems(vec![problem])
    }
}

impl<'a> IntoIterator for &'a Problems {
    type Item = &'a Problem;
    type IntoIter = std::slice::Iter<'a, Problem>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}
