//! Whether a machine can stand where it is said to: on its track, by its gauge, and clear of other equipment. May not
//! enter: files, rules.

use super::Scene;
use super::equipment::EquipmentKind;
use super::machine::HeadEnd;
use super::surroundings::{Kind, Object};
use super::track::Track;
use crate::mesh::model::Model;
use glam::DVec2;
use std::fmt;

/// Model and track may differ so much in gauge: wheels have play, and files round.
const GAUGE_TOLERANCE_M: f64 = 0.02;
/// Equipment whose middle lies so near a track's centre line stands on that track: tracks lie 4 m apart (common
/// practice).
const ON_TRACK_M: f64 = 1.0;
/// Couplers that overlap by less touch: round bars are drawn as polygons, which reach past them.
const TOUCHING_M: f64 = 0.05;

/// Why a machine cannot stand on a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Misfit {
    /// Its wheels do not fit the rails.
    Gauge {
        /// The machine's.
        machine_m: f64,
        /// The track's.
        track_m: f64,
    },
    /// It would not stand wholly on it.
    OffTrack {
        /// Half its own length.
        half_m: f64,
        /// The track's length.
        length_m: f64,
    },
}

impl Misfit {
    /// What is wrong with a machine's centre at a chainage of a track; none where it fits.
    pub fn of(model: &Model, track: &Track, chainage_m: f64) -> Option<Misfit> {
        let (machine_m, track_m) = (model.gauge_m, track.gauge_m);
        if (machine_m - track_m).abs() > GAUGE_TOLERANCE_M {
            return Some(Misfit::Gauge { machine_m, track_m });
        }
        let (half_m, length_m) = (model.length_over_couplers_m() / 2.0, track.length_m());
        let fits = (half_m..=length_m - half_m).contains(&chainage_m);
        (!fits).then_some(Misfit::OffTrack { half_m, length_m })
    }

    /// What would be allowed instead.
    pub fn allowed(&self) -> String {
        match self {
            Misfit::Gauge { .. } => "a track of the machine's own gauge".into(),
            Misfit::OffTrack { half_m, length_m } if *length_m < 2.0 * half_m => {
                format!("a track of at least {:.2} m", 2.0 * half_m)
            }
            Misfit::OffTrack { half_m, length_m } => {
                format!("from {half_m:.2} to {:.2}", length_m - half_m)
            }
        }
    }
}

impl fmt::Display for Misfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Misfit::Gauge { machine_m, track_m } => {
                write!(
                    f,
                    "a machine of gauge {machine_m} m on a track of {track_m} m"
                )
            }
            Misfit::OffTrack { length_m, .. } => {
                write!(
                    f,
                    "the machine stands off its track, which is {length_m:.2} m long"
                )
            }
        }
    }
}

impl Scene {
    /// Equipment on the machine's track that it, or what is coupled to it, would stand in: by name.
    pub fn run_into(&self) -> Vec<&str> {
        let machine = &self.machine;
        let track = &self.tracks[machine.track];
        let half_m = machine.model.length_over_couplers_m() / 2.0;
        let length_m = |kind: Option<EquipmentKind>| kind.map_or(0.0, EquipmentKind::length_m);
        let (front_m, rear_m) = (
            length_m(machine.front_equipment),
            length_m(machine.rear_equipment),
        );
        let (before_m, behind_m) = match machine.head_end {
            HeadEnd::First => (front_m, rear_m),
            HeadEnd::Second | HeadEnd::Unknown => (rear_m, front_m),
        };
        let from_m = machine.chainage_m - half_m - before_m + TOUCHING_M;
        let to_m = machine.chainage_m + half_m + behind_m - TOUCHING_M;
        let standing = (self.surroundings.iter())
            .filter(|object| object.kind == Kind::Equipment && object.coupled_front.is_none());
        let in_it = |object: &&Object| {
            let reach = reach_along(track, object);
            reach.is_some_and(|[least_m, most_m]| least_m < to_m && most_m > from_m)
        };
        standing
            .filter(in_it)
            .map(|object| object.name.as_str())
            .collect()
    }
}

/// From which to which chainage of a track something stands; none where it is not on it.
fn reach_along(track: &Track, object: &Object) -> Option<[f64; 2]> {
    let corners: Vec<DVec2> = (object.solids.iter())
        .flat_map(|solid| solid.convex().corners)
        .map(|corner| corner.truncate())
        .collect();
    let middle = corners.iter().sum::<DVec2>() / corners.len().max(1) as f64;
    if track.nearest(middle).1 > ON_TRACK_M {
        return None;
    }
    let chainages = corners.iter().map(|corner| track.nearest(*corner).0);
    let bounds = chainages.fold([f64::INFINITY, f64::NEG_INFINITY], |[least, most], m| {
        [least.min(m), most.max(m)]
    });
    Some(bounds)
}
