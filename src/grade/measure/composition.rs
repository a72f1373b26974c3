//! Measures of composition: viewpoint, perspective, level, framing, foreground, backdrop. May not enter:
//! suns.

use super::eye::Eye;
use crate::camera::framing::{Margins, margins};
use crate::camera::projection::Camera;
use crate::grade::{MeasureId, Measured};
use crate::mesh::model::Model;
use crate::scene::machine::HeadEnd;
use crate::scene::surroundings::Kind;
use crate::sighting::shown::Shown;
use crate::sighting::silhouette::{Hidden, Outline, hidden, outline};
use crate::sighting::stage::{Stage, StageKind};
use crate::units::deg;
use glam::{DVec2, DVec3};

/// Height over the rail at which the depth of a coupler face is taken: 33 in, mid-way in the range of
/// 49 CFR 231 (from memory).
const COUPLER_HEIGHT_M: f64 = 0.84;

/// Share of the frame's width that the band round the silhouette takes (rulebook).
const BAND_SHARE: f64 = 0.03;

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
    [model.head, model.rear].map(|end| {
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
    let ratio = if near > 0.1 {
        far / near
    } else {
        f64::INFINITY
    };
    out.push(Measured::value(MeasureId::NearFar, ratio));
    out.push(Measured::absolute(MeasureId::Roll, camera.pose.roll_deg));
    let lean = lean_deg(model, camera).copysign(camera.pose.pitch_deg);
    out.push(Measured::absolute(MeasureId::Lean, lean));
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
    let tighter = |margins: [f64; 2], [first, second, both]: [&'static str; 3]| {
        let difference = margins[0] - margins[1];
        if difference.abs() < EVEN_SHARE {
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
    margins
}

/// Margins nearer to one another than this share of the frame are told as even.
const EVEN_SHARE: f64 = 0.0005;

/// By how much verticals at the worse of the machine's ends lean in the picture for pitch alone.
fn lean_deg(model: &Model, camera: &Camera) -> f64 {
    let mut plumb = *camera;
    plumb.pose.roll_deg = 0.0;
    let side = Shown::to(camera.pose.eye).side.sign();
    let lean = |end: &crate::mesh::model::End| {
        let foot = DVec3::new(end.corner_x_m, side * end.corner_half_width_m, 1.0);
        match (plumb.project(foot), plumb.project(foot + DVec3::Z * 2.0)) {
            (Some(a), Some(b)) => deg((b.x_mm - a.x_mm).atan2((b.y_mm - a.y_mm).abs())).abs(),
            _ => 90.0,
        }
    };
    lean(&model.head).max(lean(&model.rear))
}

/// Whether each pixel of an eye's view lies inside a camera's frame.
pub fn frame_mask(eye: &Eye, camera: &Camera) -> Vec<bool> {
    let frame = &eye.sighting.alone;
    let view = &eye.view;
    // The camera's window is a homography of the view's: its axes are taken apart once.
    let axes = camera.pose.basis();
    let rows = [axes.right, axes.up, axes.forward].map(|axis| {
        DVec3::new(
            view.right.dot(axis),
            view.up.dot(axis),
            view.forward.dot(axis),
        )
    });
    let (focal, film) = (camera.lens.focal_mm, camera.film);
    let shift = DVec2::new(camera.lens.shift_x_mm, camera.lens.shift_y_mm);
    let half = DVec2::new(film.width_mm, film.height_mm) / 2.0;
    let mut mask = Vec::with_capacity(frame.ids.len());
    for row in 0..frame.height {
        for column in 0..frame.width {
            let flat = view.plane_at(DVec2::new(column as f64 + 0.5, row as f64 + 0.5));
            let ray = DVec3::new(flat.x, flat.y, 1.0);
            let depth = rows[2].dot(ray);
            let image = DVec2::new(rows[0].dot(ray), rows[1].dot(ray)) * (focal / depth) - shift;
            mask.push(depth > 0.0 && image.abs().cmple(half).all());
        }
    }
    mask
}

/// Foreground and backdrop: counted in the eye's sighting within the camera's frame.
pub fn surroundings(
    stage: &Stage,
    eye: &Eye,
    camera: &Camera,
    margins: Option<Margins>,
    is_hill: &dyn Fn(DVec3) -> bool,
    out: &mut Vec<Measured>,
) {
    let mask = frame_mask(eye, camera);
    let in_frame = |pixel: usize| mask[pixel];
    let hidden = hidden(stage, &eye.sighting, &in_frame);
    let machine_px = eye.view.width as f64 * 0.88;
    let size = margins.map_or(0.8, |m| m.width_share.clamp(0.05, 2.0));
    let band_px = BAND_SHARE * machine_px / size;
    let outline = outline(stage, &eye.view, &eye.sighting, band_px, &in_frame, is_hill);
    counted(stage, &hidden, &outline, wires_above(stage, camera), out);
    let people = eye.sighting.all.ids.iter().enumerate().any(|(pixel, id)| {
        let person = |k: usize| stage.objects[k].kind == StageKind::Thing(Kind::Person);
        mask[pixel] && id.as_object().is_some_and(person)
    });
    out.push(Measured::flag(MeasureId::People, people));
}

/// What was counted, as measures.
pub fn counted(
    stage: &Stage,
    hidden: &Hidden,
    outline: &Outline,
    wires: usize,
    out: &mut Vec<Measured>,
) {
    let name = |k: usize| format!("the {}", stage.objects[k].name);
    let names = |set: &std::collections::BTreeSet<usize>| {
        set.iter().map(|k| name(*k)).collect::<Vec<_>>().join(", ")
    };
    let mut push = |measured: Measured, detail: Option<String>| {
        out.push(match detail.filter(|d| !d.is_empty()) {
            Some(detail) => measured.with_detail(detail),
            None => measured,
        });
    };
    push(
        Measured::value(MeasureId::Hidden, 100.0 * hidden.share),
        hidden.object.map(name),
    );
    let (part, share) = hidden.worst_part.unwrap_or((0, 0.0));
    push(
        Measured::value(MeasureId::WorstHiddenPart, 100.0 * share),
        stage
            .model
            .parts
            .get(part)
            .map(|p| format!("the {}", p.name)),
    );
    push(
        Measured::value(MeasureId::Growths, outline.growths.len() as f64),
        Some(names(&outline.growths)),
    );
    let changes = outline.changes as f64;
    let (applies, other) = if outline.only_trees {
        (MeasureId::TreeRowChanges, MeasureId::RooflineChanges)
    } else {
        (MeasureId::RooflineChanges, MeasureId::TreeRowChanges)
    };
    push(Measured::value(applies, changes), None);
    let why = if outline.only_trees {
        "only sky and trees stand behind the roofline"
    } else {
        "no row of trees stands behind the roofline"
    };
    push(Measured::not_applicable(other, why), None);
    push(
        Measured::value(MeasureId::BarsBehind, outline.bars.len() as f64),
        Some(names(&outline.bars)),
    );
    push(
        Measured::value(MeasureId::BandBehind, 100.0 * outline.band_share),
        outline.band_object.map(name),
    );
    let count = wires + outline.uprights_beside.len();
    push(
        Measured::value(MeasureId::WiresUprights, count as f64),
        None,
    );
}

/// Wires that cross the frame above the machine's middle, within its width.
pub fn wires_above(stage: &Stage, camera: &Camera) -> usize {
    if stage.wires.is_empty() {
        return 0;
    }
    let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
    for image in stage.hull.iter().filter_map(|p| camera.project(*p)) {
        let at = DVec2::new(image.x_mm, image.y_mm);
        (low, high) = (low.min(at), high.max(at));
    }
    let crosses = |points: &[DVec3]| {
        points.windows(2).any(|ends| {
            (0..8).any(|i| {
                let at = ends[0].lerp(ends[1], i as f64 / 8.0);
                camera.project(at).is_some_and(|image| {
                    camera.in_frame(&image)
                        && (low.x..high.x).contains(&image.x_mm)
                        && image.y_mm > (low.y + high.y) / 2.0
                })
            })
        })
    };
    stage
        .wires
        .iter()
        .filter(|(_, points, _)| crosses(points))
        .count()
}
