//! Remedies that speak of the place: by how much the camera is turned, and how far one walks to the left or right until
//! what stands around the machine is no fault there. May not enter: limits, times.
//!
//! Steps are tried on ground where one may stand, with the same lens and height and the heading balanced anew: looked at
//! from there at search size, and told only where the very measure holds at proof size too. A step that loses more
//! elsewhere (viewpoint, margins, the sun's bearing) than it gains is none.

use super::measure::eye::WIDEST_DEG;
use super::rulebook::ViewSize;
use super::{Composed, Grade, MeasureId, Measured, Minute, Reading, Stand, Studio, Tally};
use crate::units::wrap_180;
use glam::DVec2;
use std::cell::OnceCell;

/// So far one is sent aside, metres, the nearest first.
const STEPS_M: [f64; 7] = [0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0];
/// A turn of the camera is told to this, degrees.
const TURN_DEG: f64 = 0.1;

/// Steps aside from one frame, each looked at when it is first asked about.
pub(super) struct Sidesteps<'a> {
    studio: &'a Studio<'a>,
    stand: &'a Stand,
    minute: &'a Minute,
    /// Metres to the right, −: to the left, and what is measured from there.
    steps: Vec<(f64, OnceCell<Option<Composed>>)>,
    here: OnceCell<f64>,
}

/// What stands around the machine, with what is gained where it is clean.
fn gained(id: MeasureId) -> Option<&'static str> {
    Some(match id {
        MeasureId::Hidden => "where the machine stands clear of it",
        MeasureId::WorstHiddenPart => "where that part stands clear",
        MeasureId::Growths => "where none rises from the roofline",
        MeasureId::RooflineChanges | MeasureId::TreeRowChanges => "where the backdrop is plainer",
        MeasureId::BarsBehind => "where it lies clear of the machine",
        MeasureId::BandBehind => "where less of them shows",
        MeasureId::WiresUprights => "where the frame is free of them",
        _ => return None,
    })
}

/// The number that a measure has among some.
fn value_of(measured: &[Measured], id: MeasureId) -> Option<f64> {
    let one = measured.iter().find(|one| one.id == id)?;
    match one.reading {
        Reading::Value(value) => Some(value),
        _ => None,
    }
}

impl Studio<'_> {
    /// A stand so many metres to the right of another, as somebody there sees the machine, its heading balanced anew.
    pub fn aside(&self, stand: &Stand, right_m: f64) -> Stand {
        let ahead = (self.frame.origin_m - stand.spot_m).normalize_or(DVec2::Y);
        let mut aside = *stand;
        aside.spot_m -= ahead.perp() * right_m;
        aside.heading_deg = self.balanced_heading_deg(&aside);
        aside
    }

    /// How the camera is turned until both side margins are alike.
    pub(super) fn turn(&self, stand: &Stand) -> Option<String> {
        let right_deg = wrap_180(self.balanced_heading_deg(stand) - stand.heading_deg);
        let way = if right_deg < 0.0 { "left" } else { "right" };
        let told = format!("turn the camera {:.1}° to the {way}", right_deg.abs());
        (right_deg.abs() >= TURN_DEG).then_some(told)
    }
}

impl<'a> Sidesteps<'a> {
    pub fn of(studio: &'a Studio<'a>, stand: &'a Stand, minute: &'a Minute) -> Sidesteps<'a> {
        let both = STEPS_M.into_iter().flat_map(|step_m| [-step_m, step_m]);
        Sidesteps {
            studio,
            stand,
            minute,
            steps: both.map(|right_m| (right_m, OnceCell::new())).collect(),
            here: OnceCell::new(),
        }
    }

    fn look(&self, right_m: f64, size: &ViewSize) -> Option<Composed> {
        let (studio, stand) = (self.studio, self.studio.aside(self.stand, right_m));
        studio
            .scene
            .may_stand(&studio.obstacles, stand.spot_m)
            .ok()?;
        let composed = studio.compose(&stand, &studio.default_capture(), size, WIDEST_DEG);
        composed.eye.is_some().then_some(composed)
    }

    /// The score that a frame cannot exceed at this minute.
    fn bound(&self, composed: &Composed) -> f64 {
        let studio = self.studio;
        let mut tally = Tally::new(studio.rulebook.faults.len());
        tally.add_measured(studio.rulebook, &composed.measured);
        let moment = self.minute.moment();
        studio.bound(&tally, &composed.stand, &moment).score()
    }

    /// The step that mends a measure of what stands around, if one does: the nearest that makes it clean, else of what is
    /// counted the one that leaves least.
    pub fn mend(&self, one: &Measured) -> Option<String> {
        let clear = gained(one.id)?;
        let Reading::Value(value) = one.reading else {
            return None;
        };
        let rule = self.studio.rulebook.rule(one.id)?;
        let is_clean = |value: f64| rule.penalty(value).0 == Grade::Clean;
        if is_clean(value) {
            return None;
        }
        let (search, proof) = (&self.studio.rulebook.search, &self.studio.rulebook.proof);
        let here = || {
            self.look(0.0, search)
                .map_or(f64::NEG_INFINITY, |here| self.bound(&here))
        };
        let here = *self.here.get_or_init(here);
        let counted = matches!(one.id, MeasureId::Growths | MeasureId::WiresUprights);
        let mut least: Option<(f64, f64)> = None;
        for (right_m, seen) in &self.steps {
            let Some(seen) = seen.get_or_init(|| self.look(*right_m, search)) else {
                continue;
            };
            let Some(then) = value_of(&seen.measured, one.id) else {
                continue;
            };
            if self.bound(seen) <= here {
                continue;
            }
            if is_clean(then) {
                if self.proved(*right_m, one.id, proof).is_some_and(is_clean) {
                    return Some(format!("walk {}, {clear}", steps(*right_m)));
                }
            } else if counted && then < least.map_or(value, |(_, least)| least) {
                least = Some((*right_m, then));
            }
        }
        let (right_m, then) = least?;
        let holds = self
            .proved(right_m, one.id, proof)
            .is_some_and(|proved| proved <= then);
        holds.then(|| {
            format!(
                "walk {}, where {then:.0} of {value:.0} are left",
                steps(right_m)
            )
        })
    }

    fn proved(&self, right_m: f64, id: MeasureId, proof: &ViewSize) -> Option<f64> {
        value_of(&self.look(right_m, proof)?.measured, id)
    }
}

/// "2 m to the left".
fn steps(right_m: f64) -> String {
    let way = if right_m < 0.0 { "left" } else { "right" };
    format!("{} m to the {way}", right_m.abs())
}
