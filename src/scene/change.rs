//! The same site with the machine standing otherwise. May not enter: why anybody wants that.

use super::Scene;
use super::machine::{HeadEnd, Machine};
use super::standing::Misfit;

impl Scene {
    /// The same site with the machine changed; what is coupled to it follows, and its centre follows its chainage.
    /// Whether it fits its track is for [`Misfit::of`] and [`Scene::run_into`] to say.
    pub fn with_machine(&self, change: impl FnOnce(&mut Machine)) -> Scene {
        let mut scene = self.clone();
        change(&mut scene.machine);
        scene.place_machine();
        scene
    }

    /// The same site with the machine facing this way; what is coupled to it changes places with it.
    pub fn with_head_end(&self, head_end: HeadEnd) -> Scene {
        self.with_machine(|machine| machine.head_end = head_end)
    }

    /// The same site with the machine's centre at another place of its track; none if it would not stand
    /// wholly on it.
    pub fn with_chainage(&self, chainage_m: f64) -> Option<Scene> {
        let track = &self.tracks[self.machine.track];
        let fits = Misfit::of(&self.machine.model, track, chainage_m).is_none();
        fits.then(|| self.with_machine(|machine| machine.chainage_m = chainage_m))
    }

    /// The same site with nothing coupled to the machine.
    pub fn uncoupled(&self) -> Scene {
        self.with_machine(|machine| machine.couple(None, None))
    }

    /// Sets the machine's centre and bearing from track and chainage, and what is coupled beyond its ends.
    pub(super) fn place_machine(&mut self) {
        let track = &self.tracks[self.machine.track];
        let at = track.point_at(self.machine.chainage_m);
        self.machine.centre_m = at.position_m;
        self.machine.track_bearing_deg = at.bearing_deg;
        self.surroundings
            .retain(|object| object.coupled_front.is_none());
        self.surroundings
            .extend(self.machine.coupled_objects(track));
    }
}
