//! The commands. May not enter: formulas, rules, drawing.

pub mod args;
pub mod check;
pub mod grade;
pub mod plan;
pub mod sheet_text;

use crate::document::{Problems, render, write_whole};
use crate::grade::{Minute, Rulebook, Stand, Studio};
use crate::scene::Scene;
use miette::miette;
use std::io::IsTerminal;
use std::path::Path;

/// Whether messages may carry colour.
pub fn color() -> bool {
    std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none()
}

/// Problems as one report, already laid out.
fn told(problems: Problems) -> miette::Report {
    miette!("{}", render(&problems, color()).trim_end())
}

fn load_scene(path: &Path) -> Result<Scene, miette::Report> {
    Scene::load(path).map_err(told)
}

fn load_rulebook(path: Option<&Path>) -> Result<Rulebook, miette::Report> {
    path.map_or_else(
        || Ok(Rulebook::roster()),
        |path| Rulebook::load(path).map_err(told),
    )
}

/// Writes data to a file, or to standard output for "-".
fn write_json(
    path: &Path,
    data: &serde_json::Value,
    say: &mut dyn FnMut(&str),
) -> Result<(), miette::Report> {
    let mut text = serde_json::to_string_pretty(data).map_err(|e| miette!("{e}"))?;
    text.push('\n');
    if path == Path::new("-") {
        say(&text);
        return Ok(());
    }
    write_whole(path, text.as_bytes()).map_err(|e| miette!("{e}"))
}

/// The predicted frame as PNG.
fn picture(
    _studio: &Studio,
    _stand: &Stand,
    _minute: &Minute,
    _width: usize,
) -> Result<Vec<u8>, miette::Report> {
    Err(miette!("pictures are being built"))
}

/// The cautions that every plan carries.
fn cautions_text() -> String {
    String::new()
}

/// Writes a card for each answer.
fn write_cards<'a>(
    _dir: &Path,
    _scene: &Scene,
    _rulebook: &Rulebook,
    _rasterizer: &dyn crate::sighting::rasterizer::Rasterizer,
    _answers: impl Iterator<Item = &'a crate::plan::answer::Answer>,
    _say: &mut dyn FnMut(&str),
) -> Result<(), miette::Report> {
    Err(miette!("cards are being built"))
}
