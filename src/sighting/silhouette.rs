//! What lies along the machine's outline in a frame, and what hides it: growths, changes of backdrop,
//! bars, bands, the foreground. May not enter: limits, suns.

use super::frame::Sighting;
use super::stage::{Stage, StageKind};
use super::view::View;
use crate::scene::surroundings::Kind;
use glam::DVec3;
use std::collections::{BTreeMap, BTreeSet};

/// A part with fewer pixels than this at 1152 pixels across is pooled with its neighbour (rulebook).
const SMALL_PART_PX: f64 = 500.0;
const SMALL_PART_AT_WIDTH: f64 = 1152.0;
/// A stretch of backdrop shorter than this share of the machine's width is leaf noise, not a change.
const SHORTEST_STRETCH: f64 = 0.015;
/// A structure is a bar when it fills the roofline's band along this share of the machine's width.
const BAR_LENGTH: f64 = 0.2;

/// In an even row the tallest looks at most so many times as high over the eye as the lowest.
const EVEN_ROW: f64 = 1.5;

/// What the roofline meets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Backdrop {
    Sky,
    Hill,
    Trees,
    Ground,
    Building,
    Equipment,
    Structure,
    Upright,
    Other,
}

/// What the picture around the machine's outline shows. Objects are indices into the stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outline {
    /// Uprights that grow from the roofline.
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
}

impl Pool {
    fn take(&mut self, part: usize, own: u32, lost: u32) {
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
    }
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
        if let Some(object) = sighting.all.ids[pixel].as_object() {
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
    let worst = (pools.iter())
        .map(|pool| (pool.part, f64::from(pool.lost) / f64::from(pool.own.max(1))))
        .fold(None, |worst: Option<(usize, f64)>, next| match worst {
            Some(worst) if worst.1 >= next.1 => Some(worst),
            _ => Some(next),
        });
    Hidden {
        share: lost.iter().sum::<u32>() as f64 / all as f64,
        worst_part: worst,
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
    let (alone, all) = (&sighting.alone, &sighting.all);
    let (width, height) = (alone.width, alone.height);
    let mut out = Outline::default();
    let mut run: Vec<Backdrop> = Vec::new();
    let mut bar_columns: BTreeMap<usize, u32> = BTreeMap::new();
    let mut touched: BTreeSet<usize> = BTreeSet::new();
    let mut crowns: BTreeMap<usize, usize> = BTreeMap::new();
    for column in 0..width {
        let top = (0..height).find(|row| alone.ids[row * width + column].as_patch().is_some());
        let Some(row) = top.filter(|row| *row > 0) else {
            continue;
        };
        let roof = row * width + column;
        let above = roof - width;
        if !in_frame(above) || all.ids[roof].as_object().is_some() {
            continue;
        }
        let object = all.ids[above]
            .as_object()
            .filter(|_| all.near[above] < alone.near[roof]);
        let kind = match object {
            Some(k) => backdrop(stage.objects[k].kind),
            None if is_hill(view.point(column, row - 1, 1.0) - view.eye) => Backdrop::Hill,
            None => Backdrop::Sky,
        };
        run.push(kind);
        if let Some(k) = object {
            if kind == Backdrop::Upright {
                out.growths.insert(k);
                touched.insert(k);
            }
            if kind == Backdrop::Trees {
                *crowns.entry(k).or_default() += 1;
            }
            if kind == Backdrop::Structure {
                *bar_columns.entry(k).or_default() += 1;
            }
        }
    }
    let columns = run.len();
    let stretches = stretches(&run);
    out.changes = stretches.len().saturating_sub(1);
    let has = |kind: Backdrop| stretches.contains(&kind);
    out.only_trees = has(Backdrop::Trees)
        && stretches
            .iter()
            .all(|k| matches!(k, Backdrop::Sky | Backdrop::Trees | Backdrop::Hill))
        && is_even(stage, view, shortest(columns), &crowns);
    out.bars = (bar_columns.into_iter())
        .filter(|(_, count)| *count as f64 >= BAR_LENGTH * columns as f64)
        .map(|(object, _)| object)
        .collect();
    band(stage, sighting, band_px, in_frame, &mut out);
    for (pixel, id) in all.ids.iter().enumerate() {
        if let Some(k) = id.as_object().filter(|_| in_frame(pixel)) {
            let upright = backdrop(stage.objects[k].kind) == Backdrop::Upright;
            if upright && !touched.contains(&k) {
                out.uprights_beside.insert(k);
            }
        }
    }
    out
}

fn backdrop(kind: StageKind) -> Backdrop {
    match kind {
        StageKind::Thing(kind) => match kind {
            Kind::Pole | Kind::Mast | Kind::Signal | Kind::Trunk => Backdrop::Upright,
            Kind::Crown | Kind::Bush => Backdrop::Trees,
            Kind::Building => Backdrop::Building,
            Kind::Equipment => Backdrop::Equipment,
            Kind::Bridge | Kind::Canopy => Backdrop::Structure,
            Kind::SwitchStand | Kind::Fence | Kind::Person => Backdrop::Other,
        },
        StageKind::Coupled => Backdrop::Equipment,
        _ => Backdrop::Ground,
    }
}

/// Pixels of the shortest stretch of a roofline that counts.
fn shortest(columns: usize) -> usize {
    ((columns as f64 * SHORTEST_STRETCH) as usize).max(2)
}

/// Whether the crowns that stand behind the roofline look about equally high, as a planted row does.
fn is_even(stage: &Stage, view: &View, shortest: usize, crowns: &BTreeMap<usize, usize>) -> bool {
    let top = |k: usize| {
        let corners = stage.objects[k]
            .pieces
            .iter()
            .flat_map(|piece| &piece.corners);
        let tops = corners
            .filter_map(|corner| view.on_plane(*corner))
            .map(|flat| flat.y);
        tops.fold(f64::NEG_INFINITY, f64::max)
    };
    let wide = crowns.iter().filter(|(_, columns)| **columns >= shortest);
    let (low, high) = wide
        .map(|(k, _)| top(*k))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), top| {
            (low.min(top), high.max(top))
        });
    high <= low * EVEN_ROW
}

/// The row of kinds with short stretches taken up by what stands before them; uprights are thin by nature
/// and stay.
fn stretches(run: &[Backdrop]) -> Vec<Backdrop> {
    let shortest = shortest(run.len());
    let mut kept: Vec<Backdrop> = Vec::new();
    for stretch in run.chunk_by(|a, b| a == b) {
        let long = stretch.len() >= shortest || stretch[0] == Backdrop::Upright;
        if long && kept.last() != Some(&stretch[0]) {
            kept.push(stretch[0]);
        }
    }
    kept
}

/// Fills in what lies in the band round the silhouette.
fn band(
    stage: &Stage,
    sighting: &Sighting,
    band_px: f64,
    in_frame: &dyn Fn(usize) -> bool,
    out: &mut Outline,
) {
    let (alone, all) = (&sighting.alone, &sighting.all);
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
    let (mut total, mut filled) = (0u32, 0u32);
    let mut by_object: BTreeMap<usize, u32> = BTreeMap::new();
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
            total += 1;
            let Some(k) = all.ids[pixel].as_object() else {
                continue;
            };
            let object = &stage.objects[k];
            if matches!(
                object.kind,
                StageKind::Thing(Kind::Equipment | Kind::Building)
            ) {
                filled += 1;
                *by_object.entry(k).or_default() += 1;
            }
        }
    }
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
