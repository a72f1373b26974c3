//! What causes a finding, in the camera's own frame: the pixels that a measure counts, and lines that show what it
//! measures against. May not enter: limits of its own, second opinions (a measure and its mask share their code),
//! how any of it is drawn.

mod answer; // the answer: mask, lines, shapes
mod backdrop; // what meets the roofline and lies round the outline
mod finder; // points and lines of space in the frame
mod foreground; // what stands before the machine, and people
mod framing; // margins, balance, size
mod level; // roll and lean, and the guides
mod light; // what the sun should reach and does not
mod mask; // a value for each pixel
mod shadow; // shadows of other things and of the photographer
mod subject; // what is coupled, open, dirty, unsharp
mod sun; // what sun and eye decide without a pixel
mod viewpoint; // where the eye stands: off the nose, its height, near against far

pub use answer::{Culprits, Form, Mark, MarkRole};
pub use mask::Mask;

use super::measure::eye::Eye;
use super::measure::surroundings::Found;
use super::wording::told;
use super::{Composed, MeasureId, Measured, Minute, Reading, Studio};
use crate::camera::projection::Camera;
use crate::mesh::model::Model;
use crate::sighting::frame::Sighting;
use crate::sighting::view::View;
use crate::units::Units;
use finder::Finder;

/// All that an answer is made from.
struct Scene<'a> {
    studio: &'a Studio<'a>,
    composed: &'a Composed,
    minute: &'a Minute,
    measure: MeasureId,
    camera: &'a Camera,
    view: View,
    finder: Finder<'a>,
}

impl Scene<'_> {
    /// The camera's own frame, drawn: what every eye sees is counted by the same code.
    fn own(&self) -> Eye {
        let studio = self.studio;
        let mut sighting = Sighting::default();
        let around = Eye::AROUND;
        (studio.rasterizer).sight(&studio.stage, &self.view, around, &mut sighting);
        Eye::of(&studio.stage, self.view.clone(), sighting)
    }

    fn model(&self) -> &Model {
        &self.studio.scene.machine.model
    }

    /// What was measured, sun and light in pixels left out.
    fn measured(&self) -> Option<Measured> {
        let mut all = self.composed.measured.clone();
        let moment = self.minute.moment();
        self.studio.sun_measures(self.camera, &moment, &mut all);
        all.into_iter().find(|one| one.id == self.measure)
    }

    fn value(&self) -> Option<f64> {
        match self.measured()?.reading {
            Reading::Value(value) => Some(value),
            _ => None,
        }
    }

    /// What was found around the machine.
    fn found(&self) -> Option<&Found> {
        self.composed.found.as_deref()
    }

    /// The limit that a value passed, or the clean one that it has not.
    fn limit(&self, value: f64) -> Option<f64> {
        let rule = self.studio.rulebook.rule(self.measure)?;
        rule.passed_limit(value).or_else(|| {
            let clean = |side: &Option<super::rule::Side>| side.as_ref().map(|s| s.limits[0]);
            let ends = [clean(&rule.low), clean(&rule.high)];
            let near = |limit: &f64| (value - limit).abs();
            let ends = ends.into_iter().flatten();
            ends.min_by(|a, b| near(a).total_cmp(&near(b)))
        })
    }

    /// "2.1 % left, limit 4 %".
    fn told(&self, value: f64, what: &str) -> String {
        self.told_in(Units::Metric, value, what)
    }

    fn told_in(&self, units: Units, value: f64, what: &str) -> String {
        let mut text = told(self.measure, value, units);
        if !what.is_empty() {
            text += " ";
            text += what;
        }
        if let Some(limit) = self.limit(value) {
            text += ", limit ";
            text += &told(self.measure, limit, units);
        }
        text
    }
}

impl Studio<'_> {
    /// What causes a measure's value in a frame, `width_px` across, one pixel a value.
    pub fn culprits(
        &self,
        composed: &Composed,
        minute: &Minute,
        measure: MeasureId,
        width_px: usize,
    ) -> Culprits {
        let camera = &composed.camera;
        let scene = Scene {
            studio: self,
            composed,
            minute,
            measure,
            camera,
            view: View::through(camera, width_px.max(1)),
            finder: Finder::new(camera),
        };
        let mut out = Culprits::none(measure, &scene.view);
        let told = scene.measured().and_then(|one| match one.reading {
            Reading::Value(_) => None,
            Reading::NotApplicable(why) | Reading::Unknown(why) => Some(why),
        });
        if told.is_none() {
            scene.answer(&mut out);
        }
        if out.anchor.is_none() {
            let first = out.marks.first().and_then(|mark| mark.points.first());
            out.anchor = out.mask.centre().or(first.copied());
        }
        if out.is_empty() {
            let none = || "nothing in the frame is to blame".to_string();
            out.nothing = told.or(out.nothing).or_else(|| Some(none()));
            out.anchor = None;
        } else {
            out.nothing = None;
        }
        out
    }
}

impl Scene<'_> {
    fn answer(&self, out: &mut Culprits) {
        match self.measure {
            MeasureId::OffNose => self.off_nose(out),
            MeasureId::EndShown => self.end_shown(out),
            MeasureId::EyeOverRail => self.eye_over_rail(out),
            MeasureId::FocalEquivalent => self.focal(out),
            MeasureId::NearFar => self.near_far(out),
            MeasureId::Roll => self.roll(out),
            MeasureId::Lean => self.lean(out),
            MeasureId::SideMargin => self.side_margin(out),
            MeasureId::TopBottomMargin => self.top_bottom_margin(out),
            MeasureId::Balance => self.balance(out),
            MeasureId::Size => self.size(out),
            MeasureId::Hidden => self.hidden(out),
            MeasureId::WorstHiddenPart => self.worst_hidden_part(out),
            MeasureId::Growths => self.growths(out),
            MeasureId::RooflineChanges | MeasureId::TreeRowChanges => self.roofline(out),
            MeasureId::BarsBehind => self.bars(out),
            MeasureId::BandBehind => self.band(out),
            MeasureId::WiresUprights => self.wires_uprights(out),
            MeasureId::ShadowLine => self.shadow_line(out),
            MeasureId::NoseLit | MeasureId::SideLit | MeasureId::RunningGearLit => self.unlit(out),
            MeasureId::NoseSide => self.nose_side(out),
            MeasureId::HandrailShadow => self.handrail(out),
            MeasureId::ProfileAngle
            | MeasureId::SunElevation
            | MeasureId::SunBehindTerrain
            | MeasureId::BeamStrength => self.sun(out),
            MeasureId::ForeignBody | MeasureId::ForeignCore => self.foreign_body(out),
            MeasureId::ForeignGear => self.foreign_gear(out),
            MeasureId::LetteringShaded => self.lettering(out),
            MeasureId::OwnShadow => self.own_shadow(out),
            MeasureId::CoupledFront | MeasureId::CoupledRear => self.coupled(out),
            MeasureId::DoorsOpen => self.doors(out),
            MeasureId::People => self.people(out),
            MeasureId::Dirt => self.dirt(out),
            MeasureId::FocusOutside => self.focus(out),
            MeasureId::ExposureError | MeasureId::Clipped | MeasureId::Blocked => {
                self.exposure(out);
            }
        }
    }
}
