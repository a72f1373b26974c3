//! Reads the reference tables of tests/reference. May not enter: what the numbers mean.

use serde::de::DeserializeOwned;

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
