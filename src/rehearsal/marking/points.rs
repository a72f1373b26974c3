//! The machine's named points: by end and side, which face a camera, which would help most. May not enter: fitting,
//! photographs.

use crate::mesh::model::{Model, NamedPoint};
use crate::picture::line_drawing::LineDrawing;
use crate::rehearsal::bench::Room;
use crate::sighting::shown::Side;
use glam::DVec3;
use std::sync::Arc;

/// Points nearer to the middle than this belong to no side.
const MIDDLE_M: f64 = 0.3;

/// Pixels across of a drawing that is shown, and of one that only tells what is seen.
const SHOWN_PX: usize = 440;
const ASKED_PX: usize = 400;

/// Where an eye of a drawing stands: shares of the machine's length along and aside, metres up.
const ALONG: f64 = 0.62;
const ASIDE: f64 = 0.85;
const EYE_M: f64 = 3.2;

/// Points of one end and side.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// "Cab end, left side".
    pub words: String,
    /// Indices into the model's points, highest first.
    pub points: Vec<usize>,
}

/// The side on which a point lies; none in the middle.
pub fn side_of(point: &NamedPoint) -> Option<Side> {
    let y_m = point.position_m.y;
    match y_m.abs() < MIDDLE_M {
        true => None,
        false if y_m > 0.0 => Some(Side::Left),
        false => Some(Side::Right),
    }
}

/// All points in groups: either end's sides, then what lies in the middle of an end.
pub fn groups(model: &Model) -> Vec<Group> {
    let mut all = vec![];
    for (end, sign) in [(&model.head, 1.0), (&model.rear, -1.0)] {
        for side in [Some(Side::Left), Some(Side::Right), None] {
            let is_there = |point: &NamedPoint| {
                let own = if point.position_m.x >= 0.0 { 1.0 } else { -1.0 };
                own == sign && side_of(point) == side
            };
            let points = model.points.iter().enumerate();
            let there = points.filter(|(_, point)| is_there(point));
            let mut points: Vec<usize> = there.map(|(index, _)| index).collect();
            points.sort_by(|a, b| {
                let height_m = |n: &usize| model.points[*n].position_m.z;
                height_m(b).total_cmp(&height_m(a))
            });
            let place = match side {
                Some(side) => format!("{} side", side.word()),
                None => "middle".to_string(),
            };
            let words = crate::grade::wording::sentence_case(&format!("{}, {place}", end.words()));
            if !points.is_empty() {
                all.push(Group { words, points });
            }
        }
    }
    all
}

/// A machine seen from four corners: head and left, head and right, rear and left, rear and right.
#[derive(Clone, Debug)]
pub struct Drawings([Option<Arc<LineDrawing>>; 4]);

/// A corner from which the machine is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Corner {
    /// From its head end.
    pub head: bool,
    /// From this side.
    pub side: Side,
}

impl Corner {
    /// The corner that an eye looks from.
    pub fn of(eye: DVec3) -> Corner {
        Corner {
            head: eye.x >= 0.0,
            side: if eye.y >= 0.0 {
                Side::Left
            } else {
                Side::Right
            },
        }
    }

    fn index(self) -> usize {
        2 * usize::from(!self.head) + usize::from(self.side == Side::Right)
    }

    /// Where an eye stands that sees a machine of this length well from there.
    pub fn eye(self, length_m: f64) -> DVec3 {
        let along = if self.head { ALONG } else { -ALONG };
        let aside = ASIDE * self.side.sign();
        DVec3::new(along * length_m, aside * length_m, EYE_M)
    }
}

impl Drawings {
    /// Draws all four.
    pub fn of(room: &Room) -> Drawings {
        let length_m = room.stage.model.length_over_couplers_m();
        let drawn = |head: bool, side: Side| {
            let eye = Corner { head, side }.eye(length_m);
            LineDrawing::from(room.rasterizer, &room.stage, eye, SHOWN_PX).map(Arc::new)
        };
        let both = |head| [drawn(head, Side::Left), drawn(head, Side::Right)];
        let ([a, b], [c, d]) = (both(true), both(false));
        Drawings([a, b, c, d])
    }

    /// The one from a corner.
    pub fn from(&self, corner: Corner) -> Option<&Arc<LineDrawing>> {
        self.0[corner.index()].as_ref()
    }

    /// The corner that shows a point: this one if it does, else one on the point's side, else any.
    pub fn showing(&self, corner: Corner, point: &NamedPoint) -> Corner {
        let side = side_of(point).unwrap_or(corner.side);
        let head = point.position_m.x >= 0.0;
        let others = [head, !head]
            .into_iter()
            .flat_map(|head| [side, corner.side].map(|side| Corner { head, side }));
        let mut all = std::iter::once(corner).chain(others);
        let sees = |corner: &Corner| {
            let drawing = self.from(*corner);
            drawing.is_some_and(|drawing| drawing.sees(point.position_m))
        };
        all.find(sees).unwrap_or(Corner { head, side })
    }
}

/// Which points an eye sees: those that no other part of the machine hides.
pub fn seen_from(room: &Room, model: &Model, eye: DVec3) -> Vec<bool> {
    let drawing = LineDrawing::from(room.rasterizer, &room.stage, eye, ASKED_PX);
    let sees = |point: &NamedPoint| {
        let drawing = drawing.as_ref();
        drawing.is_none_or(|drawing| drawing.sees(point.position_m))
    };
    model.points.iter().map(sees).collect()
}

/// How much less a point of the far side is asked for: what is seen of that side is easily mistaken.
const FAR_SIDE: f64 = 0.6;

/// The point that would help most: of those seen and not marked, the farthest from all that are marked, along, across
/// and up each measured by the machine's own size. Of none marked, the one farthest from the middle.
pub fn most_helpful(
    model: &Model,
    corner: Corner,
    (marked, seen): (&[usize], &[bool]),
    but: Option<usize>,
) -> Option<usize> {
    let size = model
        .points
        .iter()
        .fold(DVec3::ONE, |size, point| size.max(point.position_m.abs()));
    let place = |n: usize| model.points[n].position_m / size;
    let middle = DVec3::new(0.0, 0.0, 0.5);
    let lone = |n: usize| {
        let near = marked.iter().map(|other| place(*other).distance(place(n)));
        let away = near.reduce(f64::min);
        let away = away.unwrap_or_else(|| place(n).distance(middle));
        let far = side_of(&model.points[n]).is_some_and(|side| side != corner.side);
        if far { FAR_SIDE * away } else { away }
    };
    let free = |n: &usize| seen[*n] && !marked.contains(n) && but != Some(*n);
    let all = (0..model.points.len()).filter(free);
    all.max_by(|a, b| lone(*a).total_cmp(&lone(*b)).then(b.cmp(a)))
}
