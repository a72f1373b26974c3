//! Shadows of other things on the body, with what casts them, and the photographer's own. May not enter: the machine's
//! shadows on itself.

use super::{Culprits, Form, Mark, MarkRole, Scene};
use crate::grade::MeasureId;
use crate::grade::measure::light::photographer_shadow;
use crate::sighting::elevation::{Caster, Counted};
use crate::sighting::stage::StageKind;
use glam::{DVec2, DVec3};

/// What casts a shadow is shown fainter than the shadow.
const CASTER_SHARE: f64 = 0.5;

/// Half the width of somebody's shadow, a standing adult's shoulders (from memory).
const SHOULDER_M: f64 = 0.25;

impl Scene<'_> {
    /// The region that is counted, and its caster where that stands in the frame.
    pub(super) fn foreign_body(&self, out: &mut Culprits) {
        let (Some(sun), Some(eye)) = (&self.minute.buffer, &self.composed.eye) else {
            out.nothing = Some("no sun, no shadow".into());
            return;
        };
        let stage = &self.studio.stage;
        let faces = self.studio.faces_for(eye);
        let shadows = self
            .studio
            .shadows(self.minute, eye.shown, self.studio.is_proof(eye));
        let (shadow, counted) = match self.measure {
            MeasureId::ForeignCore => (shadows.iter().find(|one| one.core), Counted::Core),
            _ => (shadows.first(), Counted::Largest),
        };
        let Some(shadow) = shadow else {
            out.nothing = Some(match self.measure {
                MeasureId::ForeignCore => {
                    "no stripe of another thing's shadow crosses the body".into()
                }
                _ => "no other thing shades the body".into(),
            });
            return;
        };
        let darkened = faces.darkened(stage, sun, shadow.caster, counted);
        let own = self.own();
        for sample in &own.samples {
            let share = darkened.share(sample.class, sample.point);
            if share > 0.0 {
                out.mask.set(sample.pixel as usize, share);
            }
        }
        out.anchor = out.mask.centre();
        match shadow.caster {
            Caster::Object(k) => {
                let ids = &own.sighting.all.ids;
                out.mask
                    .blame(|pixel| match ids[pixel].as_object() == Some(k) {
                        true => CASTER_SHARE,
                        false => 0.0,
                    });
            }
            Caster::Wire(k) => {
                for points in self.wire_runs(eye, &stage.wires[k].points) {
                    out.marks.push(Mark {
                        role: MarkRole::Guide,
                        form: Form::Line,
                        points,
                        label: None,
                    });
                }
            }
        }
        out.label = Some(format!("the {}", shadow.name));
        out.nothing = Some("the shaded part of the body cannot be seen from here".into());
    }

    /// The photographer's shadow as it lies on level ground.
    pub(super) fn own_shadow(&self, out: &mut Culprits) {
        let eye = self.camera.pose.eye;
        let ground_z = eye.z - self.composed.stand.height_m;
        let Some([feet, head]) = photographer_shadow(self.camera, ground_z, self.minute.toward)
        else {
            out.nothing = Some("no sun, no shadow".into());
            return;
        };
        let aside = (head - feet).cross(DVec3::Z).normalize_or_zero() * SHOULDER_M;
        let corners = [feet - aside, head - aside, head + aside, feet + aside];
        let outline = self.finder.area(&corners);
        out.nothing = Some("your shadow falls outside the frame".into());
        if outline.len() < 3 {
            return;
        }
        let (own, stage) = (self.own(), &self.studio.stage);
        let (along, length_m) = ((head - feet).normalize_or_zero(), head.distance(feet));
        out.mask.blame(|pixel| {
            let lies = match own.sighting.all.ids[pixel].as_object() {
                Some(k) => {
                    let kind = stage.objects[k].kind;
                    !matches!(kind, StageKind::Thing(_) | StageKind::Coupled)
                }
                None => false,
            };
            let (column, row) = (pixel % own.view.width, pixel / own.view.width);
            let middle = DVec2::new(column as f64 + 0.5, row as f64 + 0.5);
            let flat = own.view.plane_at(middle);
            let ray = own.view.right * flat.x + own.view.up * flat.y + own.view.forward;
            let point = eye + ray * ((ground_z - eye.z) / ray.z) - feet;
            let inside = ray.z < 0.0
                && (0.0..=length_m).contains(&point.dot(along))
                && point.reject_from(along).length() <= SHOULDER_M;
            f64::from(u8::from(lies && inside))
        });
        out.area(MarkRole::Guide, outline, None);
        out.label = Some("your shadow".into());
    }
}
