//! One key of a table: which type and range it wants, and whether it may be missing.
//! May not enter: what any key means.

use super::near::nearest;
use super::node::{Node, Value};
use super::table::Table;
use super::value::{
    Limits, Refusal, Refusals, read_array, read_items, read_line, read_number, read_prose,
    read_text, read_tuple,
};
use std::ops::RangeInclusive;

type Read<'d, T> = Box<dyn Fn(&'d Node, &Limits) -> Result<T, Refusals> + 'd>;

/// A key that is being asked for.
pub struct Field<'d, T> {
    table: Table<'d>,
    key: String,
    what: String,
    limits: Limits,
    read: Read<'d, T>,
}

impl<'d, T: 'd> Field<'d, T> {
    fn new(
        table: &Table<'d>,
        key: &str,
        what: impl Into<String>,
        read: impl Fn(&'d Node, &Limits) -> Result<T, Refusals> + 'd,
    ) -> Field<'d, T> {
        Field {
            table: table.clone(),
            key: key.to_string(),
            what: what.into(),
            limits: Limits::default(),
            read: Box::new(read),
        }
    }

    /// Its value; a missing key is a problem.
    pub fn required(self) -> Option<T> {
        if !self.table.has(&self.key) {
            let allowed = self.limits.describe(&self.what);
            self.table.refuse_missing(&self.key, allowed);
        }
        self.optional()
    }

    /// Its value if it stands there (a wrong one is a problem and reads as none).
    pub fn optional(self) -> Option<T> {
        let node = self.table.value(&self.key)?;
        match (self.read)(node, &self.limits) {
            Ok(read) => Some(read),
            Err(refusals) => {
                for refusal in refusals.0 {
                    let allowed = self.limits.describe(&self.what);
                    self.table.refuse_value(&self.key, refusal, allowed);
                }
                None
            }
        }
    }

    /// Its value, or a default if the key is missing (a wrong value is a problem, and reads as the default).
    pub fn default(self, value: T) -> T {
        self.optional().unwrap_or(value)
    }

    /// Made into something else, or refused with a sentence. `what` says what is allowed.
    pub fn map<U: 'd>(
        self,
        what: impl Into<String>,
        make: impl Fn(T) -> Result<U, String> + 'd,
    ) -> Field<'d, U> {
        let read = self.read;
        Field {
            table: self.table,
            key: self.key,
            what: what.into(),
            limits: self.limits,
            read: Box::new(move |node, limits| {
                make(read(node, limits)?).map_err(|message| Refusal::new(node, message).into())
            }),
        }
    }

    /// Every number in it lies in this range, ends included.
    pub fn range(mut self, range: RangeInclusive<f64>) -> Self {
        self.limits.range = Some(range);
        self
    }

    /// Every number in it is this or more.
    pub fn at_least(self, least: f64) -> Self {
        self.range(least..=f64::INFINITY)
    }

    /// Every number in it is more than this.
    pub fn above(mut self, least: f64) -> Self {
        self.limits.above = Some(least);
        self
    }

    /// An array has at least so many items.
    pub fn items(mut self, at_least: usize) -> Self {
        self.limits.at_least_items = at_least;
        self
    }
}

impl<'d> Field<'d, f64> {
    pub(super) fn number(table: &Table<'d>, key: &str) -> Self {
        Field::new(table, key, "a number", |node, limits| {
            Ok(read_number(node, limits)?)
        })
    }

    /// It has no fraction.
    pub fn whole(mut self) -> Self {
        self.limits.whole = true;
        self
    }
}

impl<'d> Field<'d, bool> {
    pub(super) fn flag(table: &Table<'d>, key: &str) -> Self {
        Field::new(table, key, "true or false", |node, _| match &node.value {
            Value::Flag(flag) => Ok(*flag),
            _ => Err(Refusal::wrong_type(node).into()),
        })
    }
}

impl<'d> Field<'d, String> {
    pub(super) fn text(table: &Table<'d>, key: &str) -> Self {
        let what = "text in quotes, of one line, without control characters";
        Field::new(table, key, what, |node, _| Ok(read_line(node)?))
    }

    pub(super) fn prose(table: &Table<'d>, key: &str) -> Self {
        let what = "text in quotes without control characters";
        Field::new(table, key, what, |node, _| Ok(read_prose(node)?))
    }
}

impl<'d, T: Clone + 'd> Field<'d, T> {
    pub(super) fn choice(table: &Table<'d>, key: &str, words: &[(&str, T)]) -> Self {
        let words: Vec<(String, T)> = words
            .iter()
            .map(|(word, meaning)| (word.to_string(), meaning.clone()))
            .collect();
        let list: Vec<String> = words
            .iter()
            .map(|(word, _)| format!("\"{word}\""))
            .collect();
        let what = list.join(", ");
        let allowed = what.clone();
        Field::new(table, key, what, move |node, _| {
            let text = read_text(node)?;
            if let Some((_, meaning)) = words.iter().find(|(word, _)| word == text) {
                return Ok(meaning.clone());
            }
            let mut refusal = Refusal::new(node, "not one of the words allowed here");
            if let Some(near) = nearest(text, words.iter().map(|(word, _)| word.as_str())) {
                refusal.allowed = Some(format!("{allowed}; did you mean \"{near}\"?"));
            }
            Err(refusal.into())
        })
    }
}

impl<'d> Field<'d, Vec<String>> {
    pub(super) fn texts(table: &Table<'d>, key: &str) -> Self {
        Field::new(table, key, "an array of texts in quotes", |node, limits| {
            read_items(node, limits, |item| Ok(read_line(item)?))
        })
    }
}

impl<'d> Field<'d, Vec<f64>> {
    pub(super) fn numbers(table: &Table<'d>, key: &str) -> Self {
        Field::new(table, key, "an array of numbers", |node, limits| {
            read_items(node, limits, |item| Ok(read_number(item, limits)?))
        })
    }
}

impl<'d, const N: usize> Field<'d, [f64; N]> {
    pub(super) fn tuple(table: &Table<'d>, key: &str) -> Self {
        let what = format!("an array of {N} numbers");
        Field::new(table, key, what, read_tuple)
    }
}

impl<'d, const N: usize> Field<'d, Vec<[f64; N]>> {
    pub(super) fn tuples(table: &Table<'d>, key: &str) -> Self {
        let what = format!("an array of arrays of {N} numbers");
        Field::new(table, key, what, |node, limits| {
            read_items(node, limits, |item| read_tuple(item, limits))
        })
    }
}

impl<'d> Field<'d, Table<'d>> {
    pub(super) fn table(table: &Table<'d>, key: &str) -> Self {
        let (within, name) = (table.clone(), key.to_string());
        Field::new(table, key, format!("a table [{key}]"), move |node, _| {
            within
                .inner(&name, None, node)
                .ok_or_else(|| Refusal::wrong_type(node).into())
        })
    }
}

impl<'d> Field<'d, Vec<Table<'d>>> {
    pub(super) fn tables(table: &Table<'d>, key: &str) -> Self {
        let (within, name) = (table.clone(), key.to_string());
        Field::new(
            table,
            key,
            format!("tables [[{key}]]"),
            move |node, limits| {
                // None is opened before all are known to be tables: nobody would ask those opened for their keys.
                read_items(node, limits, |item| match &item.value {
                    Value::Table(_) => Ok(()),
                    _ => Err(Refusal::wrong_type(item).into()),
                })?;
                let open = |(i, item)| within.inner(&name, Some(i), item);
                Ok(read_array(node)?
                    .iter()
                    .enumerate()
                    .filter_map(open)
                    .collect())
            },
        )
    }
}

#[cfg(test)]
mod tests {
    use super::super::Document;

    /// The problems of one file, each as one line, after `ask` has read it.
    fn told(text: &str, ask: impl Fn(&super::Table<'_>)) -> String {
        let document = Document::parse("f", text.as_bytes());
        ask(&document.root());
        match document.finish() {
            Ok(()) => String::new(),
            Err(problems) => problems.to_string(),
        }
    }

    #[test]
    fn no_number_that_is_not_finite_passes() {
        for bad in ["nan", "inf", "-inf", "1e999"] {
            let text = told(&format!("x = {bad}"), |root| {
                assert_eq!(root.number("x").at_least(0.0).required(), None);
            });
            assert!(text.starts_with("f:1:5: x: "), "{bad}: {text}");
        }
    }

    #[test]
    fn a_range_holds_its_ends_and_above_does_not() {
        let text = told("a = 90\nb = 0\nc = 0.0", |root| {
            assert_eq!(root.number("a").range(-90.0..=90.0).required(), Some(90.0));
            assert_eq!(root.number("b").above(0.0).required(), None);
            assert_eq!(root.number("c").at_least(0.0).required(), Some(0.0));
        });
        assert_eq!(
            text,
            "f:2:5: b: out of range: 0 (allowed: a number above 0)"
        );
    }

    #[test]
    fn arrays_name_the_item_that_is_wrong() {
        let text = told("p = [[1, 2], [3, 4, 5], [6, 7]]\nq = [1, \"x\"]", |root| {
            root.tuples::<2>("p").items(3).required();
            root.numbers("q").required();
        });
        assert!(
            text.contains("f:1:14: p[2]: 3 numbers instead of 2: [3, 4, 5]"),
            "{text}"
        );
        assert!(
            text.contains("f:2:9: q[2]: wrong type: text: \"x\""),
            "{text}"
        );
    }

    #[test]
    fn every_wrong_item_of_an_array_is_told() {
        let text = told(
            "q = [nan, -1, 0, 1e9]\np = [[1, nan], [2], [3, 4], [inf, -inf]]\nt = [1, {}, 2]",
            |root| {
                root.numbers("q").range(0.0..=10.0).required();
                root.tuples::<2>("p").required();
                root.tables("t");
            },
        );
        let places: Vec<&str> = text
            .lines()
            .map(|line| line.split(": ").next().unwrap())
            .collect();
        assert_eq!(
            places,
            [
                "f:1:6", "f:1:11", "f:1:18", "f:2:10", "f:2:16", "f:2:30", "f:2:35", "f:3:6",
                "f:3:13"
            ],
            "{text}"
        );
        assert!(text.contains("f:1:18: q[4]: out of range: 1e9"), "{text}");
    }

    #[test]
    fn a_count_with_a_fraction_is_refused_and_not_cut() {
        let text = told("a = 1.7\nb = 2.0\nc = 9", |root| {
            let count = |key| root.number(key).range(0.0..=6.0).whole().required();
            assert_eq!(
                (count("a"), count("b"), count("c")),
                (None, Some(2.0), None)
            );
        });
        assert_eq!(
            text,
            "f:1:5: a: not a whole number: 1.7 (allowed: a whole number from 0 to 6)\n\
             f:3:5: c: out of range: 9 (allowed: a whole number from 0 to 6)"
        );
    }

    #[test]
    fn control_characters_are_refused_in_names_and_replaced_where_they_are_shown() {
        let text = told(
            "n = \"a\\u001b[2Jb\"\nm = \"a\\nb\"\nl = \"a\\nb\"\n\"k\\u001b[31m\" = 1",
            |root| {
                assert_eq!(root.text("n").required(), None);
                assert_eq!(root.text("m").required(), None);
                assert_eq!(root.prose("l").required().as_deref(), Some("a\nb"));
            },
        );
        assert!(!text.contains('\x1b'), "{text:?}");
        assert!(
            text.starts_with("f:1:5: n: a control character: "),
            "{text}"
        );
        assert!(
            text.contains("f:2:5: m: more than one line, or a tab"),
            "{text}"
        );
        assert!(text.contains("f:4:1: k?[31m: unknown key"), "{text}");
    }

    #[test]
    fn a_wrong_word_is_told_the_words_and_the_nearest() {
        let text = told("s = \"overcats\"", |root| {
            root.choice("s", &[("clear", 1), ("overcast", 2)])
                .required();
        });
        assert!(
            text.contains("\"clear\", \"overcast\"; did you mean \"overcast\"?"),
            "{text}"
        );
    }

    #[test]
    fn text_may_be_made_into_something_or_refused_with_a_sentence() {
        let text = told("c = \"red\"\nd = \"12\"", |root| {
            let number = |s: String| s.parse::<i32>().map_err(|error| error.to_string());
            assert_eq!(root.text("d").map("digits", number).required(), Some(12));
            assert_eq!(root.text("c").map("digits", number).required(), None);
        });
        assert!(
            text.contains("f:1:5: c: invalid digit found in string: \"red\" (allowed: digits)"),
            "{text}"
        );
    }

    #[test]
    fn an_optional_key_of_the_wrong_type_is_still_a_problem() {
        let text = told("x = \"1\"\ny = true", |root| {
            assert_eq!(root.number("x").optional(), None);
            assert_eq!(root.number("y").default(4.0), 4.0);
            assert_eq!(root.number("z").default(5.0), 5.0);
        });
        assert_eq!(text.lines().count(), 2, "{text}");
    }
}
