//! The commands. May not enter: formulas, rules, drawing.

pub mod args;
pub mod check;
mod drawn_by;
pub mod export;
mod files;
mod frame_args;
pub mod grade;
pub mod judge;
mod judge_args;
pub mod lenses;
pub mod light;
pub mod plan;
pub mod practise;
pub mod rehearse;
mod slack_args;
mod stand;
mod timings;
mod watching;
pub mod year;

use crate::document::{Problems, render};
use crate::grade::Rulebook;
use crate::report::{json_text, write_json};
use crate::scene::Scene;
use miette::miette;
use std::io::{IsTerminal, Write};
use std::path::Path;

/// Whether messages may carry colour.
pub fn color() -> bool {
    std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none()
}

/// Says something on standard error. Where nobody listens, or its disk is full, the work goes on all the same
/// (`eprint!` would panic).
pub fn note(text: &str) {
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}

/// Problems as one report, already laid out.
fn told(problems: Problems) -> miette::Report {
    miette!("{}", render(&problems, color()).trim_end())
}

fn load_scene(path: &Path) -> Result<Scene, miette::Report> {
    Scene::load(path).map_err(told)
}

/// A rulebook by its file, or by the name of one that is built in where no such file is there.
fn load_rulebook(path: Option<&Path>) -> Result<Rulebook, miette::Report> {
    match path {
        None => Ok(Rulebook::roster()),
        Some(path) if path.exists() => Rulebook::load(path).map_err(told),
        Some(path) if path == Path::new("roster") => Ok(Rulebook::roster()),
        Some(path) if path == Path::new("record") => Ok(Rulebook::record()),
        Some(path) => Rulebook::load(path).map_err(told),
    }
}

/// Says a command's text and writes its data. Data on standard output stand there alone, the text beside them.
fn tell(
    text: &str,
    json: Option<&Path>,
    data: impl Fn() -> serde_json::Value,
    say: &mut dyn FnMut(&str),
) -> Result<(), miette::Report> {
    match json {
        Some(path) if path == Path::new("-") => {
            say(&json_text(&data()));
            note(text);
        }
        Some(path) => {
            say(text);
            write_json(path, &data()).map_err(|e| miette!("{e}"))?;
        }
        None => say(text),
    }
    Ok(())
}
