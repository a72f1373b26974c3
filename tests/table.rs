//! Reads reference tables: a CSV's rows as named columns. May not enter: what is checked.

use chrono::{DateTime, Utc};
use std::collections::HashMap;
use std::path::Path;

/// One row, by column name.
pub struct Row(HashMap<String, String>);

impl Row {
    /// A column as it is written.
    pub fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    /// A column as a number.
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column} holds {text:?}"))
    }

    /// A column as an instant; none where it is empty.
    pub fn instant(&self, column: &str) -> Option<DateTime<Utc>> {
        let text = self.text(column);
        (!text.is_empty()).then(|| text.parse().unwrap_or_else(|_| panic!("{column} holds {text:?}")))
    }
}

/// All rows of `tests/reference/NAME`; there is at least one.
pub fn rows(name: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name);
    let mut reader = csv::Reader::from_path(&path).expect("the table is there");
    let header = reader.headers().expect("it has a header").clone();
    let rows: Vec<Row> = reader
        .records()
        .map(|record| {
            let record = record.expect("every row is whole");
            Row(header.iter().map(str::to_owned).zip(record.iter().map(str::to_owned)).collect())
        })
        .collect();
    assert!(!rows.is_empty(), "{name} is empty");
    rows
}
