//! What of the machine the sun should reach and does not, by the measure's own samples in the camera's frame. May not
//! enter: closed forms of sun and eye.

use super::{Culprits, MarkRole, Scene};
use crate::grade::MeasureId;
use crate::grade::measure::eye::Eye;
use crate::grade::measure::light::{SampleLight, exact_shares, handrail_shadow_m, sample_light};
use crate::sighting::closed_form::handrail_shift_m;
use crate::sighting::shown::{Class, Shown};
use glam::DVec3;

/// A shadow line lower than this over the rail lies on nothing: the body ends above it.
const LOWEST_SHADOW_M: f64 = 0.2;

impl Scene<'_> {
    /// Blames samples by what the light is there.
    fn samples(
        &self,
        out: &mut Culprits,
        own: &Eye,
        share: impl Fn(Class, bool, &SampleLight) -> f64,
    ) {
        let studio = self.studio;
        let sun = self.minute.buffer.as_ref();
        for sample in &own.samples {
            let light = sample_light(
                &studio.stage,
                sample,
                sun,
                &self.minute.daylight,
                &studio.openness.sky,
            );
            let share = share(sample.class, sample.lettering, &light);
            if share > 0.0 {
                out.mask.set(sample.pixel as usize, share);
            }
        }
    }

    pub(super) fn unlit(&self, out: &mut Culprits) {
        let (class, what) = match self.measure {
            MeasureId::NoseLit => (Class::Nose, "face"),
            MeasureId::SideLit => (Class::Side, "side"),
            _ => (Class::RunningGear, "running gear"),
        };
        self.samples(out, &self.own(), |of, _, light| {
            f64::from(u8::from(of == class && !light.lit_alone))
        });
        match out.mask.is_empty() {
            true => {
                out.nothing = Some(format!(
                    "the machine's own shade leaves the {what} in the sun"
                ))
            }
            false => out.label = Some(format!("{what} in its own shade")),
        }
    }

    /// The darker of face and side, by how much of the other's light it lacks.
    pub(super) fn nose_side(&self, out: &mut Culprits) {
        let (studio, own) = (self.studio, self.own());
        let sun = self.minute.buffer.as_ref();
        let (daylight, sky) = (&self.minute.daylight, &studio.openness.sky);
        let shares = exact_shares(&studio.stage, &own, sun, daylight, sky);
        let [nose, side] = [0, 1].map(|row| shares.lux[row] / shares.weight[row]);
        let (darker, brighter, what) = match nose < side {
            true => (Class::Nose, side, "the darker face"),
            false => (Class::Side, nose, "the darker side"),
        };
        if nose.is_nan() || side.is_nan() {
            out.nothing = Some("face and side are not both in the frame".into());
            return;
        }
        self.samples(out, &own, |of, _, light| match of == darker {
            true => 1.0 - light.lux / brighter,
            false => 0.0,
        });
        out.label = Some(what.into());
    }

    pub(super) fn foreign_gear(&self, out: &mut Culprits) {
        self.samples(out, &self.own(), |of, _, light| {
            let taken = light.lit_alone && !light.lit;
            f64::from(u8::from(of == Class::RunningGear && taken))
        });
        match out.mask.is_empty() {
            true => out.nothing = Some("nothing else shades the running gear".into()),
            false => out.label = Some("in another thing's shadow".into()),
        }
    }

    pub(super) fn lettering(&self, out: &mut Culprits) {
        self.samples(out, &self.own(), |_, lettering, light| {
            f64::from(u8::from(lettering && !light.lit))
        });
        match out.mask.is_empty() {
            true => out.nothing = Some("the lettering that is seen is in the sun".into()),
            false => out.label = Some("lettering in shadow".into()),
        }
    }

    /// The rail, its shadow on the plane of the doors, and their lower edge.
    pub(super) fn handrail(&self, out: &mut Culprits) {
        let (model, toward) = (self.model(), self.minute.toward);
        let (Some(rail), Some(doors)) = (model.handrail, model.doors) else {
            return;
        };
        let shown = Shown::to(self.camera.pose.eye);
        let side = shown.side.sign();
        let along = |offset_m: f64, height_m: f64, [from, to]: [f64; 2]| {
            let at = |x: f64| DVec3::new(x, side * offset_m, height_m);
            self.finder.line(at(from), at(to))
        };
        let doors_m = [doors.from_x_m, doors.to_x_m];
        let rail_m = [rail.from_x_m, rail.to_x_m];
        let edge = along(doors.offset_m, doors.bottom_m, doors_m);
        out.line(MarkRole::Limit, edge, Some("doors' lower edge".into()));
        out.line(
            MarkRole::Guide,
            along(rail.offset_m, rail.height_m, rail_m),
            Some("handrail".into()),
        );
        let standoff_m = rail.offset_m - doors.offset_m;
        let shadow = handrail_shadow_m(model, shown, toward);
        let shift = handrail_shift_m(standoff_m, toward, side);
        let (Ok(over_m), Some(shift_m)) = (shadow, shift) else {
            return;
        };
        let height_m = doors.bottom_m + over_m;
        // The shadow of the rail's whole length, as far as there is a body for it to fall on.
        let (least, most) = (model.rear.corner_x_m, model.head.corner_x_m);
        let ends = rail_m.map(|x| (x - side * shift_m).clamp(least, most));
        if height_m >= LOWEST_SHADOW_M {
            let line = along(doors.offset_m, height_m, ends);
            out.line(MarkRole::Value, line, Some("its shadow".into()));
            let way = if over_m >= 0.0 { "above" } else { "below" };
            out.say_length(|units| {
                let off = crate::grade::wording::told(self.measure, over_m.abs(), units);
                format!("{off} {way} the edge")
            });
            out.anchor = line.map(|[a, b]| [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]);
        } else {
            out.label = Some("its shadow falls off the body".into());
            out.anchor = edge.map(|[a, b]| [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]);
        }
        out.nothing = Some("the doors lie outside the frame".into());
    }
}
