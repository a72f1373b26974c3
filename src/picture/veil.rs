//! Woven wire on the plain picture: drawn as the share of each pixel that its wires cover, since a hash of
//! pixels, which counts right, looks like noise. May not enter: other partly transparent things.

use super::finish::Place;
use super::surface::Seen;
use crate::scene::coat::Finish;
use crate::sighting::frame::Id;
use crate::sighting::stage::Stage;
use glam::DVec3;

/// Denser weaves are hashed like leaves: what they shade matters.
const SHEER: f64 = 0.35;

/// A stage without its sheer meshes, and the same with them solid; none if it has no mesh.
pub fn parted(stage: &Stage) -> Option<[Stage; 2]> {
    let is_sheer = |k: usize| opacity(stage, Id::object(k)).is_some();
    if !(0..stage.objects.len()).any(is_sheer) {
        return None;
    }
    Some([0.0, 1.0].map(|opacity| {
        let mut stage = stage.clone();
        for k in (0..stage.objects.len()).filter(|k| is_sheer(*k)) {
            stage.objects[k].opacity = opacity;
        }
        stage
    }))
}

/// The opacity of a sheer mesh; none of anything else.
pub fn opacity(stage: &Stage, id: Id) -> Option<f64> {
    let object = &stage.objects[id.as_object()?];
    let is_woven = object.coats.iter().all(|coat| coat.finish == Finish::Mesh);
    (is_woven && !object.coats.is_empty() && object.opacity <= SHEER).then_some(object.opacity)
}

/// The share of a pixel that the mesh covers there.
pub fn share(stage: &Stage, seen: &Seen, direction: DVec3, footprint_m: f64) -> Option<f64> {
    let opacity = opacity(stage, seen.id)?;
    Some(Place::on(seen.point, seen.normal, direction, footprint_m).weave(opacity))
}
