//! The commands. May not enter: formulas, rules, drawing.

pub mod args;
pub mod check;
pub mod grade;
pub mod plan;
pub mod sheet_text;

use crate::card;
use crate::card::cautions::CAUTIONS;
use crate::card::extras::{CardExtras, FRAME_PX};
use crate::document::{Problems, render, write_whole};
use crate::grade::{Rulebook, Studio};
use crate::plan::answer::Answer;
use crate::scene::Scene;
use crate::sighting::rasterizer::Rasterizer;
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

/// The cautions that every plan carries.
fn cautions_text() -> String {
    let mut text = String::from("\nBefore you go:\n");
    for caution in CAUTIONS {
        text += &format!("  - {caution}\n");
    }
    text
}

/// Writes a card and its picture for each answer into a folder, which is made if it is missing.
fn write_cards<'a>(
    dir: &Path,
    scene: &Scene,
    rulebook: &Rulebook,
    rasterizer: &dyn Rasterizer,
    answers: impl Iterator<Item = &'a Answer>,
    say: &mut dyn FnMut(&str),
) -> Result<(), miette::Report> {
    std::fs::create_dir_all(dir).map_err(|e| miette!("{}: {e}", dir.display()))?;
    let mut studio: Option<Studio> = None;
    for (i, answer) in answers.enumerate() {
        if studio
            .as_ref()
            .is_none_or(|s| s.scene.machine.head_end != answer.head_end)
        {
            let turned = scene.with_head_end(answer.head_end);
            studio = Some(Studio::new(turned, rulebook, rasterizer, studio.as_ref()));
        }
        let Some(studio) = &studio else { continue };
        let extras = CardExtras::of(studio, answer, FRAME_PX);
        let stem = format!("card-{}", i + 1);
        let paths =
            card::write(dir, &stem, &studio.scene, answer, &extras).map_err(|e| miette!("{e}"))?;
        for path in paths {
            say(&format!("Wrote {}\n", path.display()));
        }
    }
    Ok(())
}
