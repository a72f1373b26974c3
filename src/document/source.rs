//! A file's text with its lines. May not enter: what the text means.

use super::printable::{printable, steers};
use super::problem::Problem;
use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};
use std::ops::Range;
use std::sync::Arc;

/// The text of one file, kept so that problems can show the place.
#[derive(Debug, PartialEq, Eq)]
pub struct Source {
    /// The file's name as it was given, but for control characters.
    pub name: String,
    /// Its text; of a binary file, what comes before the first byte that is no text.
    pub text: String,
    /// What is shown of it where it cannot be shown as it is.
    shown: Option<String>,
    line_starts: Vec<usize>,
}

impl Source {
    /// Keeps a text and finds its lines.
    pub fn new(name: &str, text: String) -> Source {
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(at, _)| at + 1))
            .collect();
        Source {
            name: printable(name).into_owned(),
            shown: text.contains(steers).then(|| printable(&text).into_owned()),
            text,
            line_starts,
        }
    }

    /// The text of a file's bytes, or the problem at the first byte that is no text.
    pub fn decode(name: &str, bytes: &[u8]) -> Result<Source, Box<Problem>> {
        let utf8 = match std::str::from_utf8(bytes) {
            Ok(_) => bytes.len(),
            Err(error) => error.valid_up_to(),
        };
        // A zero byte is UTF-8, and still no text that anybody wrote.
        let zero = bytes[..utf8].iter().position(|byte| *byte == 0);
        let valid = zero.unwrap_or(utf8);
        // The bytes before `valid` are text by construction.
        let text = String::from_utf8_lossy(&bytes[..valid]).into_owned();
        if valid == bytes.len() {
            let text = text
                .strip_prefix('\u{feff}')
                .map(str::to_string)
                .unwrap_or(text);
            return Ok(Source::new(name, text));
        }
        let mut shown = printable(&text).into_owned();
        let end = shown.len();
        shown.push('·');
        let source = Arc::new(Source::new(name, shown));
        let message = "not a text file: a byte that is no text";
        let problem = Problem::at(
            &source,
            end..end + '·'.len_utf8(),
            "",
            message,
            "UTF-8 text",
        );
        let byte = bytes[valid];
        Err(Box::new(problem.with_found(format!("byte 0x{byte:02x}"))))
    }

    /// Line and column of a byte offset, both from 1, the column in characters.
    pub fn line_column(&self, offset: usize) -> (usize, usize) {
        let line = self.line_index(offset);
        let start = self.line_starts[line];
        let until = self.text.floor_char_boundary(offset.min(self.text.len()));
        (line + 1, self.text[start..until].chars().count() + 1)
    }

    /// The bytes of a line (from 1), without its end.
    pub fn line_span(&self, line: usize) -> Range<usize> {
        let index = (line.max(1) - 1).min(self.line_starts.len() - 1);
        let start = self.line_starts[index];
        let end = self.line_end(index);
        start..start + self.text[start..end].trim_end_matches(['\r', '\n']).len()
    }

    /// The text at a span, one line at most and shortened to some forty characters.
    pub fn excerpt(&self, span: &Range<usize>) -> String {
        let whole = self.text.get(span.clone()).unwrap_or_default();
        let first_line = whole.lines().next().unwrap_or_default();
        let mut short: String = first_line.chars().take(40).collect();
        if short.len() < whole.len() {
            short.push('…');
        }
        short
    }

    fn line_index(&self, offset: usize) -> usize {
        self.line_starts
            .partition_point(|start| *start <= offset)
            .saturating_sub(1)
    }

    fn line_end(&self, index: usize) -> usize {
        self.line_starts
            .get(index + 1)
            .copied()
            .unwrap_or(self.text.len())
    }
}

impl SourceCode for Source {
    /// Own reading, by the line table: miette's scans the whole text for every label, which is slow
    /// for the thousands of lines of a mesh.
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        context_lines_before: usize,
        context_lines_after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        if span.offset() + span.len() > self.text.len() {
            return Err(MietteError::OutOfBounds);
        }
        let first = self
            .line_index(span.offset())
            .saturating_sub(context_lines_before);
        let last = (self.line_index(span.offset() + span.len()) + context_lines_after)
            .min(self.line_starts.len() - 1);
        let start = self.line_starts[first];
        let end = self.line_end(last);
        let (line, column) = if context_lines_before == 0 {
            let (line, column) = self.line_column(span.offset());
            (line - 1, column - 1)
        } else {
            (first, 0)
        };
        let shown = self.shown.as_ref().unwrap_or(&self.text);
        Ok(Box::new(MietteSpanContents::new_named(
            self.name.clone(),
            &shown.as_bytes()[start..end],
            (start, end - start).into(),
            line,
            column,
            last + 1 - first,
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_and_lines_count_from_one() {
        let source = Source::new("a", "é = 1\nb = 2\n".into());
        assert_eq!(source.line_column(0), (1, 1));
        assert_eq!(source.line_column(5), (1, 5));
        assert_eq!(source.line_column(7), (2, 1));
        assert_eq!(source.line_column(999), (3, 1));
        assert_eq!(source.line_span(2), 7..12);
    }

    #[test]
    fn an_excerpt_is_one_short_line() {
        let source = Source::new("a", format!("{}\nnext", "x".repeat(60)));
        assert_eq!(source.excerpt(&(0..64)).chars().count(), 41);
    }
}
