//! Which margin is tight or cut off, by how much the two differ, how wide the machine is. May not enter: the
//! surroundings.

use super::{Culprits, MarkRole, Scene};
use crate::camera::framing::{Margins, margins};
use crate::camera::projection::Camera;
use crate::grade::measure::composition::is_even;
use crate::grade::{MeasureId, wording};
use crate::sighting::frame::Sighting;
use crate::sighting::rasterizer::Around;
use crate::units::Units;
use glam::DVec3;

/// An edge of the frame.
#[derive(Clone, Copy, PartialEq)]
enum Edge {
    Left,
    Right,
    Top,
    Bottom,
}

impl Edge {
    const ALL: [Edge; 4] = [Edge::Left, Edge::Right, Edge::Top, Edge::Bottom];

    fn word(self) -> &'static str {
        match self {
            Edge::Left => "left",
            Edge::Right => "right",
            Edge::Top => "top",
            Edge::Bottom => "bottom",
        }
    }

    fn is_upright(self) -> bool {
        matches!(self, Edge::Left | Edge::Right)
    }

    /// The margin here, a share of the frame.
    fn margin(self, margins: &Margins) -> f64 {
        match self {
            Edge::Left => margins.left,
            Edge::Right => margins.right,
            Edge::Top => margins.top,
            Edge::Bottom => margins.bottom,
        }
    }

    /// How far inside the edge a place of the frame lies, a share of the frame.
    fn inward(self, [u, v]: [f64; 2]) -> f64 {
        match self {
            Edge::Left => u,
            Edge::Right => 1.0 - u,
            Edge::Top => v,
            Edge::Bottom => 1.0 - v,
        }
    }

    /// The place so far inside the edge, so far along it.
    fn place(self, inward: f64, along: f64) -> [f64; 2] {
        match self {
            Edge::Left => [inward, along],
            Edge::Right => [1.0 - inward, along],
            Edge::Top => [along, inward],
            Edge::Bottom => [along, 1.0 - inward],
        }
    }

    /// The line so far inside the edge; none outside the frame.
    fn line(self, inward: f64) -> Option<[[f64; 2]; 2]> {
        let inside = (0.0..=1.0).contains(&inward);
        inside.then(|| [self.place(inward, 0.0), self.place(inward, 1.0)])
    }
}

/// A part of the machine that is cut off is shown by what is seen of it this near to the edge, a share of the frame.
const CUT_SHARE: f64 = 0.02;

impl Scene<'_> {
    fn margins(&self) -> Option<Margins> {
        margins(self.camera, &self.studio.stage.hull)
    }

    pub(super) fn side_margin(&self, out: &mut Culprits) {
        self.margin(out, [Edge::Left, Edge::Right]);
    }

    pub(super) fn top_bottom_margin(&self, out: &mut Culprits) {
        self.margin(out, [Edge::Top, Edge::Bottom]);
    }

    fn margin(&self, out: &mut Culprits, edges: [Edge; 2]) {
        let Some(margins) = self.margins() else {
            return;
        };
        if margins.beyond_eye {
            out.nothing =
                Some("the machine reaches beside the camera, so all of it is cut off".into());
            return;
        }
        let found = edges.map(|edge| edge.margin(&margins));
        for (edge, margin) in edges.into_iter().zip(found) {
            let tight = margin <= found[0].min(found[1]) || is_even(found);
            if !tight {
                continue;
            }
            let percent = 100.0 * margin;
            let limit = self
                .limit(percent)
                .and_then(|limit| edge.line(limit / 100.0));
            out.line(MarkRole::Limit, limit, None);
            out.line(MarkRole::Value, edge.line(margin.max(0.0)), None);
            out.anchor = Some(edge.place(margin.clamp(0.0, 1.0) / 2.0, 0.5));
            if margin >= 0.0 {
                self.strip(out, edge, [0.0, margin]);
            } else {
                self.cut_off(out, edge);
            }
            let words = match is_even(found) {
                true => format!("{} and {}", edges[0].word(), edges[1].word()),
                false => edge.word().to_string(),
            };
            out.label = Some(match margin >= 0.0 {
                true => self.told(percent, &words),
                false => format!(
                    "{} cut off, {words}",
                    wording::told(self.measure, -percent, Units::Metric)
                ),
            });
        }
    }

    /// Blames the pixels between two distances from an edge.
    fn strip(&self, out: &mut Culprits, edge: Edge, [from, to]: [f64; 2]) {
        let (width, height) = (out.mask.width, out.mask.height);
        out.mask.blame(|pixel| {
            let inward = edge.inward(place_of(pixel, width, height));
            f64::from(u8::from(inward >= from && inward < to))
        });
    }

    /// Blames what is seen of the machine right at an edge that cuts it off.
    fn cut_off(&self, out: &mut Culprits, edge: Edge) {
        let mut sighting = Sighting::default();
        let studio = self.studio;
        (studio.rasterizer).sight(&studio.stage, &self.view, Around::Nothing, &mut sighting);
        let (width, height) = (out.mask.width, out.mask.height);
        out.mask.blame(|pixel| {
            let near = edge.inward(place_of(pixel, width, height)) < CUT_SHARE;
            let machine = sighting.alone.ids[pixel].as_patch().is_some();
            f64::from(u8::from(near && machine))
        });
        if let Some(centre) = out.mask.centre() {
            out.anchor = Some(centre);
        }
    }

    /// The larger margin's excess is what a turn of the camera would share out.
    pub(super) fn balance(&self, out: &mut Culprits) {
        let Some(margins) = self.margins().filter(|m| !m.beyond_eye) else {
            out.nothing =
                Some("the machine reaches beside the camera, so all of it is cut off".into());
            return;
        };
        let edges = [Edge::Left, Edge::Right];
        for edge in edges {
            let margin = edge.margin(&margins);
            let words = format!("{} {}", percent(margin), edge.word());
            out.line(MarkRole::Value, edge.line(margin), Some(words));
        }
        let (wide, narrow) = match margins.left > margins.right {
            true => (edges[0], edges[1]),
            false => (edges[1], edges[0]),
        };
        let [least, most] = [narrow, wide].map(|edge| edge.margin(&margins));
        self.strip(out, wide, [least, most]);
        out.anchor = Some(wide.place(((least + most) / 2.0).clamp(0.0, 1.0), 0.5));
        let what = match is_even([margins.left, margins.right]) {
            true => "apart".to_string(),
            false => format!("more {}", wide.word()),
        };
        out.label = Some(self.told(100.0 * (most - least), &what));
    }

    pub(super) fn size(&self, out: &mut Culprits) {
        let Some(margins) = self.margins().filter(|m| !m.beyond_eye) else {
            out.nothing =
                Some("the machine reaches beside the camera and fills more than the frame".into());
            return;
        };
        let value = 100.0 * margins.width_share;
        // As wide as the limit asks for, about the machine's own middle.
        let middle = (margins.left + 1.0 - margins.right) / 2.0;
        for (edge, inward) in [(Edge::Left, middle), (Edge::Right, 1.0 - middle)] {
            out.line(MarkRole::Value, edge.line(edge.margin(&margins)), None);
            let limit = self.limit(value).map(|limit| inward - limit / 200.0);
            out.line(MarkRole::Limit, limit.and_then(|at| edge.line(at)), None);
        }
        out.label = Some(self.told(value, "of the width"));
        let height = (margins.top + 1.0 - margins.bottom) / 2.0;
        out.anchor = Some([middle.clamp(0.0, 1.0), height.clamp(0.0, 1.0)]);
        if out.marks.is_empty() {
            out.nothing = Some("the machine reaches past both sides of the frame".into());
        }
    }
}

/// Every margin with its percentage.
pub(super) fn margin_guides(hull: &[DVec3], camera: &Camera, out: &mut Culprits) {
    let Some(margins) = margins(camera, hull).filter(|m| !m.beyond_eye) else {
        return;
    };
    for edge in Edge::ALL {
        let margin = edge.margin(&margins);
        let axis = if edge.is_upright() { "width" } else { "height" };
        let words = match margin >= 0.0 {
            true => percent(margin),
            false => format!("cut off by {} of the {axis}", percent(-margin)),
        };
        out.line(MarkRole::Guide, edge.line(margin.max(0.0)), Some(words));
    }
}

fn percent(share: f64) -> String {
    wording::told(MeasureId::SideMargin, 100.0 * share, Units::Metric)
}

/// The middle of a pixel as a place in the frame.
pub(super) fn place_of(pixel: usize, width: usize, height: usize) -> [f64; 2] {
    [
        ((pixel % width) as f64 + 0.5) / width as f64,
        ((pixel / width) as f64 + 0.5) / height as f64,
    ]
}
