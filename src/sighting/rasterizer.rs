//! The seam behind which frames are drawn: one trait, so that the processor and the GPU can both serve.
//! May not enter: how either does it.

use super::frame::{Counts, Sighting};
use super::stage::Stage;
use super::view::View;

/// What is drawn into [`Sighting::all`] beside the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Around {
    /// Nothing: `all` is emptied.
    Nothing,
    /// What can stop sunlight or hide the machine.
    Casters,
    /// Casters, ground and tracks.
    Everything,
}

/// Draws views of a stage.
pub trait Rasterizer: Sync {
    /// Draws one view into `sighting`, whose memory is reused.
    fn sight(&self, stage: &Stage, view: &View, around: Around, sighting: &mut Sighting);

    /// Draws many views; each is handed to `fold` with its index, in any order, from any thread. `fold` may
    /// take the sighting for its own: the next view then gets a new one.
    fn sight_each(
        &self,
        stage: &Stage,
        views: &[View],
        around: Around,
        fold: &(dyn Fn(usize, &mut Sighting) + Sync),
    );

    /// Draws many views of which only the pixels of each patch are asked for, handed on like sightings.
    fn count_each(
        &self,
        stage: &Stage,
        views: &[View],
        around: Around,
        fold: &(dyn Fn(usize, &Counts) + Sync),
    ) {
        let patches = stage.patches.len();
        self.sight_each(stage, views, around, &|i, sighting| {
            fold(i, &Counts::of(sighting, patches));
        });
    }

    /// How many views have been drawn so far: what tests count instead of seconds.
    fn views_drawn(&self) -> usize;
}
