//! What was drawn for a studio before, kept between questions: an eye depends neither on the minute nor on the lens.
//! May not enter: suns.

use super::Hold;
use super::field::Field;
use crate::grade::measure::eye::Eye;
use crate::grade::{Composed, Stand, Studio, Tally, WIDEST_GRADED_DEG};
use rayon::prelude::*;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock};

/// So much memory eyes may take, unless told otherwise: some 500 of them.
const ROOM_BYTES: usize = 512 << 20;
/// So many lenses are kept of every eye, and of geometry.
const LENSES: usize = 6;

/// What geometry says of every point: the stand, and its tally.
pub type Geometry = Arc<Vec<(Stand, Tally)>>;

/// Eyes of one studio. Whoever changes the studio (machine, surroundings, ground) takes new ones.
pub struct Eyes {
    room_bytes: usize,
    field: OnceLock<Field>,
    geometry: Mutex<Vec<(Hold, Geometry)>>,
    kept: Mutex<Kept>,
}

#[derive(Default)]
struct Kept {
    eyes: HashMap<(usize, u64), OneEye>,
    bytes: usize,
    /// Counts the questions.
    round: u64,
}

/// An eye as it was drawn; none where the machine spans too much.
struct OneEye {
    eye: Option<Arc<Eye>>,
    bytes: usize,
    /// The question that used it last.
    round: u64,
    /// With its lenses.
    composed: Vec<(Hold, Arc<Composed>)>,
}

impl Default for Eyes {
    fn default() -> Eyes {
        Eyes::with_room(ROOM_BYTES)
    }
}

impl Eyes {
    /// Nothing drawn yet; at most so many bytes are kept.
    pub fn with_room(room_bytes: usize) -> Eyes {
        Eyes {
            room_bytes,
            field: OnceLock::new(),
            geometry: Mutex::default(),
            kept: Mutex::default(),
        }
    }

    /// How many eyes are kept, and how many bytes they take.
    pub fn kept(&self) -> (usize, usize) {
        let kept = self.lock();
        (kept.eyes.len(), kept.bytes)
    }

    fn lock(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(|held| held.into_inner())
    }

    /// The allowed ground, laid out once.
    pub(super) fn field(&self, studio: &Studio) -> &Field {
        if let Some(field) = self.field.get() {
            return field;
        }
        // Not within the cell's own lock: the layout is spread over threads, which may ask for it too.
        let field = Field::of(studio);
        self.field.get_or_init(|| field)
    }

    /// What geometry says of every point of the field, computed once for each lens.
    pub(super) fn geometry(&self, studio: &Studio, hold: &Hold) -> Geometry {
        let lock = || {
            self.geometry
                .lock()
                .unwrap_or_else(|held| held.into_inner())
        };
        if let Some((_, known)) = lock().iter().find(|(of, _)| of == hold) {
            return known.clone();
        }
        let points = self.field(studio).points.par_iter();
        let tally = points.map(|point| {
            let stand = hold.stand(studio, point.at_m);
            (stand, studio.geometry_tally(&stand, &hold.capture))
        });
        let geometry: Geometry = Arc::new(tally.collect());
        let mut all = lock();
        all.truncate(LENSES - 1);
        all.insert(0, (*hold, geometry.clone()));
        geometry
    }

    /// Begins a question: what the last ones did not use gives way first.
    pub(super) fn begin(&self) {
        self.lock().round += 1;
    }

    /// The frames of some points, drawn where they were not before; in their order.
    pub(super) fn compose(
        &self,
        studio: &Studio,
        hold: &Hold,
        geometry: &Geometry,
        points: &[usize],
    ) -> Vec<Arc<Composed>> {
        let key = |point: usize| (point, hold.height_m.to_bits());
        let mut known: Vec<Option<Arc<Composed>>> = vec![None; points.len()];
        let mut eyes: Vec<Option<Option<Arc<Eye>>>> = vec![None; points.len()];
        {
            let mut kept = self.lock();
            let round = kept.round;
            for (n, point) in points.iter().enumerate() {
                let Some(one) = kept.eyes.get_mut(&key(*point)) else {
                    continue;
                };
                one.round = round;
                let composed = one.composed.iter().find(|(of, _)| of == hold);
                known[n] = composed.map(|(_, composed)| composed.clone());
                eyes[n] = Some(one.eye.clone());
            }
        }
        draw(studio, &mut eyes, |n| geometry[points[n]].0);
        let composed = (known.into_par_iter().zip(eyes.par_iter())).enumerate();
        let composed = composed.map(|(n, (known, eye))| {
            let compose = || {
                let eye = eye.clone().flatten();
                Arc::new(studio.compose_seen(eye, &geometry[points[n]].0, &hold.capture))
            };
            known.unwrap_or_else(compose)
        });
        let composed: Vec<Arc<Composed>> = composed.collect();
        let mut kept = self.lock();
        for (point, composed) in points.iter().zip(&composed) {
            kept.keep(key(*point), hold, composed, self.room_bytes);
        }
        composed
    }
}

/// Draws the eyes that are still missing, in one go.
fn draw(studio: &Studio, eyes: &mut [Option<Option<Arc<Eye>>>], stand: impl Fn(usize) -> Stand) {
    let width = studio.rulebook.search.width_px;
    let (stage, mut views, mut slots) = (&studio.stage, Vec::new(), Vec::new());
    for (n, eye) in eyes.iter_mut().enumerate().filter(|(_, eye)| eye.is_none()) {
        let at = studio.eye(&stand(n));
        match Eye::view(stage, at, width, WIDEST_GRADED_DEG) {
            Some(view) => {
                views.push(view);
                slots.push(Mutex::new(eye));
            }
            None => *eye = Some(None),
        }
    }
    let drawn = |i: usize, sighting: &mut _| {
        let eye = Eye::of(stage, views[i].clone(), std::mem::take(sighting));
        **slots[i].lock().unwrap_or_else(|held| held.into_inner()) = Some(Some(Arc::new(eye)));
    };
    studio
        .rasterizer
        .sight_each(stage, &views, Eye::AROUND, &drawn);
}

impl Kept {
    /// Keeps a frame with its eye, if there is room or what older questions left can make some.
    fn keep(&mut self, key: (usize, u64), hold: &Hold, composed: &Arc<Composed>, room: usize) {
        let round = self.round;
        if let Some(one) = self.eyes.get_mut(&key) {
            if !one.composed.iter().any(|(of, _)| of == hold) {
                one.composed.truncate(LENSES - 1);
                one.composed.insert(0, (*hold, composed.clone()));
            }
            return;
        }
        let bytes = composed.eye.as_deref().map_or(0, bytes);
        if self.bytes + bytes > room {
            self.eyes.retain(|_, one| one.round == round);
            self.bytes = self.eyes.values().map(|one| one.bytes).sum();
        }
        if self.bytes + bytes <= room {
            self.bytes += bytes;
            let one = OneEye {
                eye: composed.eye.clone(),
                bytes,
                round,
                composed: vec![(*hold, composed.clone())],
            };
            self.eyes.insert(key, one);
        }
    }
}

/// What an eye takes.
fn bytes(eye: &Eye) -> usize {
    let frame = |frame: &crate::sighting::frame::Frame| {
        std::mem::size_of_val(&frame.ids[..]) + std::mem::size_of_val(&frame.near[..])
    };
    frame(&eye.sighting.alone) + frame(&eye.sighting.all) + std::mem::size_of_val(&eye.samples[..])
}
