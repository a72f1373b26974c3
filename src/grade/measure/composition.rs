//! Measures of composition: viewpoint, perspective, level, framing. May not enter: suns, and what stands
//! around the machine.

use crate::camera::framing::{Margins, margins};
use crate::camera::projection::Camera;
use crate::grade::{MeasureId, Measured};
use crate::mesh::model::{End, Model};
use crate::scene::machine::HeadEnd;
use crate::sighting::shown::Shown;
use crate::sighting::view::NEAREST_M;
use crate::units::deg;
use glam::DVec3;

/// Height over the rail at which the depth of a coupler face is taken: 33 in, mid-way in the range of
/// 49 CFR 231 (from memory).
pub const COUPLER_HEIGHT_M: f64 = 0.84;

/// Viewpoint: needs only the eye.
pub fn viewpoint(model: &Model, head_end: HeadEnd, eye: DVec3, out: &mut Vec<Measured>) {
    let either_end = model.double_ended || !model.powered;
    let along = if either_end { eye.x.abs() } else { eye.x };
    out.push(Measured::value(
        MeasureId::OffNose,
        deg(eye.y.abs().atan2(along)),
    ));
    let end_shown = match (either_end, head_end, Shown::to(eye).head) {
        (true, ..) => 0.0,
        (false, HeadEnd::Unknown, _) => 1.0,
        (false, _, true) => 0.0,
        (false, _, false) => 2.0,
    };
    out.push(Measured::value(MeasureId::EndShown, end_shown));
    out.push(Measured::value(MeasureId::EyeOverRail, eye.z));
}

/// Depth along the axis of the two coupler faces, head first.
pub fn coupler_depths_m(model: &Model, camera: &Camera) -> [f64; 2] {
    let forward = camera.pose.basis().forward;
    [&model.head, &model.rear].map(|end| {
        (DVec3::new(end.coupler_x_m, 0.0, COUPLER_HEIGHT_M) - camera.pose.eye).dot(forward)
    })
}

/// Perspective, level and framing: eye, lens and turn.
pub fn geometry(
    model: &Model,
    hull: &[DVec3],
    camera: &Camera,
    out: &mut Vec<Measured>,
) -> Option<Margins> {
    let equivalent = camera.lens.equivalent_mm(&camera.film);
    out.push(Measured::value(MeasureId::FocalEquivalent, equivalent));
    let depths = coupler_depths_m(model, camera);
    let (near, far) = (depths[0].min(depths[1]), depths[0].max(depths[1]));
    out.push(Measured::absolute(MeasureId::Roll, camera.pose.roll_deg));
    // The margins tell of what lies beside or behind the camera.
    if near > NEAREST_M {
        out.push(Measured::value(MeasureId::NearFar, far / near));
        let [head, rear] = leans_deg(model, camera);
        let lean = head.max(rear).copysign(camera.pose.pitch_deg);
        out.push(Measured::absolute(MeasureId::Lean, lean));
    } else {
        let why = "an end of the machine is not before the camera";
        out.push(Measured::not_applicable(MeasureId::NearFar, why));
        out.push(Measured::not_applicable(MeasureId::Lean, why));
    }
    let margins = margins(camera, hull);
    let Some(m) = margins else {
        for id in [
            MeasureId::SideMargin,
            MeasureId::TopBottomMargin,
            MeasureId::Balance,
            MeasureId::Size,
        ] {
            out.push(Measured::unknown(id, "the machine has no outline"));
        }
        return None;
    };
    framing(&m, out);
    margins
}

/// What margins say.
pub fn framing(m: &Margins, out: &mut Vec<Measured>) {
    let tighter = |margins: [f64; 2], [first, second, both]: [&'static str; 3]| {
        let difference = margins[0] - margins[1];
        if is_even(margins) {
            both
        } else if difference < 0.0 {
            first
        } else {
            second
        }
    };
    let side = tighter([m.left, m.right], ["left", "right", "left and the right"]);
    let end = tighter([m.top, m.bottom], ["top", "bottom", "top and the bottom"]);
    out.push(Measured::value(MeasureId::SideMargin, 100.0 * m.smaller_side()).with_detail(side));
    out.push(Measured::value(MeasureId::TopBottomMargin, 100.0 * m.smaller_end()).with_detail(end));
    out.push(Measured::absolute(
        MeasureId::Balance,
        100.0 * (m.left - m.right),
    ));
    out.push(Measured::value(MeasureId::Size, 100.0 * m.width_share));
}

/// Margins nearer to one another than this share of the frame are told as even.
const EVEN_SHARE: f64 = 0.0005;

/// Whether two opposite margins are told as even.
pub fn is_even(margins: [f64; 2]) -> bool {
    (margins[0] - margins[1]).abs() < EVEN_SHARE
}

/// The upright edge at an end of the side that faces the eye: foot and head, 1 and 3 m over the rail.
pub fn upright_edge(end: &End, eye: DVec3) -> [DVec3; 2] {
    let side = Shown::to(eye).side.sign();
    let foot = DVec3::new(end.corner_x_m, side * end.corner_half_width_m, 1.0);
    [foot, foot + DVec3::Z * 2.0]
}

/// By how much verticals at the machine's two ends lean in the picture for pitch alone, head first.
pub fn leans_deg(model: &Model, camera: &Camera) -> [f64; 2] {
    let mut plumb = *camera;
    plumb.pose.roll_deg = 0.0;
    [&model.head, &model.rear].map(|end| {
        let [foot, head] = upright_edge(end, camera.pose.eye);
        match (plumb.project(foot), plumb.project(head)) {
            (Some(a), Some(b)) => deg((b.x_mm - a.x_mm).atan2((b.y_mm - a.y_mm).abs())).abs(),
            _ => 90.0,
        }
    })
}
