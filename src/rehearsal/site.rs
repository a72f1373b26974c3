//! What a rehearsal works on: the scene as its file has it, the rules, the models at hand and who draws.
//! May not enter: what is tried of it.

use super::models::Models;
use crate::grade::Rulebook;
use crate::scene::Scene;
use crate::sighting::rasterizer::Rasterizer;
use std::path::PathBuf;

/// What a rehearsal works on. Rules and rasterizer live as long as the program: background work outlives every
/// borrow.
pub struct Site {
    /// The scene's file.
    pub path: PathBuf,
    /// The scene as its file has it.
    pub base: Scene,
    /// Models that may be tried instead of its own.
    pub models: Models,
    /// The rules.
    pub rulebook: &'static Rulebook,
    /// Who draws what eyes and suns see.
    pub rasterizer: &'static dyn Rasterizer,
}
