//! What lies right above the machine's outline in a frame, column by column, and where its kind changes. May not
//! enter: limits, suns, what is counted of it.

use super::frame::Sighting;
use super::stage::{Stage, StageKind};
use super::view::View;
use crate::scene::surroundings::Kind;
use glam::DVec3;
use std::collections::{BTreeMap, BTreeSet};

/// A stretch of backdrop shorter than this share of the machine's width is leaf noise, not a change.
const SHORTEST_STRETCH: f64 = 0.015;

/// In an even row the tallest looks at most so many times as high over the eye as the lowest.
const EVEN_ROW: f64 = 1.5;

/// What is narrower than this share of the machine's width, and rises over the roofline by more than it is wide there,
/// grows from it whatever it is: a chimney, a tower, the top of a poplar (our own figure for common practice).
const SPIRE_WIDTH: f64 = 0.08;

/// What the roofline meets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Backdrop {
    /// Nothing.
    Sky,
    /// Terrain.
    Hill,
    /// Crowns and bushes.
    Trees,
    /// Ground and tracks.
    Ground,
    /// A building.
    Building,
    /// Other equipment.
    Equipment,
    /// A bridge or canopy.
    Structure,
    /// A pole, mast, signal or bare trunk.
    Upright,
    /// Anything else.
    Other,
}

impl Backdrop {
    /// What an object of the stage is as a backdrop.
    pub fn of(kind: StageKind) -> Backdrop {
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

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Backdrop::Sky => "sky",
            Backdrop::Hill => "hill",
            Backdrop::Trees => "trees",
            Backdrop::Ground => "ground",
            Backdrop::Building => "building",
            Backdrop::Equipment => "equipment",
            Backdrop::Structure => "structure",
            Backdrop::Upright => "upright",
            Backdrop::Other => "something",
        }
    }
}

/// A column of a frame in which the outline's top can be seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// The column.
    pub column: usize,
    /// The row right above the machine's topmost pixel.
    pub row: usize,
    /// What is seen there.
    pub kind: Backdrop,
    /// The object that it is.
    pub object: Option<usize>,
}

/// Columns next to one another that meet the same kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// What they meet.
    pub kind: Backdrop,
    /// The first one's index.
    pub from: usize,
    /// The index after the last one's.
    pub to: usize,
}

/// Looks along the roofline; `is_hill` tells whether a direction without any object shows terrain.
pub fn roofline(
    stage: &Stage,
    view: &View,
    sighting: &Sighting,
    in_frame: &dyn Fn(usize) -> bool,
    is_hill: &dyn Fn(DVec3) -> bool,
) -> Vec<Column> {
    let (alone, all) = (&sighting.alone, &sighting.all);
    let (width, height) = (alone.width, alone.height);
    let mut columns = Vec::new();
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
            Some(k) => Backdrop::of(stage.objects[k].kind),
            None if is_hill(view.point(column, row - 1, 1.0) - view.eye) => Backdrop::Hill,
            None => Backdrop::Sky,
        };
        columns.push(Column {
            column,
            row: row - 1,
            kind,
            object,
        });
    }
    columns
}

/// What of a thing is seen over the lowest place at which the roofline meets it: its columns and its topmost row.
struct Rising {
    foot: usize,
    top: usize,
    from: usize,
    to: usize,
}

/// Things other than poles and masts that grow from the roofline: narrow, and taller than wide over it. What runs on
/// beyond the view's edge is as wide as that may be.
pub fn spires(stage: &Stage, sighting: &Sighting, roofline: &[Column]) -> BTreeSet<usize> {
    let all = &sighting.all;
    let mut rising: BTreeMap<usize, Rising> = BTreeMap::new();
    for column in roofline {
        let thing = |k: &usize| matches!(stage.objects[*k].kind, StageKind::Thing(_));
        let Some(k) = column.object.filter(thing) else {
            continue;
        };
        let one = rising.entry(k).or_insert(Rising {
            foot: column.row,
            top: column.row,
            from: column.column,
            to: column.column,
        });
        one.foot = one.foot.max(column.row);
    }
    if rising.is_empty() {
        return BTreeSet::new();
    }
    for (pixel, id) in all.ids.iter().enumerate() {
        let (row, column) = (pixel / all.width, pixel % all.width);
        if let Some(one) = id.as_object().and_then(|k| rising.get_mut(&k))
            && row <= one.foot
        {
            one.top = one.top.min(row);
            (one.from, one.to) = (one.from.min(column), one.to.max(column));
        }
    }
    let widest = SPIRE_WIDTH * roofline.len() as f64;
    let is_spire = |one: &Rising| {
        let (wide, high) = (one.to - one.from + 1, one.foot - one.top + 1);
        let is_whole = one.from > 0 && one.to + 1 < all.width;
        is_whole && wide as f64 <= widest && high > wide
    };
    let spires = rising.into_iter().filter(|(_, one)| is_spire(one));
    spires.map(|(k, _)| k).collect()
}

/// Columns of the shortest stretch of a roofline that counts.
fn shortest(columns: usize) -> usize {
    ((columns as f64 * SHORTEST_STRETCH) as usize).max(2)
}

/// The row of kinds with short stretches taken up by what stands before them; uprights are thin by nature
/// and stay.
pub fn stretches(roofline: &[Column]) -> Vec<Stretch> {
    let shortest = shortest(roofline.len());
    let mut kept: Vec<Stretch> = Vec::new();
    let mut from = 0;
    for run in roofline.chunk_by(|a, b| a.kind == b.kind) {
        let (kind, to) = (run[0].kind, from + run.len());
        if run.len() >= shortest || kind == Backdrop::Upright {
            match kept.last_mut().filter(|last| last.kind == kind) {
                Some(last) => last.to = to,
                None => kept.push(Stretch { kind, from, to }),
            }
        }
        from = to;
    }
    kept
}

/// Whether the crowns that stand behind the roofline look about equally high, as a planted row does.
pub fn is_even_row(stage: &Stage, view: &View, roofline: &[Column]) -> bool {
    let mut crowns: BTreeMap<usize, usize> = BTreeMap::new();
    for column in roofline.iter().filter(|one| one.kind == Backdrop::Trees) {
        if let Some(k) = column.object {
            *crowns.entry(k).or_default() += 1;
        }
    }
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
    let least = shortest(roofline.len());
    let wide = crowns.iter().filter(|(_, columns)| **columns >= least);
    let (low, high) = wide
        .map(|(k, _)| top(*k))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), top| {
            (low.min(top), high.max(top))
        });
    high <= low * EVEN_ROW
}
