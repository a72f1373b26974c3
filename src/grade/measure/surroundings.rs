//! Measures of what stands around the machine: foreground, backdrop, people. May not enter: suns.

use super::eye::Eye;
use crate::camera::framing::Margins;
use crate::camera::projection::Camera;
use crate::grade::{MeasureId, Measured};
use crate::scene::surroundings::Kind;
use crate::sighting::silhouette::{Hidden, Outline, hidden, outline};
use crate::sighting::stage::{Stage, StageKind, StageObject};
use glam::{DVec2, DVec3};
use std::collections::BTreeSet;

/// Share of the frame's width that the band round the silhouette takes (rulebook).
const BAND_SHARE: f64 = 0.03;
/// What is narrower than this share of the frame nobody sees: half a line of print.
const NARROWEST_SHARE: f64 = 0.0005;
/// So many are named; the rest is counted.
const MOST_NAMED: usize = 3;

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

/// What stands around the machine in a frame. Objects and wires are indices into the stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// What stands before it.
    pub hidden: Hidden,
    /// What lies along its outline, and uprights beside it.
    pub outline: Outline,
    /// Wires above it.
    pub wires: Vec<usize>,
    /// People in the frame.
    pub people: BTreeSet<usize>,
}

/// Width in the eye's view of the band round the silhouette.
pub fn band_px(eye: &Eye, margins: Option<Margins>) -> f64 {
    let machine_px = eye.view.width as f64 * 0.88;
    let size = margins.map_or(0.8, |m| m.width_share.clamp(0.05, 2.0));
    BAND_SHARE * machine_px / size
}

/// Looks for foreground and backdrop in the eye's sighting, within the camera's frame.
pub fn found(
    stage: &Stage,
    eye: &Eye,
    camera: &Camera,
    margins: Option<Margins>,
    is_hill: &dyn Fn(DVec3) -> bool,
) -> Found {
    let mask = frame_mask(eye, camera);
    let in_frame = |pixel: usize| mask[pixel];
    let hidden = hidden(stage, &eye.sighting, &in_frame);
    let band_px = band_px(eye, margins);
    let mut outline = outline(stage, &eye.view, &eye.sighting, band_px, &in_frame, is_hill);
    let mut people: BTreeSet<usize> = BTreeSet::new();
    for (pixel, id) in eye.sighting.all.ids.iter().enumerate() {
        people.extend(
            id.as_object()
                .filter(|k| mask[pixel] && is_person(&stage.objects[*k])),
        );
    }
    for (k, object) in stage.objects.iter().enumerate() {
        if is_upright(object) && stands_beside(object, eye, camera) {
            outline.uprights_beside.insert(k);
        }
        if is_person(object) && stands_beside(object, eye, camera) {
            people.insert(k);
        }
    }
    // What stands before the machine is foreground already.
    let before = |k: &usize| {
        let ids = eye.sighting.all.ids.iter().zip(&eye.sighting.alone.ids);
        ids.into_iter()
            .any(|(all, alone)| all.as_object() == Some(*k) && alone.as_patch().is_some())
    };
    outline.uprights_beside.retain(|k| !before(k));
    Found {
        hidden,
        outline,
        wires: wires_above(stage, eye, camera),
        people,
    }
}

fn is_person(object: &StageObject) -> bool {
    object.kind == StageKind::Thing(Kind::Person)
}

fn is_upright(object: &StageObject) -> bool {
    let uprights = [Kind::Pole, Kind::Mast, Kind::Signal, Kind::Trunk];
    uprights
        .iter()
        .any(|kind| object.kind == StageKind::Thing(*kind))
}

/// Whether an object stands in the camera's frame outside the eye's view, which ends close beside the
/// machine. What may hide it there is not asked.
fn stands_beside(object: &StageObject, eye: &Eye, camera: &Camera) -> bool {
    let corners = || object.pieces.iter().flat_map(|piece| &piece.corners);
    let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
    for corner in corners() {
        // Behind the camera, or too near to be told.
        let Some(image) = camera.project(*corner) else {
            return false;
        };
        let (u, v) = camera.u_v(&image);
        (low, high) = (low.min(DVec2::new(u, v)), high.max(DVec2::new(u, v)));
    }
    let in_frame = low.x < 1.0 && high.x > 0.0 && low.y < 1.0 && high.y > 0.0;
    let wide = high.x - low.x >= NARROWEST_SHARE;
    // Inside the view, pixels have told.
    let (width, view) = (eye.view.width as f64, &eye.view);
    let beside = |corner: &DVec3| {
        let column = view.on_plane(*corner).map(|flat| view.pixel(flat).x);
        column.is_none_or(|x| x < 0.0 || x > width)
    };
    in_frame && wide && corners().all(beside)
}

/// Whether the machine covers a point, as the eye sees them.
pub fn is_behind_machine(eye: &Eye, point: DVec3) -> bool {
    let (view, frame) = (&eye.view, &eye.sighting.alone);
    let Some(flat) = view.on_plane(point) else {
        return false;
    };
    let pixel = view.pixel(flat);
    let inside = pixel.x >= 0.0
        && pixel.y >= 0.0
        && pixel.x < frame.width as f64
        && pixel.y < frame.height as f64;
    inside && {
        let at = pixel.y as usize * frame.width + pixel.x as usize;
        frame.ids[at].as_patch().is_some() && f64::from(frame.near[at]) > view.near(point)
    }
}

/// "the yard pole, the mast and 2 more"; none of an empty set.
fn named(stage: &Stage, set: &BTreeSet<usize>) -> Option<String> {
    let names: Vec<String> = (set.iter().take(MOST_NAMED))
        .map(|k| format!("the {}", stage.objects[*k].name))
        .collect();
    let more = set.len() - names.len();
    let rest = if more > 0 {
        format!(" and {more} more")
    } else {
        String::new()
    };
    (!names.is_empty()).then(|| names.join(", ") + &rest)
}

/// What was found, as measures.
pub fn counted(stage: &Stage, found: &Found, out: &mut Vec<Measured>) {
    let Found {
        hidden,
        outline,
        wires,
        people,
    } = found;
    let name = |k: usize| format!("the {}", stage.objects[k].name);
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
        named(stage, &outline.growths),
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
        named(stage, &outline.bars),
    );
    push(
        Measured::value(MeasureId::BandBehind, 100.0 * outline.band_share),
        outline.band_object.map(name),
    );
    let count = wires.len() + outline.uprights_beside.len();
    let wires_named = match wires.len() {
        0 => None,
        1 => Some("a wire".to_string()),
        many => Some(format!("{many} wires")),
    };
    let both = [named(stage, &outline.uprights_beside), wires_named];
    let detail = both.into_iter().flatten().collect::<Vec<_>>().join(" and ");
    push(
        Measured::value(MeasureId::WiresUprights, count as f64),
        Some(detail),
    );
    push(
        Measured::flag(MeasureId::People, !people.is_empty()),
        named(stage, people),
    );
}

/// Wires that cross the frame above the machine's middle, within its width, and are not hidden behind it.
fn wires_above(stage: &Stage, eye: &Eye, camera: &Camera) -> Vec<usize> {
    if stage.wires.is_empty() {
        return Vec::new();
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
                        && !is_behind_machine(eye, at)
                })
            })
        })
    };
    let all = stage.wires.iter().enumerate();
    all.filter(|(_, wire)| crosses(&wire.points))
        .map(|(k, _)| k)
        .collect()
}
