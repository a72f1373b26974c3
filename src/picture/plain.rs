//! The plain picture: the sighting's own buffers, lit by sun and sky, per pixel. May not enter: grades,
//! files, a graphics adapter.

use super::light::Light;
use super::openness::Openness;
use super::pieces::Pieces;
use super::png::Picture;
use super::shade::Shading;
use super::shadow::{SunMaps, disc};
use super::sky::Dome;
use super::surface::{Matter, Seen, matter, seen};
use super::veil::{self, Veil};
use super::{tone, wire};
use crate::camera::projection::Camera;
use crate::sighting::frame::{Frame, Id, Sighting};
use crate::sighting::rasterizer::{Around, Rasterizer};
use crate::sighting::stage::{Stage, StageKind};
use crate::sighting::view::{Rays, View};
use glam::{DVec2, DVec3};
use rayon::prelude::*;

/// How a picture is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Each pixel is drawn as this many by this many.
    pub samples: usize,
    /// Points that stand for the sun's disc: 1 gives shadows a hard edge.
    pub suns: usize,
    /// Illuminance that the exposure is for, lx; by default a plane that faces sun and eye.
    pub exposed_for_lx: Option<f64>,
}

impl Default for Options {
    fn default() -> Options {
        Options {
            samples: 2,
            suns: 4,
            exposed_for_lx: None,
        }
    }
}

/// Light towards the eye per pixel, times π: a white card in `E` lx has the value `E`. Linear sRGB.
#[derive(Clone, Debug)]
pub struct Linear {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Rows from the top.
    pub light: Vec<DVec3>,
}

impl Linear {
    /// The light at a pixel.
    pub fn at(&self, column: usize, row: usize) -> DVec3 {
        self.light[row * self.width + column]
    }
}

/// The view of a camera that stands in the machine frame; a shifted lens moves the window.
pub fn view_of(camera: &Camera, width_px: usize) -> View {
    View::through(camera, width_px)
}

/// The picture, developed.
pub fn render(
    rasterizer: &dyn Rasterizer,
    stage: &Stage,
    view: &View,
    light: &Light,
    options: &Options,
) -> Picture {
    let picture = linear(rasterizer, stage, view, light, options);
    let exposed_for = options
        .exposed_for_lx
        .unwrap_or_else(|| exposed_for_lx(light));
    let develop = |value: &DVec3| tone::develop(*value / exposed_for);
    Picture {
        width: picture.width,
        height: picture.height,
        pixels_srgb: picture.light.par_iter().map(develop).collect(),
    }
}

/// Light on an upright plane that sun and eye both face fairly, lx: what a meter at the machine reads.
pub fn exposed_for_lx(light: &Light) -> f64 {
    let beam_lx = if light.beam() == DVec3::ZERO {
        0.0
    } else {
        light.beam_lx
    };
    (0.85 * beam_lx + 0.65 * light.sky_lx).max(1.0)
}

/// The picture before development.
pub fn linear(
    rasterizer: &dyn Rasterizer,
    stage: &Stage,
    view: &View,
    light: &Light,
    options: &Options,
) -> Linear {
    let times = options.samples.max(1);
    let fine = View {
        width: view.width * times,
        height: view.height * times,
        ..view.clone()
    };
    let sight = |stage: &Stage| {
        let mut sighting = Sighting::default();
        rasterizer.sight(stage, &fine, Around::Everything, &mut sighting);
        sighting.all
    };
    let layers = veil::layers(stage);
    let frames: Vec<Frame> = layers.iter().map(sight).collect();
    drop(layers);
    let pieces = Pieces::of(stage);
    let suns = options.suns.max(1);
    let lit = lit_shares(
        rasterizer,
        &veil::casters(stage),
        &pieces,
        &fine,
        &frames,
        light,
        suns,
    );
    let middle = SunMaps::draw(rasterizer, stage, light.toward, &[], &[]);
    let ground_lit = |point: DVec3| {
        let seen = Seen {
            id: Id::NOTHING,
            point,
            normal: DVec3::Z,
            is_soft: false,
            piece: 0,
        };
        let global = light.beam_lx * light.toward.z.max(0.0) + light.sky_lx;
        if middle.lit(&seen) {
            1.0
        } else {
            0.7 * light.sky_lx / global
        }
    };
    let openness = Openness::of(rasterizer, stage, &ground_lit);
    let shading = Shading {
        light,
        dome: Dome::new(light),
        stage,
        pieces: &pieces,
        openness: &openness,
        eye: view.eye,
    };
    let share = 1.0 / (times * times) as f64;
    let pixel = |i: usize| {
        let (column, row) = (i % view.width * times, i / view.width * times);
        let mut sum = DVec3::ZERO;
        // Ground changes little inside a pixel, and its texture is the dearest.
        let mut ground: Option<(Id, Matter)> = None;
        for sub in 0..times * times {
            let (c, r) = (column + sub % times, row + sub / times);
            let look = |layer: usize, ground: &mut Option<(Id, Matter)>| {
                let lit = lit[layer][r * fine.width + c];
                sample(&shading, &fine, &frames[layer], c, r, lit, ground)
            };
            let (mut value, _) = look(0, &mut ground);
            for layer in 1..frames.len() {
                if is_drawn(stage, &frames, layer, r * fine.width + c) {
                    let (veil, share) = look(layer, &mut None);
                    value = value.lerp(veil, share);
                }
            }
            sum += value;
        }
        sum * share
    };
    let values: Vec<DVec3> = (0..view.width * view.height)
        .into_par_iter()
        .map(pixel)
        .collect();
    let mut picture = Linear {
        width: view.width,
        height: view.height,
        light: values,
    };
    let bare = DVec3::splat(0.05) * (light.beam() * 0.5 + light.sky());
    wire::draw(&mut picture, stage, view, &frames[0], times, bare);
    picture
}

/// Whether a layer's pixel is drawn: over the first, only a veil that is not drawn already.
fn is_drawn(stage: &Stage, frames: &[Frame], layer: usize, pixel: usize) -> bool {
    let id = frames[layer].ids[pixel];
    layer == 0 || (Veil::of(stage, id).is_some() && frames[layer - 1].ids[pixel] != id)
}

/// The light of one sample, and the share of it that its surface covers.
fn sample(
    shading: &Shading,
    view: &View,
    frame: &Frame,
    column: usize,
    row: usize,
    lit: f32,
    ground: &mut Option<(Id, Matter)>,
) -> (DVec3, f64) {
    let flat = view.plane_at(DVec2::new(column as f64 + 0.5, row as f64 + 0.5));
    let direction = match view.rays {
        Rays::Perspective => (view.right * flat.x + view.up * flat.y + view.forward).normalize(),
        Rays::Orthographic => view.forward,
    };
    let Some(seen) = seen(shading.stage, shading.pieces, view, frame, column, row) else {
        return (shading.dome.backdrop(direction), 1.0);
    };
    let distance_m = seen.point.distance(view.eye);
    let per_pixel = match view.rays {
        Rays::Perspective => distance_m / view.pixels_per_unit(),
        Rays::Orthographic => 1.0 / view.pixels_per_unit(),
    };
    let grazing = seen.normal.dot(-direction).abs().max(0.02).sqrt();
    let matter = match ground {
        Some((id, matter)) if *id == seen.id => *matter,
        _ => {
            let matter = matter(shading.stage, &seen, direction, per_pixel / grazing);
            if is_ground(shading.stage, seen.id) {
                *ground = Some((seen.id, matter));
            }
            matter
        }
    };
    let mut leaving = shading.leaving(&seen, &matter, lit as f64);
    if view.rays == Rays::Perspective {
        leaving = shading.dome.through_air(leaving, direction, distance_m);
    }
    let (stage, pieces) = (shading.stage, shading.pieces);
    let share = veil::share(stage, pieces, &seen, direction, per_pixel / grazing);
    (leaving, share)
}

fn is_ground(stage: &Stage, id: Id) -> bool {
    let kind = id.as_object().map(|k| stage.objects[k].kind);
    matches!(kind, Some(StageKind::Ground | StageKind::Ballast))
}

/// Share of the sun's disc that shines on each pixel of each frame; the first shows the farthest.
fn lit_shares(
    rasterizer: &dyn Rasterizer,
    stage: &Stage,
    pieces: &Pieces,
    view: &View,
    frames: &[Frame],
    light: &Light,
    suns: usize,
) -> Vec<Vec<f32>> {
    let mut all: Vec<Vec<f32>> = (frames.iter())
        .map(|frame| vec![0.0; frame.ids.len()])
        .collect();
    if light.beam() == DVec3::ZERO {
        return all;
    }
    let (near, wide) = bounds(stage, view, &frames[0]);
    for toward in disc(light.toward, suns) {
        if toward.z <= 0.0 {
            continue;
        }
        let maps = SunMaps::draw(rasterizer, stage, toward, &near, &wide);
        for (layer, (shares, frame)) in all.iter_mut().zip(frames).enumerate() {
            shares.par_iter_mut().enumerate().for_each(|(i, share)| {
                let (column, row) = (i % frame.width, i / frame.width);
                if is_drawn(stage, frames, layer, i)
                    && let Some(seen) = seen(stage, pieces, view, frame, column, row)
                    && maps.lit(&seen)
                {
                    *share += 1.0 / suns as f32;
                }
            });
        }
    }
    all
}

/// Corners of what lies near the machine, and of all that is seen within sight of its shadows.
fn bounds(stage: &Stage, view: &View, frame: &Frame) -> (Vec<DVec3>, Vec<DVec3>) {
    const STEP: usize = 23;
    const NEAR_M: f64 = 26.0;
    const WIDE_M: f64 = 220.0;
    let reach = |limit_m: f64| {
        let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        for row in (0..frame.height).step_by(STEP) {
            for column in (0..frame.width).step_by(STEP) {
                let i = row * frame.width + column;
                if frame.near[i] == f32::NEG_INFINITY {
                    continue;
                }
                let point = view.point(column, row, frame.near[i]);
                if point.truncate().length() < limit_m {
                    (low, high) = (low.min(point), high.max(point));
                }
            }
        }
        let corner = |i: usize| {
            let pick = |bit: usize, a: f64, b: f64| if i >> bit & 1 == 0 { a } else { b };
            DVec3::new(
                pick(0, low.x, high.x),
                pick(1, low.y, high.y),
                pick(2, low.z, high.z),
            )
        };
        let corners: Vec<DVec3> = if low.is_finite() {
            (0..8).map(corner).collect()
        } else {
            vec![]
        };
        corners
    };
    debug_assert!(!stage.hull.is_empty());
    (reach(NEAR_M), reach(WIDE_M))
}
