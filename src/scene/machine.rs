//! The machine and how it stands. May not enter: its triangles (see `mesh`).

use super::equipment::{EquipmentKind, on_track};
use super::surroundings::Object;
use super::track::Track;
use crate::mesh::model::Model;
use crate::units::rad;
use glam::{DVec2, DVec3};
use std::path::PathBuf;
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

impl HeadEnd {
    /// Every state with its word in scene files.
    pub const WORDS: [(&'static str, HeadEnd); 3] = [
        ("first", HeadEnd::First),
        ("second", HeadEnd::Second),
        ("unknown", HeadEnd::Unknown),
    ];

    /// The word of scene files, commands and data.
    pub fn word(self) -> &'static str {
        match self {
            HeadEnd::First => "first",
            HeadEnd::Second => "second",
            HeadEnd::Unknown => "unknown",
        }
    }

    /// Both ends that may lead: this one (the second where nobody knows), then the other.
    pub fn and_other(self) -> [HeadEnd; 2] {
        match self {
            HeadEnd::First => [HeadEnd::First, HeadEnd::Second],
            HeadEnd::Second | HeadEnd::Unknown => [HeadEnd::Second, HeadEnd::First],
        }
    }
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

impl Condition {
    /// Every condition with its word in scene files.
    pub const WORDS: [(&'static str, Condition); 4] = [
        ("fresh", Condition::Fresh),
        ("clean", Condition::Clean),
        ("dirty", Condition::Dirty),
        ("filthy", Condition::Filthy),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        let [fresh, clean, dirty, filthy] = Self::WORDS.map(|(word, _)| word);
        match self {
            Condition::Fresh => fresh,
            Condition::Clean => clean,
            Condition::Dirty => dirty,
            Condition::Filthy => filthy,
        }
    }
}

/// The machine and its state.
#[derive(Clone, Debug)]
pub struct Machine {
    /// Its model as it stands: in its livery, doors open or shut.
    pub model: Arc<Model>,
    /// The same with its doors shut.
    pub shut: Arc<Model>,
    /// The model's file.
    pub model_file: PathBuf,
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
    /// What it is at the head end.
    pub front_equipment: Option<EquipmentKind>,
    /// What it is at the rear end.
    pub rear_equipment: Option<EquipmentKind>,
    /// How clean it is.
    pub condition: Condition,
    /// An uncommon machine: a merit.
    pub rare: bool,
}

impl Machine {
    /// Bearing of the machine's forward axis for a known head end; `Unknown` reads as `Second`.
    pub fn forward_bearing_deg(&self) -> f64 {
        self.bearing_led_by_deg(self.head_end)
    }

    /// The same were another end to lead.
    pub fn bearing_led_by_deg(&self, head_end: HeadEnd) -> f64 {
        let turn = if head_end == HeadEnd::First {
            180.0
        } else {
            0.0
        };
        crate::units::wrap_360(self.track_bearing_deg + turn)
    }

    /// Couples something to either end, or nothing.
    pub fn couple(&mut self, front: Option<EquipmentKind>, rear: Option<EquipmentKind>) {
        (self.coupled_front, self.coupled_rear) = (front.is_some(), rear.is_some());
        (self.front_equipment, self.rear_equipment) = (front, rear);
    }

    /// What is coupled, standing on the machine's track with its coupler face at the machine's.
    pub(super) fn coupled_objects(&self, track: &Track) -> Vec<Object> {
        let way = if self.head_end == HeadEnd::First {
            -1.0
        } else {
            1.0
        };
        let ends = [
            (self.front_equipment, self.model.head.coupler_x_m, true),
            (self.rear_equipment, self.model.rear.coupler_x_m, false),
        ];
        let coupled = |(kind, coupler_x_m, front): (Option<EquipmentKind>, f64, bool)| {
            let kind = kind?;
            let beyond_m = coupler_x_m + coupler_x_m.signum() * kind.length_m() / 2.0;
            let end = if front { "front" } else { "rear" };
            let name = format!("{} coupled at the {end}", kind.word());
            let mut object = on_track(name, kind, track, self.chainage_m + way * beyond_m, None);
            object.coupled_front = Some(front);
            Some(object)
        };
        ends.into_iter().filter_map(coupled).collect()
    }

    /// Its outline on the ground, east and north, with the head end pointed.
    pub fn outline_m(&self) -> [DVec2; 5] {
        let frame = self.frame();
        let (head, rear) = (&self.model.head, &self.model.rear);
        let half_m = (self.model.vertices.iter()).fold(0.0f64, |wide, v| wide.max(v.y.abs()));
        [
            (rear.coupler_x_m, -half_m),
            (head.corner_x_m, -half_m),
            (head.coupler_x_m, 0.0),
            (head.corner_x_m, half_m),
            (rear.coupler_x_m, half_m),
        ]
        .map(|(x, y)| frame.to_site(DVec3::new(x, y, 0.0)).truncate())
    }

    /// The machine frame, laid out in the site frame.
    pub fn frame(&self) -> Frame {
        let bearing = rad(self.forward_bearing_deg());
        Frame {
            origin_m: self.centre_m,
            forward: DVec2::new(bearing.sin(), bearing.cos()),
        }
    }
}

/// The machine frame (x forward, y left, z up from the top of rail) laid out in the site frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// The machine's centre.
    pub origin_m: DVec2,
    /// Unit vector towards its head end, east and north.
    pub forward: DVec2,
}

impl Frame {
    /// A point of the machine in the site.
    pub fn to_site(&self, point: DVec3) -> DVec3 {
        self.direction_to_site(point) + self.origin_m.extend(0.0)
    }

    /// A point of the site as the machine has it.
    pub fn to_machine(&self, point: DVec3) -> DVec3 {
        self.direction_to_machine(point - self.origin_m.extend(0.0))
    }

    /// A direction of the machine in the site.
    pub fn direction_to_site(&self, direction: DVec3) -> DVec3 {
        let horizontal = self.forward * direction.x + self.forward.perp() * direction.y;
        horizontal.extend(direction.z)
    }

    /// A direction of the site as the machine has it.
    pub fn direction_to_machine(&self, direction: DVec3) -> DVec3 {
        let horizontal = direction.truncate();
        DVec3::new(
            horizontal.dot(self.forward),
            horizontal.dot(self.forward.perp()),
            direction.z,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_machine_that_heads_east_has_its_left_side_north() {
        let frame = Frame {
            origin_m: DVec2::new(100.0, 50.0),
            forward: DVec2::X,
        };
        let left_of_nose = frame.to_site(DVec3::new(10.0, 1.5, 2.0));
        assert_eq!(left_of_nose, DVec3::new(110.0, 51.5, 2.0));
        assert_eq!(frame.to_machine(left_of_nose), DVec3::new(10.0, 1.5, 2.0));
    }
}
