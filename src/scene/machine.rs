//! The machine and how it stands. May not enter: its triangles (see `mesh`).

use crate::mesh::model::Model;
use glam::DVec2;
use std::sync::Arc;

/// Which end of the machine leads, seen along its track.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum HeadEnd {
    /// The head end points to the track's first point.
    First,
    /// The head end points to the track's last point.
    Second,
    /// Nobody knows yet: both are answered.
    Unknown,
}

/// How clean it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Condition {
    /// Fresh paint: a merit.
    Fresh,
    /// Clean.
    Clean,
    /// Dirty: a slight fault.
    Dirty,
    /// Filthy: a marked one.
    Filthy,
}

/// The machine and its state.
#[derive(Clone, Debug)]
pub struct Machine {
    /// Its model.
    pub model: Arc<Model>,
    /// Index into the scene's tracks.
    pub track: usize,
    /// Distance of its centre along the track from the track's first point.
    pub chainage_m: f64,
    /// Its centre, east and north (from track and chainage).
    pub centre_m: DVec2,
    /// Bearing of the track at its centre, from first to last point, degrees.
    pub track_bearing_deg: f64,
    /// Which end leads.
    pub head_end: HeadEnd,
    /// Doors of cab or hood stand open.
    pub doors_open: bool,
    /// Something is coupled at the head end (drawn among the surroundings).
    pub coupled_front: bool,
    /// Something is coupled at the rear end.
    pub coupled_rear: bool,
    /// How clean it is.
    pub condition: Condition,
    /// An uncommon machine: a merit.
    pub rare: bool,
}

impl Machine {
    /// Bearing of the machine's forward axis for a known head end; `Unknown` reads as `Second`.
    pub fn forward_bearing_deg(&self) -> f64 {
        let turn = if self.head_end == HeadEnd::First {
            180.0
        } else {
            0.0
        };
        crate::units::wrap_360(self.track_bearing_deg + turn)
    }
}
