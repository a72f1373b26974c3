//! `sunside check`: every problem of scenes, models and rulebooks, located. May not enter: reading
//! itself (each room reads its own files).

use crate::document::{Document, FileKind, Problem, Problems, render};
use crate::grade::Rulebook;
use crate::mesh::sidecar;
use crate::scene::Scene;
use crate::scene::machine::HeadEnd;
use crate::units::compass_word;
use std::path::{Path, PathBuf};

/// Exit status when every file is sound.
pub const SOUND: u8 = 0;
/// Exit status when any file has a problem.
pub const BROKEN: u8 = 2;

/// Checks files one after the other; `say` gets what is printed. Returns the exit status.
pub fn run(files: &[PathBuf], color: bool, say: &mut dyn FnMut(&str)) -> u8 {
    let mut problems_in_all = 0;
    for file in files {
        match check(file) {
            Ok(sentence) => say(&format!("{}: {sentence}\n", file.display())),
            Err(problems) => {
                problems_in_all += problems.len();
                say(&render(&problems, color));
            }
        }
    }
    if problems_in_all == 0 {
        return SOUND;
    }
    say(&format!(
        "{} in {}\n",
        count(problems_in_all, "problem", "problems"),
        count(files.len(), "file", "files")
    ));
    BROKEN
}

/// A number with the word for one or for more.
fn count(number: usize, one: &str, more: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { more })
}

/// One sentence on a sound file, or every problem of it.
fn check(path: &Path) -> Result<String, Problems> {
    let document = Document::open(path)?;
    match FileKind::of(&document) {
        Some(FileKind::Scene) => Scene::read(document, path).map(|scene| describe_scene(&scene)),
        Some(FileKind::Model) => sidecar::read(document, path).map(|model| {
            let closed = if model.closed {
                "closed, windings outward"
            } else {
                "note: not closed or not wound outward, so nothing is left undrawn by its facing"
            };
            format!(
                "a sound model, {}: {} triangles in {} parts, gauge {} m; {closed}",
                model.name,
                model.triangles.len(),
                model.parts.len(),
                model.gauge_m
            )
        }),
        Some(FileKind::Rulebook) => Rulebook::from_document(document).map(|book| {
            format!(
                "a sound rulebook, {}: {} rules",
                book.name,
                book.rules().count()
            )
        }),
        None => Err(unknown_kind(document)),
    }
}

fn describe_scene(scene: &Scene) -> String {
    let nose_deg = scene.machine.forward_bearing_deg();
    let facing = match scene.machine.head_end {
        HeadEnd::Unknown => "which end leads unknown".to_string(),
        _ => format!(
            "head end to the {} ({nose_deg:.0}°)",
            compass_word(nose_deg)
        ),
    };
    format!(
        "a sound scene, {}: {} on {}, {}, {}, {}",
        scene.name,
        scene.machine.model.name,
        scene.tracks[scene.machine.track].name,
        facing,
        count(scene.surroundings.len(), "object", "objects"),
        count(
            scene.ground.areas.len(),
            "piece of ground",
            "pieces of ground"
        )
    )
}

/// The problems of the text itself, or that nobody can tell what the file is.
fn unknown_kind(document: Document) -> Problems {
    if document.is_sound() {
        let allowed = "a scene ([scene], [place], …), a model ([model], [[part]], …) or a rulebook";
        let message = "neither scene nor model nor rulebook";
        document.push(Problem::at(document.source(), 0..0, "", message, allowed));
    }
    // The keys themselves are not judged: what is allowed depends on the kind.
    document.into_problems()
}
