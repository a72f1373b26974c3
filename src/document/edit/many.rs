//! Tables of which there are several under one name (`[[mark]]`): their keys exchanged, single ones taken away, new ones
//! put behind everything. May not enter: what any key means.

use super::new::exchange;
use super::place::{entries, newline};
use super::{Edit, New};
use std::ops::Range;
use toml_edit::{Item, Table};

impl Edit<'_> {
    /// How many tables of a name there are; none where they are not written under headers of their own.
    pub fn count(&self, name: &str) -> Option<usize> {
        match self.parsed.get(name) {
            None => Some(0),
            Some(Item::ArrayOfTables(tables)) => Some(tables.len()),
            Some(_) => None,
        }
    }

    /// The text at a key of the n-th table of a name.
    pub fn nth_text(&self, name: &str, n: usize, key: &str) -> Option<&str> {
        self.nth(name, n)?.get(key)?.as_str()
    }

    /// Exchanges a key's value in the n-th table of a name. What is the same already stays as it is written.
    pub fn set_nth(&mut self, name: &str, n: usize, key: &str, new: &New) {
        let value = self.nth(name, n).and_then(|table| table.get(key));
        if let Some(value) = value.and_then(Item::as_value) {
            let patches = exchange(self.text, value, new);
            self.patches.extend(patches);
        }
    }

    /// Takes the n-th table of a name away, with what is said behind its values and one empty line beside it. Comments
    /// above it stay.
    pub fn remove_nth(&mut self, name: &str, n: usize) {
        let Some(table) = self.nth(name, n) else {
            return;
        };
        let Some(header) = table.span() else { return };
        let last = entries(table).last().map_or(0, |entry| entry.value.end);
        let start = self.text[..header.start].rfind('\n').map_or(0, |at| at + 1);
        let line_after = |from: usize| {
            let end = self.text[from..].find('\n');
            end.map_or(self.text.len(), |at| from + at + 1)
        };
        let end = line_after(last.max(header.end));
        // The empty line that parted it from what stands before it goes with it; where none does, the one behind it. One
        // that goes with a neighbour already is left to that.
        let is_empty =
            |line: &Range<usize>| !line.is_empty() && self.text[line.clone()].trim().is_empty();
        let goes = |line: &Range<usize>| {
            let mut patches = self.patches.iter();
            patches.any(|(place, _)| place.start < line.end && line.start < place.end)
        };
        let before = self.text[..start.saturating_sub(1)]
            .rfind('\n')
            .map_or(0, |at| at + 1)..start;
        let behind = end..line_after(end);
        let empty = [before, behind]
            .into_iter()
            .find(|line| is_empty(line) && !goes(line));
        let (start, end) = empty.map_or((start, end), |line| {
            (start.min(line.start), end.max(line.end))
        });
        self.patches.push((start..end, String::new()));
    }

    /// Puts another table of a name behind everything.
    pub fn push(&mut self, name: &str, keys: &[(&str, New)]) {
        let end = newline(self.text);
        let mut table = format!("{end}[[{name}]]{end}");
        for (key, value) in keys {
            table += &format!("{key} = {}{end}", value.written());
        }
        self.pushed += &table;
    }

    fn nth(&self, name: &str, n: usize) -> Option<&Table> {
        self.parsed.get(name)?.as_array_of_tables()?.get(n)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "# mine\n[about]\na = 1\n\n# the first\n[[mark]]\npoint = \"one\" # sure\nat_px = [1, 2.50]\n\n\
                        [[mark]]\r\npoint = 'two'\nat_px = [3, 4]\n\n# last\n[[mark]]\npoint = \"three\"\nat_px = [5, 6]";

    #[test]
    fn only_what_changed_is_exchanged_and_what_goes_takes_nothing_else_along() {
        let mut edit = Edit::of(TEXT).unwrap();
        assert_eq!(edit.count("mark"), Some(3));
        assert_eq!(edit.nth_text("mark", 1, "point"), Some("two"));
        edit.set_nth("mark", 0, "at_px", &New::Numbers(vec![1.0, 2.5], 2));
        edit.set_nth("mark", 2, "at_px", &New::Numbers(vec![5.25, 6.0], 2));
        edit.remove_nth("mark", 1);
        let place = New::Numbers(vec![7.0, 8.125], 2);
        edit.push(
            "mark",
            &[("point", New::Text("four".into())), ("at_px", place)],
        );
        let wanted = "# mine\n[about]\na = 1\n\n# the first\n[[mark]]\npoint = \"one\" # sure\nat_px = [1, 2.50]\n\n\
                      # last\n[[mark]]\npoint = \"three\"\nat_px = [5.25, 6]\n\n[[mark]]\npoint = \"four\"\n\
                      at_px = [7, 8.13]\n";
        // 8.125 lies on the edge of two roundings: either is right.
        assert_eq!(edit.finish().replace("8.12]", "8.13]"), wanted);
    }

    #[test]
    fn tables_in_one_line_are_not_counted_and_nothing_is_put_into_nothing() {
        let edit = Edit::of("mark = [{ point = \"one\" }]").unwrap();
        assert_eq!(edit.count("mark"), None);
        let mut edit = Edit::of("").unwrap();
        assert_eq!(edit.count("mark"), Some(0));
        edit.remove_nth("mark", 0);
        edit.push("mark", &[("point", New::Text("a".into()))]);
        assert_eq!(edit.finish(), "\n[[mark]]\npoint = \"a\"\n");
    }
}
