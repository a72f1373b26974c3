//! Reads the reference tables of tests/reference. May not enter: what the numbers mean.

use chrono::{DateTime, Utc};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::HashMap;

/// Every row of a table, by the names of its columns.
pub fn rows<Row: DeserializeOwned>(name: &str) -> Vec<Row> {
    let path = format!("{}/tests/reference/{name}.csv", env!("CARGO_MANIFEST_DIR"));
    csv::Reader::from_path(&path)
        .and_then(|mut reader| reader.deserialize().collect())
        .unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// Asserts that two numbers agree to a relative tolerance; two infinities of a sign agree.
#[track_caller]
pub fn assert_relative(found: f64, expected: f64, tolerance: f64) {
    let agree = found == expected || ((found - expected) / expected).abs() <= tolerance;
    assert!(agree, "found {found}, expected {expected}");
}

/// A row of a wide table, of which a test wants a few columns.
#[derive(Deserialize)]
pub struct Named(HashMap<String, String>);

impl Named {
    /// A column as it is written.
    pub fn text(&self, column: &str) -> &str {
        self.0
            .get(column)
            .unwrap_or_else(|| panic!("no column {column}"))
    }

    /// A column as a number.
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse()
            .unwrap_or_else(|_| panic!("{column} holds {text:?}"))
    }

    /// A column as an instant; none where it is empty.
    pub fn instant(&self, column: &str) -> Option<DateTime<Utc>> {
        let text = self.text(column);
        let read = || {
            text.parse()
                .unwrap_or_else(|_| panic!("{column} holds {text:?}"))
        };
        (!text.is_empty()).then(read)
    }
}
