//! The commands. May not enter: formulas, rules, drawing.

pub mod args;
pub mod check;
mod drawn_by;
pub mod export;
mod facings;
mod files;
mod frame_args;
pub mod grade;
pub mod lenses;
pub mod light;
pub mod plan;
mod sheet_text;
mod stand;
mod watching;

use crate::card;
use crate::card::cautions::CAUTIONS;
use crate::card::extras::{CardExtras, FRAME_PX};
use crate::document::{Problems, render, write_whole};
use crate::grade::{Rulebook, Stand, Studio};
use crate::picture::painter::Painter;
use crate::plan::answer::Answer;
use crate::scene::Scene;
use crate::scene::obstacles::Obstacles;
use crate::sighting::rasterizer::Rasterizer;
use miette::miette;
use rayon::prelude::*;
use std::io::{IsTerminal, Write};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

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

/// Says a command's text and writes its data. Data on standard output stand there alone, the text beside them.
fn tell(
    text: &str,
    json: Option<&Path>,
    data: impl Fn() -> serde_json::Value,
    say: &mut dyn FnMut(&str),
) -> Result<(), miette::Report> {
    match json {
        Some(path) if path == Path::new("-") => {
            write_json(path, &data(), say)?;
            note(text);
        }
        Some(path) => {
            say(text);
            write_json(path, &data(), say)?;
        }
        None => say(text),
    }
    Ok(())
}

/// A stand as data, the same for every command.
fn stand_data(scene: &Scene, obstacles: &Obstacles, stand: &Stand) -> serde_json::Value {
    serde_json::json!({
        "east_m": stand.spot_m.x,
        "north_m": stand.spot_m.y,
        "height_m": stand.height_m,
        "eye_over_rail_m": stand.height_m - scene.ground_below_rail_m(stand.spot_m),
        "lens_mm": stand.lens_mm,
        "heading_deg": stand.heading_deg,
        "pitch_deg": stand.pitch_deg,
        "roll_deg": stand.roll_deg,
        "allowed": scene.may_stand(obstacles, stand.spot_m).is_ok(),
    })
}

/// The cautions that every plan carries.
fn cautions_text() -> String {
    let mut text = String::from("\nBefore you go:\n");
    for caution in CAUTIONS {
        text += &format!("  - {caution}\n");
    }
    text
}

/// Writes a card and its picture for each answer into a folder; returns how many.
fn write_cards<'a>(
    dir: &Path,
    scene: &Scene,
    rulebook: &Rulebook,
    rasterizer: &dyn Rasterizer,
    painter: &Painter,
    answers: impl Iterator<Item = &'a Answer>,
    freeing: &[String],
    cancel: &AtomicBool,
    say: &mut dyn FnMut(&str),
) -> Result<usize, miette::Report> {
    let answers: Vec<&Answer> = answers.collect();
    let mut studios: Vec<Studio> = Vec::new();
    for answer in &answers {
        let head_end = answer.head_end;
        if studios
            .iter()
            .all(|studio| studio.scene.machine.head_end != head_end)
        {
            let turned = scene.with_head_end(head_end);
            studios.push(Studio::new(turned, rulebook, rasterizer, studios.first()));
        }
    }
    // Pictures side by side: one alone keeps one core busy.
    let drawn: Vec<Option<(&Studio, CardExtras)>> = (answers.par_iter())
        .map(|answer| {
            let faces = |studio: &&Studio| studio.scene.machine.head_end == answer.head_end;
            let studio = studios.iter().find(faces)?;
            let mut extras = CardExtras::of(studio, painter, answer, FRAME_PX);
            extras.freeing = freeing.to_vec();
            (!cancel.load(Ordering::Relaxed)).then_some((studio, extras))
        })
        .collect();
    let mut written = 0;
    for (answer, drawn) in answers.iter().zip(drawn) {
        let Some((studio, extras)) = drawn.filter(|_| !cancel.load(Ordering::Relaxed)) else {
            return Err(miette!("stopped; {written} cards were written"));
        };
        written += 1;
        drawn_by::tell_flaw(extras.flaw.as_deref());
        let paths = card::write(dir, written, &studio.scene, answer, &extras)
            .map_err(|e| miette!("{e}"))?;
        for path in paths {
            say(&format!("Wrote {}\n", path.display()));
        }
    }
    Ok(written)
}
