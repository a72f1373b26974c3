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

/// The mark by which a page is known as a card's.
pub const MARK: &str = "<meta name=\"generator\" content=\"Sunside card\"/>";

/// The page and the picture of one card of a folder, counted from 1.
pub fn paths(dir: &Path, number: usize) -> [PathBuf; 2] {
    ["html", "png"].map(|kind| dir.join(format!("card-{number}.{kind}")))
}

/// Writes a card's page and picture, each whole or not at all. Returns both paths.
pub fn write(
    dir: &Path,
    number: usize,
    scene: &Scene,
    answer: &Answer,
    extras: &CardExtras,
) -> io::Result<[PathBuf; 2]> {
    let [page, picture] = paths(dir, number);
    write_whole(&page, html(scene, answer, extras).as_bytes())?;
    write_whole(&picture, &extras.frame_png)?;
    Ok([page, picture])
}
