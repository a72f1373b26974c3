//! A frame that is practised on: a site as it stands or with one thing changed, a stand, an instant, an exposure; and
//! how it is graded. May not enter: which faults are planted, learners.

use crate::grade::measure::capture::Capture;
use crate::grade::rulebook::ViewSize;
use crate::grade::{
    Composed, Graded, MeasureId, Measured, Minute, Reading, Stand, WIDEST_GRADED_DEG,
};
use crate::rehearsal::bench::Room;
use crate::scene::Scene;
use chrono::{DateTime, Utc};
use std::sync::Arc;

/// A frame with all that decides it.
#[derive(Clone)]
pub struct Posed {
    /// The site, with what was changed of it.
    pub room: Arc<Room>,
    /// Where the camera stands and how it looks.
    pub stand: Stand,
    /// The instant.
    pub at: DateTime<Utc>,
    /// The exposure; none for the advised one.
    pub exposure_s: Option<f64>,
}

/// A frame as it was graded.
pub struct Seen {
    /// Camera and eye.
    pub composed: Composed,
    /// The light.
    pub minute: Minute,
    /// The verdict.
    pub graded: Graded,
}

impl Posed {
    /// How it is stopped down and exposed.
    pub fn capture(&self) -> Capture {
        Capture {
            exposure_s: self.exposure_s,
            ..self.room.default_capture()
        }
    }

    /// Whether one may stand there.
    pub fn is_allowed(&self) -> bool {
        let room = &self.room;
        room.scene
            .may_stand(&room.obstacles, self.stand.spot_m)
            .is_ok()
    }

    /// Graded at one of the rulebook's sizes, without what would mend it.
    pub fn seen(&self, size: &ViewSize) -> Seen {
        let room = &self.room;
        let composed = room.compose(&self.stand, &self.capture(), size, WIDEST_GRADED_DEG);
        let minute = room.minute_at_size(self.at, size);
        let graded = room.grade_unmended(&composed, &minute);
        Seen {
            composed,
            minute,
            graded,
        }
    }

    /// The same at proof size: what `grade` says, but for the remedies.
    pub fn proved(&self) -> Seen {
        self.seen(&self.room.rulebook.proof)
    }

    /// The same at search size.
    pub fn roughly(&self) -> Seen {
        self.seen(&self.room.rulebook.search)
    }

    /// What geometry alone says of its stand.
    pub fn geometry(&self) -> Vec<Measured> {
        self.room
            .compose_seen(None, &self.stand, &self.capture())
            .measured
    }

    /// One of these numbers.
    pub fn of_geometry(&self, id: MeasureId) -> Option<f64> {
        let measured = self.geometry();
        let one = measured.iter().find(|one| one.id == id)?;
        match one.reading {
            Reading::Value(value) => Some(value),
            _ => None,
        }
    }

    /// The same with another stand.
    pub fn from(&self, stand: Stand) -> Posed {
        Posed {
            stand,
            ..self.clone()
        }
    }

    /// The same with the site changed.
    pub fn in_scene(&self, scene: Scene) -> Posed {
        let old = &self.room;
        let room = Room::new(scene, old.rulebook, old.rasterizer, Some(old));
        Posed {
            room: Arc::new(room),
            ..self.clone()
        }
    }

    /// The same with the side margins balanced.
    pub fn balanced(mut self) -> Posed {
        self.stand.heading_deg = self.room.balanced_heading_deg(&self.stand);
        self
    }
}
