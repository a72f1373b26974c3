//! Problems drawn with the place and a caret under it. The one place that shows them.
//! May not enter: finding them.

use super::problem::{Problem, Problems};
use miette::{Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, SourceCode};
use std::fmt;

/// Columns of a drawing; fixed, so that recorded outputs do not depend on a terminal.
const WIDTH: usize = 100;

/// Every problem as text. `color` for a terminal; otherwise plain ASCII lines, the same everywhere.
pub fn render(problems: &Problems, color: bool) -> String {
    let theme = if color {
        GraphicalTheme::unicode()
    } else {
        GraphicalTheme::none()
    };
    let handler = GraphicalReportHandler::new_themed(theme)
        .with_width(WIDTH)
        .with_links(false)
        .with_wrap_lines(false)
        .with_context_lines(1);
    let mut text = String::new();
    for problem in problems {
        // Writing into a string cannot fail; if miette refuses a drawing, the sentence still stands.
        if handler.render_report(&mut text, &Shown(problem)).is_err() {
            text.push_str(&format!("{problem}\n"));
        }
        text.push('\n');
    }
    text
}

/// A problem as miette wants it.
#[derive(Debug)]
struct Shown<'a>(&'a Problem);

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let problem = self.0;
        write!(f, "{}: ", problem.place())?;
        if !problem.key_path.is_empty() {
            write!(f, "{}: ", problem.key_path)?;
        }
        f.write_str(&problem.message)?;
        if !problem.found.is_empty() {
            write!(f, ": {}", problem.found)?;
        }
        Ok(())
    }
}

impl std::error::Error for Shown<'_> {}

impl Diagnostic for Shown<'_> {
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        Some(Box::new(format!("allowed: {}", self.0.allowed)))
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        (self.0.line > 0).then_some(&*self.0.source as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        // A caret needs one line: a span over several is shown at its beginning.
        let line_end = self.0.source.line_span(self.0.line).end;
        let end = self.0.span.end.min(line_end).max(self.0.span.start);
        let label = LabeledSpan::new_with_span(None, self.0.span.start..end);
        Some(Box::new(std::iter::once(label)))
    }
}

#[cfg(test)]
mod tests {
    use super::super::Document;
    use super::*;

    #[test]
    fn a_problem_is_drawn_with_a_caret_under_the_place() {
        let document = Document::parse("site.toml", b"[place]\nlat_deg = 91\n");
        let root = document.root();
        let place = root.table("place").required().unwrap();
        place.number("lat_deg").range(-90.0..=90.0).required();
        let text = render(&document.finish().unwrap_err(), false);
        assert!(
            text.contains("site.toml:2:11: place.lat_deg: out of range: 91"),
            "{text}"
        );
        assert!(text.contains("allowed: a number from -90 to 90"), "{text}");
        let lines: Vec<&str> = text.lines().collect();
        let shown = lines
            .iter()
            .position(|line| line.contains("lat_deg = 91"))
            .unwrap();
        let caret = lines[shown + 1].find('^').expect("a caret under the line");
        assert_eq!(caret, lines[shown].find("91").unwrap(), "{text}");
    }

    #[test]
    fn a_place_at_the_very_end_can_be_drawn() {
        let document = Document::parse("a.toml", b"x = 1\n[t]");
        document
            .root()
            .table("t")
            .required()
            .unwrap()
            .number("y")
            .required();
        document.root().number("x").required();
        assert!(render(&document.finish().unwrap_err(), false).contains("missing key"));
    }
}
