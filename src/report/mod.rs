//! What was found, as text, as data and as files: the window and the command line say the same of the same frame.
//! May not enter: arguments, screens, measuring.

pub mod cards; // cards for the field, into a folder
pub mod frame; // one graded frame: text, data, picture
pub mod judged; // photographs judged: text, data, table, outline
pub mod lenses; // lenses compared: table, data, slides on one sheet
pub mod plan; // a plan as data
pub mod plan_text; // the same as text
pub mod sheet; // findings as lines
pub mod slack; // how much an answer bears: text, data, lines
pub mod stand; // where the camera stands: a line, data, why nobody may
pub mod ways; // both ways that a machine may face
pub mod year; // the whole year: text, data, picture

use crate::document::write_whole;
use serde_json::Value;
use std::io;
use std::path::Path;

/// Data as the text of a JSON file.
pub fn json_text(data: &Value) -> String {
    // A value is always told: its keys are texts.
    format!("{data:#}\n")
}

/// Writes data into a JSON file, whole or not at all.
///
/// # Errors
/// Of the kind that the system gave, its text naming the path and the cause.
pub fn write_json(path: &Path, data: &Value) -> io::Result<()> {
    write_whole(path, json_text(data).as_bytes())
}
