//! What of a site is cut or sent away before the picture is taken. May not enter: whether that helps.

use super::Scene;
use super::coat::{Coat, Finish};
use super::surroundings::{Kind, Object};

/// A bush no higher than this is trodden down or cut with what a photographer carries (common practice, from memory).
const LOW_BUSH_M: f64 = 0.8;

/// What is cleared.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cleared {
    /// Weeds and low bushes are cut.
    pub weeds: bool,
    /// Nobody stands about.
    pub people: bool,
}

impl Cleared {
    /// Whether it takes something away.
    fn takes(self, object: &Object) -> bool {
        (self.weeds && is_weeds(object)) || (self.people && object.kind == Kind::Person)
    }
}

/// Weeds, and bushes low enough to be dealt with like them.
pub fn is_weeds(object: &Object) -> bool {
    if object.kind != Kind::Bush {
        return false;
    }
    let heights = (object.solids.iter()).flat_map(|solid| solid.convex().corners);
    let [least_m, most_m] = heights.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], corner| {
        [a.min(corner.z), b.max(corner.z)]
    });
    let is_weed = |coat: &Coat| coat.finish == Finish::Weeds;
    object.coats.iter().any(is_weed) || most_m - least_m <= LOW_BUSH_M
}

impl Scene {
    /// The same site with this cleared and nothing else: what was cleared before stands there again.
    pub fn with_cleared(&self, cleared: Cleared) -> Scene {
        let mut scene = self.clone();
        if cleared != self.cleared {
            scene.cleared = cleared;
            scene.set_aside();
        }
        scene
    }

    /// Sets aside what is cleared, and puts back what is not.
    pub(super) fn set_aside(&mut self) {
        let mut all = std::mem::take(&mut self.surroundings);
        all.append(&mut self.aside);
        let cleared = self.cleared;
        (self.aside, self.surroundings) = all.into_iter().partition(|object| cleared.takes(object));
    }
}
