//! What was drawn for a studio before, kept between questions: an eye depends neither on the minute nor on the lens.
//! May not enter: suns.

use super::Hold;
use super::field::Field;
use crate::grade::measure::eye::Eye;
use crate::grade::{Composed, Stand, Studio, Tally, WIDEST_GRADED_DEG};
use crate::sighting::frame::{Frame, Sighting};
use rayon::prelude::*;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock};

/// So much memory eyes may take, unless told otherwise: some 130 whole ones and 400 for any sun.
const ROOM_BYTES: usize = 384 << 20;
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

/// An eye with its lenses.
struct OneEye {
    composed: Vec<(Hold, Arc<Composed>)>,
    bytes: usize,
    /// The question that used it last.
    round: u64,
}

/// What must still be done for a point.
#[derive(Clone)]
enum Known {
    /// Everything.
    Nothing,
    /// Another lens; no eye where the machine spans too much to be drawn.
    Eye(Option<Arc<Eye>>),
    /// Nothing.
    All(Arc<Composed>),
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
        let mut known = vec![Known::Nothing; points.len()];
        let lean = {
            let mut kept = self.lock();
            for (known, point) in known.iter_mut().zip(points) {
                *known = kept.known(key(*point), hold);
            }
            kept.bytes > self.room_bytes / 2
        };
        draw(studio, &mut known, |n| geometry[points[n]].0);
        let compose = |(n, known): (usize, Known)| match known {
            Known::All(composed) => composed,
            Known::Eye(eye) => {
                let stand = &geometry[points[n]].0;
                let mut composed = studio.compose_seen(eye.clone(), stand, &hold.capture);
                if lean {
                    composed.eye = None;
                    composed.eye = eye.map(leaner);
                }
                Arc::new(composed)
            }
            Known::Nothing => {
                Arc::new(studio.compose_seen(None, &geometry[points[n]].0, &hold.capture))
            }
        };
        let composed: Vec<Arc<Composed>> = known.into_par_iter().enumerate().map(compose).collect();
        let mut kept = self.lock();
        for (point, composed) in points.iter().zip(&composed) {
            kept.keep(key(*point), hold, composed, self.room_bytes);
        }
        composed
    }
}

/// An eye without its frames, a third of its size: enough for any sun, too little for another lens.
fn leaner(eye: Arc<Eye>) -> Arc<Eye> {
    match Arc::try_unwrap(eye) {
        Ok(eye) => Arc::new(Eye {
            sighting: Sighting::default(),
            ..eye
        }),
        Err(kept) => kept,
    }
}

/// Draws the eyes that are still missing, in one go.
fn draw(studio: &Studio, known: &mut [Known], stand: impl Fn(usize) -> Stand) {
    let width = studio.rulebook.search.width_px;
    let (stage, mut views, mut slots) = (&studio.stage, Vec::new(), Vec::new());
    let missing = |(_, known): &(usize, &mut Known)| matches!(known, Known::Nothing);
    for (n, known) in known.iter_mut().enumerate().filter(missing) {
        let at = studio.eye(&stand(n));
        if let Some(view) = Eye::view(stage, at, width, WIDEST_GRADED_DEG) {
            views.push(view);
            slots.push(Mutex::new(known));
        }
    }
    let drawn = |i: usize, sighting: &mut Sighting| {
        let eye = Eye::of(stage, views[i].clone(), std::mem::take(sighting));
        **slots[i].lock().unwrap_or_else(|held| held.into_inner()) =
            Known::Eye(Some(Arc::new(eye)));
    };
    let rasterizer = studio.rasterizer;
    rasterizer.sight_each(stage, &views, Eye::AROUND, &drawn);
}

impl Kept {
    /// What is kept of an eye, marked as used.
    fn known(&mut self, key: (usize, u64), hold: &Hold) -> Known {
        let round = self.round;
        let Some(one) = self.eyes.get_mut(&key) else {
            return Known::Nothing;
        };
        one.round = round;
        if let Some((_, composed)) = one.composed.iter().find(|(of, _)| of == hold) {
            return Known::All(composed.clone());
        }
        let mut eyes = one.composed.iter().map(|(_, composed)| &composed.eye);
        let serves = |eye: &&Option<Arc<Eye>>| {
            let lean = |eye: &Arc<Eye>| eye.sighting.alone.ids.is_empty();
            !eye.as_ref().is_some_and(lean)
        };
        eyes.find(serves)
            .map_or(Known::Nothing, |eye| Known::Eye(eye.clone()))
    }

    /// Keeps a frame with its eye, if there is room or what older questions left can make some.
    fn keep(&mut self, key: (usize, u64), hold: &Hold, composed: &Arc<Composed>, room: usize) {
        let round = self.round;
        let mut of_point = self.eyes.remove(&key).unwrap_or(OneEye {
            composed: vec![],
            bytes: 0,
            round,
        });
        self.bytes -= of_point.bytes;
        if !of_point.composed.iter().any(|(of, _)| of == hold) {
            of_point.composed.truncate(LENSES - 1);
            of_point.composed.insert(0, (*hold, composed.clone()));
        }
        of_point.count();
        if self.bytes + of_point.bytes > room {
            self.eyes.retain(|_, one| one.round == round);
            self.bytes = self.eyes.values().map(|one| one.bytes).sum();
        }
        if self.bytes + of_point.bytes <= room {
            self.bytes += of_point.bytes;
            self.eyes.insert(key, of_point);
        }
    }
}

impl OneEye {
    /// Counts its bytes: lenses share an eye.
    fn count(&mut self) {
        let mut eyes: Vec<&Arc<Eye>> = Vec::new();
        for eye in self
            .composed
            .iter()
            .filter_map(|(_, composed)| composed.eye.as_ref())
        {
            if !eyes.iter().any(|one| Arc::ptr_eq(one, eye)) {
                eyes.push(eye);
            }
        }
        self.bytes = eyes.into_iter().map(|eye| bytes(eye)).sum();
    }
}

/// What an eye takes.
fn bytes(eye: &Eye) -> usize {
    let frame = |frame: &Frame| {
        std::mem::size_of_val(&frame.ids[..]) + std::mem::size_of_val(&frame.near[..])
    };
    frame(&eye.sighting.alone) + frame(&eye.sighting.all) + std::mem::size_of_val(&eye.samples[..])
}
