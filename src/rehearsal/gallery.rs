//! The sites that can be opened at once: those that ship, and those opened before. Each is read and its own frame painted
//! beside the window. May not enter: how they are laid out.

use super::bench::Waker;
use super::opening;
use crate::document::render;
use crate::gpu::choice::Choice;
use crate::grade::{Rulebook, Verdict};
use crate::picture::painter::Painter;
use crate::picture::png::Picture;
use crate::report::frame::Frame;
use crate::sighting::rasterizer::Rasterizer;
use chrono::{DateTime, Utc};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};

/// Pixels across of a site's frame.
const FRAME_PX: u32 = 420;

/// What is told of a site.
pub struct Site {
    /// Its file.
    pub path: PathBuf,
    /// What it is, or why it cannot be read.
    pub shown: Result<Shown, String>,
}

/// A site as the start page shows it.
#[derive(Clone)]
pub struct Shown {
    /// Its name.
    pub name: String,
    /// What is there.
    pub note: String,
    /// Its own frame.
    pub picture: Arc<Picture>,
    /// What becomes of that frame.
    pub verdict: Verdict,
    /// Its score.
    pub score: f64,
    /// Its minute, in civil time.
    pub when: String,
}

/// Scene files of the folder `scenes` where the program was started, beside the program, or above it; in the order of
/// their names.
pub fn shipped() -> Vec<PathBuf> {
    let program = std::env::current_exe().ok();
    let above = program
        .iter()
        .flat_map(|program| program.ancestors().skip(1));
    let folders = std::iter::once(Path::new("")).chain(above);
    let found = folders
        .map(|folder| scenes_in(&folder.join("scenes")))
        .find(|scenes| !scenes.is_empty());
    found.unwrap_or_default()
}

fn scenes_in(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return vec![];
    };
    let files = entries.flatten().map(|entry| entry.path());
    let mut scenes: Vec<PathBuf> = files
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    scenes.sort();
    scenes
}

/// Reads sites one after another, and tells of each as soon as it is painted.
pub fn gallery(
    paths: Vec<PathBuf>,
    rulebook: &'static Rulebook,
    rasterizer: &'static dyn Rasterizer,
    today: DateTime<Utc>,
    waker: Waker,
) -> Receiver<Site> {
    let (sender, receiver) = channel();
    std::thread::spawn(move || {
        // Without an adapter the processor paints.
        let Ok(painter) = Painter::open(Choice::Auto) else {
            return;
        };
        for path in paths {
            let shown = shown(&path, rulebook, rasterizer, &painter, today);
            // The page may have been left meanwhile.
            if sender.send(Site { path, shown }).is_err() {
                return;
            }
            waker();
        }
    });
    receiver
}

fn shown(
    path: &Path,
    rulebook: &'static Rulebook,
    rasterizer: &'static dyn Rasterizer,
    painter: &Painter,
    today: DateTime<Utc>,
) -> Result<Shown, String> {
    let opened = opening::open(path, rulebook, rasterizer, today);
    let opened = opened.map_err(|problems| render(&problems, false))?;
    let take = &opened.take;
    let frame = Frame::of(&opened.room, take.stand, take.capture(), take.at);
    let scene = &opened.site.base;
    let local = scene.place.zone.local(take.at).naive;
    Ok(Shown {
        name: scene.name.clone(),
        note: scene.note.clone(),
        picture: frame.picture(painter, FRAME_PX).picture.into(),
        verdict: frame.graded.sheet.verdict,
        score: frame.graded.sheet.score,
        when: local.format("%-d %b %Y, %H:%M").to_string(),
    })
}
