//! Roll against the level, leaning edges against the plumb line, and the lines that a finder may show at any time.
//! May not enter: what the pixels show.

use super::finder::Finder;
use super::framing::margin_guides;
use super::{Culprits, Mark, MarkRole, Scene};
use crate::grade::measure::composition::{leans_deg, upright_edge};
use crate::grade::{Composed, MeasureId, Studio};
use crate::mesh::model::{End, Model};
use crate::sighting::shown::Shown;
use crate::sighting::view::View;
use glam::{DVec2, DVec3};

/// The machine's end that is nearer to the eye, and the other.
pub(super) fn ends(model: &Model, eye: DVec3) -> [&End; 2] {
    match Shown::to(eye).head {
        true => [&model.head, &model.rear],
        false => [&model.rear, &model.head],
    }
}

/// Where the near side's edge at an end stands over the rail's own height.
pub(super) fn foot(end: &End, eye: DVec3) -> DVec3 {
    upright_edge(end, eye)[0].with_z(0.0)
}

impl Scene<'_> {
    pub(super) fn roll(&self, out: &mut Culprits) {
        let eye = self.camera.pose.eye;
        let [near, far] = ends(self.model(), eye).map(|end| foot(end, eye));
        // Through the rail below the near end, where the eye looks for the level; else through the frame's middle.
        let through = self.finder.inside(near).unwrap_or([0.5, 0.5]);
        out.line(MarkRole::Guide, self.finder.across(through, DVec2::X), None);
        out.line(
            MarkRole::Guide,
            self.finder.line(near, far),
            Some("rail".into()),
        );
        out.line(
            MarkRole::Value,
            self.finder.level(through),
            Some("level".into()),
        );
        out.anchor = Some(through);
        let roll = self.camera.pose.roll_deg;
        out.label = Some(self.told(roll.abs(), turned(roll)));
    }

    pub(super) fn lean(&self, out: &mut Culprits) {
        let model = self.model();
        let leans = leans_deg(model, self.camera);
        let worse = match leans[0] >= leans[1] {
            true => &model.head,
            false => &model.rear,
        };
        let [foot, head] = upright_edge(worse, self.camera.pose.eye);
        let edge = self.finder.line(foot.with_z(0.0), head.with_z(5.0));
        out.line(MarkRole::Value, edge, None);
        if let Some([from, _]) = edge {
            out.line(
                MarkRole::Guide,
                self.finder.plumb(from),
                Some("plumb".into()),
            );
        }
        out.anchor = self.finder.inside(head);
        let pitch = self.camera.pose.pitch_deg;
        let way = match pitch {
            pitch if pitch < 0.0 => "apart",
            pitch if pitch > 0.0 => "together",
            _ => "",
        };
        out.label = Some(self.told(leans[0].max(leans[1]), way));
        if edge.is_none() {
            out.nothing = Some("the upright edges of both ends lie outside the frame".into());
        }
    }
}

fn turned(roll_deg: f64) -> &'static str {
    match roll_deg {
        roll if roll > 0.0 => "clockwise",
        roll if roll < 0.0 => "counter-clockwise",
        _ => "",
    }
}

impl Studio<'_> {
    /// Lines for the finder: the level at the rail below the near end, plumb lines at both ends of the machine, the
    /// margins with their percentages.
    pub fn guides(&self, composed: &Composed) -> Vec<Mark> {
        let camera = &composed.camera;
        let (finder, eye) = (Finder::new(camera), camera.pose.eye);
        let mut out = Culprits::none(MeasureId::Roll, &View::through(camera, 1));
        let feet = ends(&self.scene.machine.model, eye).map(|end| foot(end, eye));
        let near = finder.inside(feet[0]).unwrap_or([0.5, 0.5]);
        out.line(MarkRole::Guide, finder.level(near), Some("level".into()));
        for foot in feet {
            let plumb = finder
                .inside(foot + DVec3::Z)
                .and_then(|at| finder.plumb(at));
            out.line(MarkRole::Guide, plumb, Some("plumb".into()));
        }
        margin_guides(&self.stage.hull, camera, &mut out);
        out.marks
    }
}
