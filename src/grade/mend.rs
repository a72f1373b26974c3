//! What would mend a finding, and remedies that speak of time: which way the sun moves at that minute, and when on that date a fault of light is
//! gone. May not enter: limits.
//!
//! What sun and eye decide in closed form is told by it. What pixels decide is measured at the minutes that closed form
//! leaves, roughly first, and told only where the very measure is clean at the minute that is told, at proof size.

use super::course::{Course, When};
use super::measure::light::{Shares, exact_shares, handrail_shadow_m, shadow_line_deg};
use super::sidestep::Sidesteps;
use super::{Composed, Grade, MeasureId, Measured, Minute, Moment, Reading, Studio};
use crate::sighting::closed_form::profile_angle_deg;
use crate::sighting::shown::{Class, Shown};
use chrono::{DateTime, Utc};
use std::cell::RefCell;
use std::collections::HashMap;

/// By minute, and whether as for a proof.
type AtMinutes<T> = RefCell<HashMap<(DateTime<Utc>, bool), T>>;

/// What was measured at other minutes, for all findings of one frame; roughly or as for a proof.
pub(super) struct Mends<'a> {
    studio: &'a Studio<'a>,
    composed: &'a Composed,
    minute: &'a Minute,
    course: Course<'a>,
    sidesteps: Sidesteps<'a>,
    shares: AtMinutes<Shares>,
    /// Weighted area of the largest shadow of another thing on the body, and whether there is a core.
    shadows: AtMinutes<(f64, bool)>,
}

impl<'a> Mends<'a> {
    /// For a frame at a minute.
    pub fn of(studio: &'a Studio<'a>, composed: &'a Composed, minute: &'a Minute) -> Mends<'a> {
        Mends {
            studio,
            composed,
            minute,
            course: Course {
                studio,
                at: minute.at,
            },
            sidesteps: Sidesteps::of(studio, &composed.stand, minute),
            shares: Default::default(),
            shadows: Default::default(),
        }
    }

    fn minute_at(&self, at: DateTime<Utc>, proof: bool) -> Minute {
        let rulebook = self.studio.rulebook;
        let size = if proof {
            &rulebook.proof
        } else {
            &rulebook.search
        };
        self.studio.minute_at_size(at, size)
    }

    /// What such a measure of light is at another minute from the same eye.
    fn of_shares(&self, id: MeasureId, at: DateTime<Utc>, proof: bool) -> Option<f64> {
        let eye = self.composed.eye.as_ref()?;
        let sum = || {
            let minute = self.minute_at(at, proof);
            let (sun, daylight) = (minute.buffer.as_ref(), &minute.daylight);
            let studio = self.studio;
            exact_shares(&studio.stage, eye, sun, daylight, &studio.openness.sky)
        };
        let shares = *self
            .shares
            .borrow_mut()
            .entry((at, proof))
            .or_insert_with(sum);
        let mut found = None;
        shares.measures(&mut |one, value| found = found.or((one == id).then_some(value)));
        found.filter(|value| !value.is_nan())
    }

    /// What other things' shadows on the body are at another minute.
    fn of_shadows(&self, at: DateTime<Utc>, proof: bool) -> Option<(f64, bool)> {
        let shown = self.composed.eye.as_ref()?.shown;
        let look = || {
            let minute = self.minute_at(at, proof);
            let shadows = self.studio.shadows(&minute, shown, proof);
            let core = shadows.iter().any(|shadow| shadow.core);
            (shadows.first().map_or(0.0, |shadow| shadow.area_m2), core)
        };
        Some(
            *self
                .shadows
                .borrow_mut()
                .entry((at, proof))
                .or_insert_with(look),
        )
    }

    /// Whether a measure is clean by its rule, or has none.
    fn is_clean(&self, id: MeasureId, value: f64) -> bool {
        let rule = self.studio.rulebook.rule(id);
        rule.is_none_or(|rule| rule.penalty(value).0 == Grade::Clean)
    }

    /// What would mend a measure that is not clean; none leaves it to the rulebook's advice.
    pub fn of_measure(&self, one: &Measured) -> Option<String> {
        let turn = || match one {
            Measured {
                id: MeasureId::Balance,
                reading: Reading::Value(value),
                ..
            } if !self.is_clean(one.id, *value) => self.studio.turn(&self.composed.stand),
            _ => None,
        };
        self.by_time(one)
            .or_else(|| self.sidesteps.mend(one))
            .or_else(turn)
    }

    fn by_time(&self, one: &Measured) -> Option<String> {
        let Reading::Value(value) = one.reading else {
            return None;
        };
        let (studio, composed, minute, course) =
            (self.studio, self.composed, self.minute, &self.course);
        let rule = studio.rulebook.rule(one.id)?;
        if minute.moment().is_night() || self.is_clean(one.id, value) {
            return None;
        }
        let is_clean = |value: f64| self.is_clean(one.id, value);
        let lit = |at, proof| self.of_shares(one.id, at, proof).is_some_and(is_clean);
        let unshaded = |at, proof| {
            let shadows = self.of_shadows(at, proof);
            shadows.is_some_and(|(area_m2, core)| {
                let (area, stripe) = (MeasureId::ForeignBody, MeasureId::ForeignCore);
                self.is_clean(area, area_m2) && self.is_clean(stripe, f64::from(u8::from(core)))
            })
        };
        let (model, eye) = (&studio.scene.machine.model, composed.camera.pose.eye);
        let shown = Shown::to(eye);
        match one.id {
            MeasureId::HandrailShadow => {
                let lies = |moment: &Moment| {
                    handrail_shadow_m(model, shown, moment.toward).is_ok_and(is_clean)
                };
                Some(match course.nearest(lies) {
                    Some(When::Later(at)) => course.wait(at, "when it climbs back"),
                    Some(When::Earlier(at)) => course.by(at, "while it still lies on them"),
                    None => {
                        "come on another date, since on this one it lies on them at no hour".into()
                    }
                })
            }
            MeasureId::ProfileAngle => {
                let side = shown.side.sign();
                let low =
                    |moment: &Moment| profile_angle_deg(moment.toward, side).is_some_and(is_clean);
                Some(match course.nearest(low) {
                    Some(When::Later(at)) => course.wait(at, "when the sun is low enough"),
                    Some(When::Earlier(at)) => course.by(at, "while the sun is low enough"),
                    None => "come on another date, since on this one it is never low enough".into(),
                })
            }
            MeasureId::SunElevation => {
                let high = |moment: &Moment| is_clean(moment.sun.elevation_deg);
                Some(match course.nearest(high) {
                    Some(When::Later(at)) => course.wait(at, "when it stands high enough"),
                    Some(When::Earlier(at)) => course.by(at, "while it stands high enough"),
                    None => {
                        "come on another date, since on this one it is never high enough".into()
                    }
                })
            }
            MeasureId::SunBehindTerrain => match course.nearest(|moment| !moment.behind_terrain)? {
                When::Later(at) => Some(course.wait(at, "when it clears the skyline")),
                When::Earlier(at) => Some(course.by(at, "while it is above the skyline")),
            },
            MeasureId::ShadowLine => {
                let points =
                    |moment: &Moment| is_clean(shadow_line_deg(model, eye, moment.toward).abs());
                let far = rule.high.as_ref().and_then(|side| side.far);
                let step = match one.signed {
                    _ if far.is_some_and(|far| value > far) => "take the other side",
                    Some(signed) if signed < 0.0 => "stand nearer to the end that you show",
                    _ => "stand farther toward the side",
                };
                Some(match course.nearest(points) {
                    Some(When::Later(at)) => {
                        format!(
                            "{step}, or {}",
                            course.wait(at, "when the sun has swung round")
                        )
                    }
                    Some(When::Earlier(at)) => {
                        format!(
                            "{step}, or {}",
                            course.by(at, "before the sun has swung on")
                        )
                    }
                    None => step.into(),
                })
            }
            MeasureId::NoseLit => Some(course.bearing(shown, Class::Nose, &lit)),
            MeasureId::SideLit => Some(course.bearing(shown, Class::Side, &lit)),
            MeasureId::NoseSide => {
                let low = rule.low.as_ref().is_some_and(|side| value < side.limits[0]);
                let darker = if low { Class::Nose } else { Class::Side };
                Some(course.bearing(shown, darker, &lit))
            }
            MeasureId::RunningGearLit => Some(course.height(shown, &lit)),
            MeasureId::ForeignBody | MeasureId::ForeignCore => {
                let eye = composed.eye.as_ref()?;
                let mut shadows = studio
                    .shadows(minute, eye.shown, studio.is_proof(eye))
                    .iter();
                let core = one.id == MeasureId::ForeignCore;
                let shadow = shadows.find(|shadow| shadow.core || !core)?;
                Some(course.moved_off(shown, shadow.caster, &unshaded))
            }
            MeasureId::ForeignGear => course.gear_moved_off(shown, minute.buffer.as_ref()?, &lit),
            _ => None,
        }
    }
}
