//! What lies along the machine's outline in a frame, and what hides it: growths, changes of backdrop,
//! bars, bands, the foreground. May not enter: limits, suns.

use super::frame::{Id, Sighting};
use super::roofline::{Backdrop, is_even_row, roofline, spires, stretches};
use super::stage::{Stage, StageKind};
use super::view::View;
use crate::scene::surroundings::Kind;
use glam::DVec3;
use std::collections::{BTreeMap, BTreeSet};

/// A part with fewer pixels than this at 1152 pixels across is pooled with its neighbour (rulebook).
const SMALL_PART_PX: f64 = 500.0;
const SMALL_PART_AT_WIDTH: f64 = 1152.0;
/// A structure is a bar when it fills the roofline's band along this share of the machine's width.
const BAR_LENGTH: f64 = 0.2;

/// What the picture around the machine's outline shows. Objects are indices into the stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outline {
    /// Uprights, and whatever else is narrow and tall, that grow from the roofline.
    pub growths: BTreeSet<usize>,
    /// How often what lies right above the roofline changes kind.
    pub changes: usize,
    /// It meets only sky and one even row of trees.
    pub only_trees: bool,
    /// Wide structures that cut behind.
    pub bars: BTreeSet<usize>,
    /// Share of the band round the silhouette filled by equipment or buildings.
    pub band_share: f64,
    /// The object that fills most of it.
    pub band_object: Option<usize>,
    /// Uprights in the picture that do not touch the roofline.
    pub uprights_beside: BTreeSet<usize>,
}

/// What stands in front.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hidden {
    /// Share of the machine's own visible area that is hidden.
    pub share: f64,
    /// The part that is hidden most: its index and share.
    pub worst_part: Option<(usize, f64)>,
    /// All parts that are judged as one with it.
    pub worst_parts: Vec<usize>,
    /// The object that hides most.
    pub object: Option<usize>,
}

/// Parts that are judged as one, named after the largest.
#[derive(Default)]
struct Pool {
    own: u32,
    lost: u32,
    part: usize,
    largest: u32,
    parts: Vec<usize>,
}

impl Pool {
    fn share(&self) -> f64 {
        f64::from(self.lost) / f64::from(self.own.max(1))
    }

    fn take(&mut self, part: usize, own: u32, lost: u32) {
        self.parts.push(part);
        (self.own, self.lost) = (self.own + own, self.lost + lost);
        if own > self.largest {
            (self.part, self.largest) = (part, own);
        }
    }

    fn join(&mut self, other: Pool) {
        let largest = self.largest.max(other.largest);
        if other.largest > self.largest {
            self.part = other.part;
        }
        (self.own, self.lost) = (self.own + other.own, self.lost + other.lost);
        self.largest = largest;
        self.parts.extend(other.parts);
    }
}

/// The object that hides the machine in a pixel.
pub fn hider(sighting: &Sighting, pixel: usize) -> Option<usize> {
    let machine = sighting.alone.ids[pixel].as_patch().is_some();
    sighting.all.ids[pixel].as_object().filter(|_| machine)
}

/// The equipment or building that a pixel of the band shows.
pub fn crowds(stage: &Stage, id: Id) -> Option<usize> {
    id.as_object().filter(|k| {
        let kind = stage.objects[*k].kind;
        matches!(kind, StageKind::Thing(Kind::Equipment | Kind::Building))
    })
}

/// Counts what hides the machine, over the pixels for which `in_frame` holds.
pub fn hidden(stage: &Stage, sighting: &Sighting, in_frame: &dyn Fn(usize) -> bool) -> Hidden {
    let parts = stage.model.parts.len();
    let (mut own, mut lost) = (vec![0u32; parts], vec![0u32; parts]);
    let mut by_object: BTreeMap<usize, u32> = BTreeMap::new();
    for (pixel, id) in sighting.alone.ids.iter().enumerate() {
        let Some(patch) = id.as_patch() else { continue };
        if !in_frame(pixel) {
            continue;
        }
        let part = stage.patches.part[patch] as usize;
        own[part] += 1;
        if let Some(object) = hider(sighting, pixel) {
            lost[part] += 1;
            *by_object.entry(object).or_default() += 1;
        }
    }
    let all: u32 = own.iter().sum();
    if all == 0 {
        return Hidden::default();
    }
    let small = SMALL_PART_PX * (sighting.alone.width as f64 / SMALL_PART_AT_WIDTH).powi(2);
    // Neighbours are pooled until they are large enough; what is left at the end joins the last pool.
    let mut pools: Vec<Pool> = Vec::new();
    let mut pool = Pool::default();
    for part in 0..parts {
        pool.take(part, own[part], lost[part]);
        if f64::from(pool.own) >= small {
            pools.push(std::mem::take(&mut pool));
        }
    }
    match pools.last_mut() {
        Some(last) => last.join(pool),
        None => pools.push(pool),
    }
    let worst = (pools.into_iter()).fold(None, |worst: Option<Pool>, next| match worst {
        Some(worst) if worst.share() >= next.share() => Some(worst),
        _ => Some(next),
    });
    Hidden {
        share: lost.iter().sum::<u32>() as f64 / all as f64,
        worst_part: worst.as_ref().map(|pool| (pool.part, pool.share())),
        worst_parts: worst.map_or(Vec::new(), |pool| pool.parts),
        object: by_object
            .into_iter()
            .max_by_key(|(_, count)| *count)
            .map(|(object, _)| object),
    }
}

/// Looks along the outline. `band_px` is the width of the band; `is_hill` tells whether a direction without
/// any object shows terrain.
pub fn outline(
    stage: &Stage,
    view: &View,
    sighting: &Sighting,
    band_px: f64,
    in_frame: &dyn Fn(usize) -> bool,
    is_hill: &dyn Fn(DVec3) -> bool,
) -> Outline {
    let mut out = Outline::default();
    let mut bar_columns: BTreeMap<usize, u32> = BTreeMap::new();
    let roofline = roofline(stage, view, sighting, in_frame, is_hill);
    for column in &roofline {
        match (column.kind, column.object) {
            (Backdrop::Upright, Some(k)) => {
                out.growths.insert(k);
            }
            (Backdrop::Structure, Some(k)) => *bar_columns.entry(k).or_default() += 1,
            _ => {}
        }
    }
    out.growths.extend(spires(stage, sighting, &roofline));
    let columns = roofline.len();
    let stretches = stretches(&roofline);
    out.changes = stretches.len().saturating_sub(1);
    let only = [Backdrop::Sky, Backdrop::Trees, Backdrop::Hill];
    out.only_trees = stretches.iter().any(|one| one.kind == Backdrop::Trees)
        && stretches.iter().all(|one| only.contains(&one.kind))
        && is_even_row(stage, view, &roofline);
    out.bars = (bar_columns.into_iter())
        .filter(|(_, count)| *count as f64 >= BAR_LENGTH * columns as f64)
        .map(|(object, _)| object)
        .collect();
    band(stage, sighting, band_px, in_frame, &mut out);
    for (pixel, id) in sighting.all.ids.iter().enumerate() {
        if let Some(k) = id.as_object().filter(|_| in_frame(pixel)) {
            let upright = Backdrop::of(stage.objects[k].kind) == Backdrop::Upright;
            if upright && !out.growths.contains(&k) {
                out.uprights_beside.insert(k);
            }
        }
    }
    out
}

/// Fills in what lies in the band round the silhouette.
fn band(
    stage: &Stage,
    sighting: &Sighting,
    band_px: f64,
    in_frame: &dyn Fn(usize) -> bool,
    out: &mut Outline,
) {
    let (mut total, mut filled) = (0u32, 0u32);
    let mut by_object: BTreeMap<usize, u32> = BTreeMap::new();
    each_of_band(sighting, band_px, in_frame, &mut |pixel| {
        total += 1;
        if let Some(k) = crowds(stage, sighting.all.ids[pixel]) {
            filled += 1;
            *by_object.entry(k).or_default() += 1;
        }
    });
    out.band_share = if total == 0 {
        0.0
    } else {
        filled as f64 / total as f64
    };
    out.band_object = by_object
        .into_iter()
        .max_by_key(|(_, n)| *n)
        .map(|(object, _)| object);
}

/// Calls `each` with every pixel of the band round the silhouette.
pub fn each_of_band(
    sighting: &Sighting,
    band_px: f64,
    in_frame: &dyn Fn(usize) -> bool,
    each: &mut dyn FnMut(usize),
) {
    let alone = &sighting.alone;
    let (width, height) = (alone.width, alone.height);
    let reach = band_px.round().max(1.0) as usize;
    // Along rows, then along columns: how far the nearest machine pixel lies.
    let mut near_row = vec![false; width * height];
    for row in 0..height {
        let mut last: Option<usize> = None;
        let line = &alone.ids[row * width..(row + 1) * width];
        let mut mark = |columns: &mut dyn Iterator<Item = usize>| {
            last = None;
            for column in columns {
                if line[column].as_patch().is_some() {
                    last = Some(column);
                }
                if last.is_some_and(|l| l.abs_diff(column) <= reach) {
                    near_row[row * width + column] = true;
                }
            }
        };
        mark(&mut (0..width));
        mark(&mut (0..width).rev());
    }
    for column in 0..width {
        let mut until = 0usize; // rows below this one are within reach of a marked row above
        let mut next = (0..height).find(|row| near_row[row * width + column]);
        for row in 0..height {
            if near_row[row * width + column] {
                until = row + reach + 1;
            }
            if next.is_some_and(|n| n < row) {
                next = (row..height).find(|r| near_row[r * width + column]);
            }
            let inside = row < until || next.is_some_and(|n| n <= row + reach);
            let pixel = row * width + column;
            if !inside || alone.ids[pixel].as_patch().is_some() || !in_frame(pixel) {
                continue;
            }
            each(pixel);
        }
    }
}
