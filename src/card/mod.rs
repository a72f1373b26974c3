//! The card for the field: one sheet that says where to stand, with which lens, from when to when, what the
//! frame will look like and what is wrong with it. May not enter: searching, measuring.

pub mod cautions; // in the project's own words
pub mod extras; // picture, drawings and numbers beside the answer
pub mod findable; // what a spot is measured from
pub mod page; // the sheet as one HTML page
mod sections; // the sheet's tables and lists
mod style; // its look on paper

use crate::document::write_whole;
use crate::plan::answer::Answer;
use crate::scene::Scene;
pub use extras::CardExtras;
pub use page::html;
use std::io;
use std::path::{Path, PathBuf};

/// Writes `stem.html` and the frame beside it, `stem.png`, each whole or not at all. Returns both paths.
pub fn write(
    dir: &Path,
    stem: &str,
    scene: &Scene,
    answer: &Answer,
    extras: &CardExtras,
) -> io::Result<[PathBuf; 2]> {
    let paths = ["html", "png"].map(|kind| dir.join(format!("{stem}.{kind}")));
    write_whole(&paths[1], &extras.frame_png)?;
    write_whole(&paths[0], html(scene, answer, extras).as_bytes())?;
    Ok(paths)
}
