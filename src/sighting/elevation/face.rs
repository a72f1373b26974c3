//! One flat face of the body: its pixels, what a cover takes of them, and which of these belong together. May not
//! enter: what casts the shadow, limits.

use super::super::cover::{Bunch, Cover, SunAxes};
use super::super::frame::{Id, Sighting};
use super::super::lit::SunBuffer;
use super::super::shown::{Class, Shown};
use super::super::stage::Stage;
use super::super::view::View;
use crate::mesh::part::Role;
use glam::DVec3;

/// Darkness below this share of the disc does not count (rulebook, *foreign shadow*).
const DARK_FROM: f64 = 0.3;
/// A core is at least this dark, and this wide (rulebook, *foreign shadow*).
const CORE_DARK: f64 = 0.6;
const CORE_WIDTH_M: f64 = 0.03;
/// A core crosses at least this share of a part's height (rulebook).
const CORE_CROSSING: f64 = 0.5;

/// One pixel of the machine on an elevation.
pub(super) struct Spot {
    pub(super) pixel: u32,
    patch: u32,
    point: DVec3,
    /// Area of surface that the pixel stands for; 0 for what does not count.
    pub(super) area_m2: f64,
    /// 0 nose, 1 cab, 2 hood, [`BETWEEN`] for what is not body, or is seen from nowhere.
    region: u8,
}

/// Grilles, glass, rails, and what the machine hides from everybody who may look: no shadow there counts, but a stripe that runs on across them is one stripe.
const BETWEEN: u8 = 3;

/// So many pixels beside one another are asked together which pieces of a cover come near them.
const RUN: usize = 16;

/// A pixel of a core: nothing, or dark enough, with what it lies on.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Core {
    Not,
    /// Dark, but not body, or in the machine's own shadow.
    Connects,
    /// Dark on a region of the body that would be lit.
    Takes(u8),
}

/// The nose or the side of the body, drawn flat.
pub(super) struct Elevation {
    pub(super) view: View,
    pub(super) class: Class,
    pixel_m: f64,
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) spots: Vec<Spot>,
    /// Machine pixels, body or not.
    machine: Vec<bool>,
    region_height_m: [f64; 3],
}

pub(super) fn elevation(
    stage: &Stage,
    view: &View,
    sighting: &Sighting,
    shown: Shown,
    class: Class,
    pixel_m: f64,
    looks: &[SunBuffer],
) -> Elevation {
    let frame = &sighting.alone;
    let classes = shown.classes(&stage.patches);
    let mut spots = Vec::new();
    let mut machine = vec![false; frame.ids.len()];
    let mut span = [(f64::INFINITY, f64::NEG_INFINITY); 3];
    for (pixel, id) in frame.ids.iter().enumerate() {
        let Some(patch) = id.as_patch() else { continue };
        machine[pixel] = true;
        let point = view.point(pixel % frame.width, pixel / frame.width, frame.near[pixel]);
        let region = match stage.patches.role[patch] {
            _ if classes[patch] != class => BETWEEN,
            Role::Nose => 0,
            Role::Cab => 1,
            _ => 2,
        };
        if let Some((least, most)) = span.get_mut(region as usize) {
            (*least, *most) = (least.min(point.z), most.max(point.z));
        }
        let normal = stage.patches.normal[patch];
        let is_seen =
            |look: &SunBuffer| look.lit(&look.sighting.alone, Id::patch(patch), point, normal);
        let region = match looks.iter().any(is_seen) {
            true => region,
            false => BETWEEN,
        };
        let facing = -normal.dot(view.forward);
        spots.push(Spot {
            pixel: pixel as u32,
            patch: patch as u32,
            point,
            area_m2: match region {
                BETWEEN => 0.0,
                _ => pixel_m * pixel_m / facing.max(0.3),
            },
            region,
        });
    }
    Elevation {
        view: view.clone(),
        class,
        pixel_m,
        width: frame.width,
        height: frame.height,
        spots,
        machine,
        region_height_m: span.map(|(least, most)| most - least),
    }
}

impl Elevation {
    /// Bounds of every run of pixels for a sun: the same for all that may shade them.
    pub(super) fn runs(&self, axes: &SunAxes) -> Vec<Bunch> {
        let bounds = |run: &[Spot]| Bunch::of(axes, run.iter().map(|spot| spot.point));
        self.spots.chunks(RUN).map(bounds).collect()
    }

    /// What a cover takes from the body here: weighted area and core of each pixel; none where it takes nothing.
    pub(super) fn shade(
        &self,
        cover: &Cover,
        runs: &[Bunch],
        stage: &Stage,
        sun: &SunBuffer,
    ) -> Option<(Vec<f32>, Vec<Core>)> {
        let runs = self.spots.chunks(RUN).zip(runs);
        let near = runs.map(|(run, bounds)| (run, cover.pieces_over(bounds)));
        let mut near = near.filter(|(_, pieces)| !pieces.is_empty()).peekable();
        near.peek()?;
        let mut weight = vec![0.0f32; self.machine.len()];
        let mut core = vec![Core::Not; self.machine.len()];
        let mut any = false;
        for (run, pieces) in near {
            for spot in run {
                let normal = stage.patches.normal[spot.patch as usize];
                if normal.dot(sun.toward) <= 0.0 {
                    continue;
                }
                let dark = cover.dark_by(pieces.iter().copied(), spot.point);
                if dark <= DARK_FROM {
                    continue;
                }
                let pixel = spot.pixel as usize;
                if dark >= CORE_DARK {
                    core[pixel] = Core::Connects;
                }
                let id = Id::patch(spot.patch as usize);
                if spot.region == BETWEEN || !sun.lit(&sun.sighting.alone, id, spot.point, normal) {
                    continue; // its own shadow: nothing left to take
                }
                any = true;
                let share = (dark - DARK_FROM) / (1.0 - DARK_FROM);
                weight[pixel] = (share * spot.area_m2) as f32;
                if dark >= CORE_DARK {
                    core[pixel] = Core::Takes(spot.region);
                }
            }
        }
        any.then_some((weight, core))
    }

    /// The greatest sum of `weight` over one region connected through machine pixels that are dark or lie
    /// between dark ones, and that region.
    pub(super) fn largest_region(&self, weight: &[f32]) -> (f64, Vec<usize>) {
        let mut largest = (0.0f64, Vec::new());
        self.regions(
            |i| weight[i] > 0.0,
            |pixels| {
                let sum = pixels.iter().map(|i| weight[*i] as f64).sum();
                if sum > largest.0 {
                    largest = (sum, pixels.to_vec());
                }
            },
        );
        largest
    }

    /// The pixels taken from the body by cores that are wide enough and cross half a region's height; empty
    /// where none does. A core may run on across grilles, glass, rails and the machine's own shadows, but only
    /// what it takes from the body counts.
    pub(super) fn crossing(&self, core: &[Core]) -> Vec<usize> {
        let wide = (CORE_WIDTH_M / self.pixel_m).ceil() as usize;
        // A square of the core's least width fits wherever its corner may stand.
        let fits = |i: usize| {
            let (x, y) = (i % self.width, i / self.width);
            x + wide <= self.width
                && y + wide <= self.height
                && (0..wide)
                    .all(|dy| (0..wide).all(|dx| core[i + dy * self.width + dx] != Core::Not))
        };
        let mut crossing = Vec::new();
        self.regions(fits, |pixels| {
            let mut rows = [(usize::MAX, 0usize); 3];
            for pixel in pixels {
                if let Core::Takes(region) = core[*pixel] {
                    let (least, most) = &mut rows[region as usize];
                    let row = pixel / self.width;
                    (*least, *most) = ((*least).min(row), (*most).max(row));
                }
            }
            let crosses = |((least, most), height_m): ((usize, usize), f64)| {
                let needed = CORE_CROSSING * height_m;
                least <= most && (most - least + wide) as f64 * self.pixel_m >= needed
            };
            if rows.into_iter().zip(self.region_height_m).any(crosses) {
                let takes = |pixel: &&usize| matches!(core[**pixel], Core::Takes(_));
                crossing.extend(pixels.iter().filter(takes));
            }
        });
        crossing
    }

    /// Calls `each` with every region of pixels for which `is_in` holds. Gaps of two machine pixels (a grab
    /// iron, a seam) do not part a region.
    fn regions(&self, is_in: impl Fn(usize) -> bool, mut each: impl FnMut(&[usize])) {
        const REACH: usize = 3;
        let mut seen = vec![false; self.machine.len()];
        let mut pixels = Vec::new();
        for start in 0..self.machine.len() {
            if seen[start] || !self.machine[start] || !is_in(start) {
                continue;
            }
            pixels.clear();
            pixels.push(start);
            seen[start] = true;
            let mut next = 0;
            while next < pixels.len() {
                let (x, y) = (pixels[next] % self.width, pixels[next] / self.width);
                next += 1;
                for ny in y.saturating_sub(REACH)..(y + REACH + 1).min(self.height) {
                    for nx in x.saturating_sub(REACH)..(x + REACH + 1).min(self.width) {
                        let i = ny * self.width + nx;
                        if !seen[i] && is_in(i) {
                            seen[i] = true;
                            pixels.push(i);
                        }
                    }
                }
            }
            each(&pixels);
        }
    }
}
