//! Remedies that speak of time: which way the sun moves at that minute, and when on that date a fault of light is
//! gone. May not enter: limits, and frames drawn at other minutes.
//!
//! What sun and eye decide in closed form is told with its time. What pixels decide is told with the direction only:
//! toward the face or away from it.

use super::course::{Course, When};
use super::measure::light::{handrail_shadow_m, shadow_line_deg};
use super::{Composed, Grade, MeasureId, Measured, Minute, Moment, Reading, Studio};
use crate::sighting::closed_form::profile_angle_deg;
use crate::sighting::shown::{Class, Shown};

impl Studio<'_> {
    /// What would mend a measure that is not clean, if time would; none leaves it to the rulebook's advice.
    pub(super) fn time_mend(
        &self,
        composed: &Composed,
        minute: &Minute,
        one: &Measured,
    ) -> Option<String> {
        let Reading::Value(value) = one.reading else {
            return None;
        };
        let rule = self.rulebook.rule(one.id)?;
        if minute.moment().is_night() || rule.penalty(value).0 == Grade::Clean {
            return None;
        }
        let is_clean = |value: f64| rule.penalty(value).0 == Grade::Clean;
        let course = Course {
            studio: self,
            at: minute.at,
        };
        let (model, eye) = (&self.scene.machine.model, composed.camera.pose.eye);
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
            MeasureId::NoseLit => Some(course.bearing(shown, Class::Nose)),
            MeasureId::SideLit => Some(course.bearing(shown, Class::Side)),
            MeasureId::NoseSide => {
                let low = rule.low.as_ref().is_some_and(|side| value < side.limits[0]);
                let darker = if low { Class::Nose } else { Class::Side };
                Some(course.bearing(shown, darker))
            }
            MeasureId::RunningGearLit => Some(course.height(shown)),
            MeasureId::ForeignBody | MeasureId::ForeignCore => {
                let eye = composed.eye.as_ref()?;
                let mut shadows = self.shadows(minute, eye.shown, self.is_proof(eye)).iter();
                let core = one.id == MeasureId::ForeignCore;
                let shadow = shadows.find(|shadow| shadow.core || !core)?;
                Some(course.moved_off(shown, shadow.caster))
            }
            MeasureId::ForeignGear => course.gear_moved_off(shown, minute.buffer.as_ref()?),
            _ => None,
        }
    }
}
