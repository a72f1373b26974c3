//! Cards for the field, one for each answer, into a folder. May not enter: what stands on a card (see `card`).

use crate::card;
use crate::card::extras::{CardExtras, FRAME_PX};
use crate::grade::{Rulebook, Studio};
use crate::picture::painter::Painter;
use crate::plan::answer::Answer;
use crate::scene::Scene;
use crate::sighting::rasterizer::Rasterizer;
use rayon::prelude::*;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use thiserror::Error;

/// What cards are drawn of, by which rules, and by whom.
pub struct Drawn<'a> {
    /// The scene; each answer says which end of its machine leads.
    pub scene: &'a Scene,
    /// The rules.
    pub rulebook: &'a Rulebook,
    /// Who measures.
    pub rasterizer: &'a dyn Rasterizer,
    /// Who paints.
    pub painter: &'a Painter,
}

/// One card that was written.
#[derive(Clone, Debug)]
pub struct Written {
    /// Its page and its picture.
    pub paths: [PathBuf; 2],
    /// What did not go as asked with its picture, in a sentence.
    pub flaw: Option<String>,
}

/// Why not all cards were written.
#[derive(Debug, Error)]
pub enum Unwritten {
    /// Somebody stopped it.
    #[error("stopped; {0} cards were written")]
    Stopped(usize),
    /// A file could not be written.
    #[error(transparent)]
    File(#[from] io::Error),
}

impl Drawn<'_> {
    /// Writes a card and its picture for each answer into a folder, and tells of each; returns how many. `freeing` is
    /// what would free a better frame, in sentences.
    ///
    /// # Errors
    /// Stopped by `cancel`, or a file that cannot be written; cards written before stay.
    pub fn write<'a>(
        &self,
        dir: &Path,
        answers: impl Iterator<Item = &'a Answer>,
        freeing: &[String],
        cancel: &AtomicBool,
        told: &mut dyn FnMut(&Written),
    ) -> Result<usize, Unwritten> {
        let answers: Vec<&Answer> = answers.collect();
        let studios = self.studios(&answers);
        // Pictures side by side: one alone keeps one core busy.
        let drawn: Vec<Option<(&Studio, CardExtras)>> = (answers.par_iter())
            .map(|answer| {
                let faces = |studio: &&Studio| studio.scene.machine.head_end == answer.head_end;
                let studio = studios.iter().find(faces)?;
                let mut extras = CardExtras::of(studio, self.painter, answer, FRAME_PX);
                extras.freeing = freeing.to_vec();
                (!cancel.load(Ordering::Relaxed)).then_some((studio, extras))
            })
            .collect();
        let mut written = 0;
        for (answer, drawn) in answers.iter().zip(drawn) {
            let Some((studio, extras)) = drawn.filter(|_| !cancel.load(Ordering::Relaxed)) else {
                return Err(Unwritten::Stopped(written));
            };
            written += 1;
            let paths = card::write(dir, written, &studio.scene, answer, &extras)?;
            let flaw = extras.flaw;
            told(&Written { paths, flaw });
        }
        Ok(written)
    }

    /// A studio for each way that an answer has the machine face.
    fn studios(&self, answers: &[&Answer]) -> Vec<Studio<'_>> {
        let mut studios: Vec<Studio> = Vec::new();
        for answer in answers {
            let head_end = answer.head_end;
            let known = |studio: &Studio| studio.scene.machine.head_end == head_end;
            if !studios.iter().any(known) {
                let turned = self.scene.with_head_end(head_end);
                let kin = studios.first();
                studios.push(Studio::new(turned, self.rulebook, self.rasterizer, kin));
            }
        }
        studios
    }
}
