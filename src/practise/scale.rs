//! The degree of a fault: how far a measure lies from its best, counted in the way that the rulebook leaves clean. May
//! not enter: limits of its own, learners.

use crate::grade::rule::Way;
use crate::grade::{Grade, MeasureId, Rule};

/// A measure's scale toward one side. At degree 1 its value lies on the clean limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// The measure.
    pub id: MeasureId,
    /// Which way is worse.
    pub way: Way,
    /// Its best value.
    best: f64,
    /// From there to the clean limit; none where nothing at all is clean, and the number itself is the degree.
    whole: Option<f64>,
    /// The clean limit.
    pub limit: f64,
    /// The degree beyond which more is no worse to the eye: where the rulebook's penalty ends.
    far: f64,
    /// The last degree that is slight; none where it is never worse.
    slight: Option<f64>,
    /// The last degree that is marked, likewise.
    marked: Option<f64>,
}

/// Least room between the limit and the far end, as a factor of degrees.
const LEAST_ROOM: f64 = 1.5;

impl Scale {
    /// The scale of a rule toward one side; none where it has no limit there.
    pub fn of(rule: &Rule, way: Way) -> Option<Scale> {
        let side = match way {
            Way::Low => rule.low.as_ref()?,
            Way::High => rule.high.as_ref()?,
        };
        let limit = *side.limits.first()?;
        let best = match (&rule.low, &rule.high) {
            (Some(low), Some(high)) => 0.5 * (low.limits.first()? + high.limits.first()?),
            _ => rule.best,
        };
        let room = (way.outward(limit) - way.outward(best)).max(0.0);
        let mut scale = Scale {
            id: rule.id,
            way,
            best,
            whole: (room > 0.0).then_some(room),
            limit,
            far: f64::INFINITY,
            slight: None,
            marked: None,
        };
        let far = scale.degree(side.far.or(side.limits.last().copied())?);
        scale.far = far.max(LEAST_ROOM);
        let last = |n: usize, grade: Grade| {
            let limit = side.limits.get(n).filter(|_| side.worst > grade)?;
            Some(scale.degree(*limit))
        };
        (scale.slight, scale.marked) = (last(1, Grade::Slight), last(2, Grade::Marked));
        Some(scale)
    }

    /// The degree of a value; 0 at the best one and beyond it.
    pub fn degree(&self, value: f64) -> f64 {
        let out = self.way.outward(value) - self.way.outward(self.best);
        (out / self.whole.unwrap_or(1.0)).max(0.0)
    }

    /// The value of a degree.
    pub fn value(&self, degree: f64) -> f64 {
        let out = degree * self.whole.unwrap_or(1.0);
        match self.way {
            Way::Low => self.best - out,
            Way::High => self.best + out,
        }
    }

    /// The degrees between which it is worth asking: from just beyond the limit to the far end.
    pub fn asked(&self) -> [f64; 2] {
        [1.04, self.far]
    }

    /// The last degree that is slight; none where it is never worse.
    pub fn last_slight(&self) -> Option<f64> {
        self.slight
    }

    /// The same in counts of the measure's own unit, without degrees between none and all.
    pub fn stepped(self) -> Scale {
        Scale {
            whole: None,
            ..self
        }
    }

    /// How near a degree lies to a step between two grades, as a factor's logarithm.
    pub fn from_step(&self, degree: f64) -> f64 {
        let steps = [Some(1.0), self.slight, self.marked];
        let off = |step: f64| (degree / step).ln().abs();
        let near = steps.into_iter().flatten().map(off);
        near.fold(f64::INFINITY, f64::min)
    }

    /// Whether it has degrees between none and all.
    pub fn is_graded(&self) -> bool {
        self.whole.is_some()
    }
}

/// The scale on which a value lies beyond a rule's clean limit.
pub fn beyond(rule: &Rule, value: f64) -> Option<Scale> {
    let ways = [Way::Low, Way::High].map(|way| Scale::of(rule, way));
    if rule.penalty(value).0 == Grade::Clean {
        return None;
    }
    let passed = |scale: &Scale| scale.way.outward(value) > scale.way.outward(scale.limit);
    ways.into_iter().flatten().find(passed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grade::Rulebook;

    #[test]
    fn every_scale_is_one_at_its_limit_and_comes_back_from_its_own_values() {
        let book = Rulebook::roster();
        for rule in book.rules() {
            for way in [Way::Low, Way::High] {
                let Some(scale) = Scale::of(rule, way) else {
                    continue;
                };
                if scale.is_graded() {
                    assert!(
                        (scale.degree(scale.limit) - 1.0).abs() < 1e-9,
                        "{:?}",
                        scale.id
                    );
                }
                let [least, most] = scale.asked();
                assert!(least < most, "{scale:?}");
                for degree in [least, 0.5 * (least + most), most] {
                    let value = scale.value(degree);
                    assert!((scale.degree(value) - degree).abs() < 1e-9, "{scale:?}");
                }
            }
        }
    }

    #[test]
    fn a_roll_is_told_in_limits() {
        let book = Rulebook::roster();
        let roll = book.rule(MeasureId::Roll).unwrap();
        let scale = Scale::of(roll, Way::High).unwrap();
        assert_eq!(scale.value(2.0), 2.0 * scale.limit);
        assert_eq!(beyond(roll, scale.limit), None);
        assert_eq!(beyond(roll, scale.value(1.1)), Some(scale));
    }
}
