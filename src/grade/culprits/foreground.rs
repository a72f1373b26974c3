//! What stands before the machine and whoever stands about, counted in the camera's own frame. May not enter: suns,
//! the outline.

use super::{Culprits, MarkRole, Scene};
use crate::sighting::frame::Sighting;
use crate::sighting::silhouette::hider;
use glam::DVec2;
use std::collections::BTreeSet;

impl Scene<'_> {
    pub(super) fn hidden(&self, out: &mut Culprits) {
        let own = self.own();
        out.label = self.detail();
        // Somebody inside a thing sees nothing of the machine: it hides all that would be seen.
        let site = self.studio.frame.to_site(self.camera.pose.eye);
        let inside = self.studio.obstacles.at(site).is_some();
        out.mask.blame(|pixel| {
            let hidden = match inside {
                true => own.sighting.alone.ids[pixel].as_patch().is_some(),
                false => hider(&own.sighting, pixel).is_some(),
            };
            f64::from(u8::from(hidden))
        });
        out.nothing = Some("nothing stands before the machine".into());
    }

    pub(super) fn worst_hidden_part(&self, out: &mut Culprits) {
        let Some(found) = self.found() else { return };
        let own = self.own();
        let parts: BTreeSet<usize> = found.hidden.worst_parts.iter().copied().collect();
        let patches = &self.studio.stage.patches;
        let (width, height) = (out.mask.width as f64, out.mask.height as f64);
        let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        for (pixel, id) in own.sighting.alone.ids.iter().enumerate() {
            let Some(patch) = id.as_patch() else { continue };
            if !parts.contains(&(patches.part[patch] as usize)) {
                continue;
            }
            let (column, row) = (pixel % out.mask.width, pixel / out.mask.width);
            let at = DVec2::new(column as f64, row as f64);
            (low, high) = (low.min(at), high.max(at + DVec2::ONE));
            if hider(&own.sighting, pixel).is_some() {
                out.mask.set(pixel, 1.0);
            }
        }
        out.nothing = Some("nothing stands before the machine".into());
        if out.mask.is_empty() {
            return;
        }
        let (low, high) = (
            low / DVec2::new(width, height),
            high / DVec2::new(width, height),
        );
        let corners = [
            [low.x, low.y],
            [high.x, low.y],
            [high.x, high.y],
            [low.x, high.y],
        ];
        out.label = self.detail();
        out.area(MarkRole::Guide, corners.to_vec(), None);
    }

    /// Blames every pixel that shows one of these objects.
    pub(super) fn objects(&self, out: &mut Culprits, own: &Sighting, which: &BTreeSet<usize>) {
        out.mask.blame(|pixel| {
            let object = own.all.ids[pixel].as_object();
            f64::from(u8::from(object.is_some_and(|k| which.contains(&k))))
        });
    }

    pub(super) fn people(&self, out: &mut Culprits) {
        let Some(found) = self.found() else { return };
        out.nothing = Some("nobody is in the frame".into());
        if self.value() == Some(0.0) {
            return;
        }
        self.objects(out, &self.own().sighting, &found.people);
        out.label = self.detail();
        if out.mask.is_empty() {
            out.nothing = Some("whoever is in the frame is covered from here".into());
        }
    }
}
