//! The live frame: a coarse picture at once while something moves, a still in pieces when it rests, both on the window's
//! own device. May not enter: what is graded, how a page is laid out.

use super::screen::{Screen, Slot};
use crate::gpu::device::GpuError;
use crate::picture::lit::{Lit, Options, Prepared, Quality, Shaped, Shown, StillInSteps};
use crate::picture::{Light, plain};
use crate::rehearsal::bench::Room;
use crate::rehearsal::take::Take;
use crate::sighting::view::View;
use egui::TextureId;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A picture that has rested so long is drawn as a still.
const REST: Duration = Duration::from_millis(120);
/// While a still grows, so much of each redraw is given to it.
const BUDGET: Duration = Duration::from_millis(20);
/// Widest picture while something moves on an adapter that a processor plays, pixels.
pub const MOVING_PX: usize = 416;
/// Widest tile, pixels.
const TILE_PX: u32 = 2048;

/// What a picture is of.
#[derive(Clone, Debug, PartialEq)]
pub struct Subject {
    /// The frame.
    pub take: Take,
    /// Light for which it is exposed; none for what the meter says.
    pub exposed_for_lx: Option<f64>,
    /// Pixels across and down.
    pub size_px: [usize; 2],
}

/// The stage on the device.
struct OnDevice {
    room: Arc<Room>,
    prepared: Arc<Prepared>,
}

/// The live frame.
#[derive(Default)]
pub struct Viewport {
    stage: Option<OnDevice>,
    /// Shaped, and not yet on the device.
    waiting: Option<(Arc<Room>, Box<Shaped>)>,
    subject: Option<Subject>,
    since: Option<Instant>,
    still: Option<StillInSteps>,
    shows_still: bool,
    moving_slot: Slot,
    still_slot: Slot,
    /// What went wrong last.
    fault: Option<GpuError>,
}

/// What is to be seen.
pub struct Frame {
    /// The picture.
    pub texture: TextureId,
    /// When it will be finer; none if it is as fine as it gets.
    pub again_in: Option<Duration>,
    /// Share of the still that is drawn, 1 when it is shown.
    pub fineness: f64,
}

impl Viewport {
    /// A stage to be drawn from now on.
    pub fn bring(&mut self, room: Arc<Room>, shaped: Box<Shaped>) {
        self.waiting = Some((room, shaped));
    }

    /// Forgets all that lies on the device.
    pub fn forget(&mut self) {
        *self = Viewport::default();
    }

    /// What went wrong last.
    pub fn fault(&self) -> Option<&GpuError> {
        self.fault.as_ref()
    }

    /// Draws what is asked for, as good as the time allows.
    pub fn frame(&mut self, screen: &mut Screen, subject: Subject, now: Instant) -> Option<Frame> {
        let lit = match screen.lit.take() {
            Some(lit) => Ok(lit),
            None => Lit::on(Arc::clone(screen.gpu)),
        };
        let drawn = lit.and_then(|mut lit| {
            let drawn = self.drawn(&mut lit, screen, subject, now);
            *screen.lit = Some(lit);
            drawn
        });
        match drawn {
            Ok(None) => None,
            Ok(frame) => {
                self.fault = None;
                frame
            }
            Err(fault) => {
                self.fault = Some(fault);
                None
            }
        }
    }

    fn drawn(
        &mut self,
        lit: &mut Lit,
        screen: &mut Screen,
        subject: Subject,
        now: Instant,
    ) -> Result<Option<Frame>, GpuError> {
        let arrived = self.take_over(lit)?;
        let Some(stage) = &self.stage else {
            return Ok(None);
        };
        let Subject {
            ref take,
            exposed_for_lx,
            size_px,
        } = subject;
        let changed = arrived || self.subject.as_ref() != Some(&subject);
        // While the machine moves, the stage that is there is shown until the new one has come.
        let light = Light::at(&stage.room.scene, take.at);
        let software = screen.gpu.is_software;
        if changed {
            let quality = if software {
                Quality::Moving
            } else {
                Quality::Live
            };
            let across = if software {
                size_px[0].min(MOVING_PX)
            } else {
                size_px[0]
            };
            let view = view(&stage.room, take, across);
            lit.set_stage(&stage.prepared);
            lit.set_light(&light, quality)?;
            lit.show(&view, &options(quality, &light, exposed_for_lx))?;
            if let Some(shown) = lit.shown() {
                put(&mut self.moving_slot, screen, &shown);
            }
            self.subject = Some(subject.clone());
            self.since = Some(now);
            self.still = None;
            self.shows_still = false;
        }
        let rested = self
            .since
            .map_or(Duration::ZERO, |since| now.duration_since(since));
        if !changed && !self.shows_still && rested >= REST {
            let mut still = match self.still.take() {
                Some(still) => still,
                None => {
                    lit.set_stage(&stage.prepared);
                    let view = view(&stage.room, take, size_px[0]);
                    let options = options(Quality::Still, &light, exposed_for_lx);
                    lit.begin_still(&view, &light, &options)?
                }
            };
            let start = Instant::now();
            while !still.is_finished() && start.elapsed() < BUDGET {
                still.step(lit)?;
                if software {
                    break; // its queue works while the next redraw is prepared
                }
            }
            if let Some(shown) = still.shown() {
                put(&mut self.still_slot, screen, &shown);
                self.shows_still = true;
            }
            self.still = Some(still);
        }
        let slot = if self.shows_still {
            &self.still_slot
        } else {
            &self.moving_slot
        };
        let again_in = match (self.shows_still, rested >= REST) {
            (true, _) => None,
            (false, true) if !changed => Some(Duration::ZERO),
            _ => Some(REST.saturating_sub(rested)),
        };
        let fineness = match (&self.still, self.shows_still) {
            (_, true) => 1.0,
            (Some(still), _) => still.progress(),
            (None, _) => 0.0,
        };
        Ok(slot.id().map(|texture| Frame {
            texture,
            again_in,
            fineness,
        }))
    }

    /// Brings a shaped stage to the device; whether there was one.
    fn take_over(&mut self, lit: &Lit) -> Result<bool, GpuError> {
        let Some((room, shaped)) = self.waiting.take() else {
            return Ok(false);
        };
        let prepared = lit.upload(&room.stage, *shaped)?;
        self.stage = Some(OnDevice { room, prepared });
        Ok(true)
    }
}

fn view(room: &Room, take: &Take, across: usize) -> View {
    plain::view_of(&room.camera(&take.stand), across.max(16))
}

fn options(quality: Quality, light: &Light, exposed_for_lx: Option<f64>) -> Options {
    Options {
        quality,
        exposed_for_lx: exposed_for_lx.unwrap_or_else(|| plain::exposed_for_lx(light)),
        largest_tile: TILE_PX,
    }
}

fn put(slot: &mut Slot, screen: &mut Screen, shown: &Shown) {
    slot.show(screen, shown.view, shown.generation);
}
