//! Dealing frames: a clean one, or one with a planted fault of a wanted degree that is its worst finding, by a seed.
//! May not enter: what a learner says.

use super::base::{Base, bases, calmed};
use super::dice::Dice;
use super::fault::FaultKind;
use super::plant::planted;
use super::posed::{Posed, Seen};
use super::scale::Scale;
use crate::grade::{Finding, Grade, Rulebook, Sheet};
use crate::rehearsal::bench::Room;
use chrono::{DateTime, Utc};
use std::sync::Arc;

/// Frames that are looked for in a site.
pub const FRAMES: usize = 6;
/// Candidates that are proved at full size, the nearest to the wanted degree first.
const PROVED: usize = 3;
/// Frames of a site that are tried for one fault.
const TRIES: usize = 4;
/// How far off the wanted degree a planted one may be, as a share of the logarithmic axis.
const NEAR: f64 = 0.25;
/// The same where the axis is short.
const NEAR_LEAST: f64 = 0.15;
/// So far beyond what is slight a fault is that must be worse, as a factor of its degree.
const BEYOND: f64 = 1.15;
/// A degree lies at least so far from a step between grades, as a factor's logarithm.
const CLEAR: f64 = 0.03;

/// A site with the frames from which rounds are made.
#[derive(Clone)]
pub struct Course {
    /// Its name.
    pub name: String,
    /// Frames, proved: clean ones, else the best that it gives.
    pub frames: Vec<Base>,
    /// Where it gives none, what is wrong with the best.
    pub why: Option<String>,
}

/// A fault that was planted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Planted {
    /// Its kind.
    pub kind: FaultKind,
    /// The scale on which its degree is told.
    pub scale: Scale,
    /// The measure's value.
    pub value: f64,
    /// Its degree.
    pub degree: f64,
}

/// A frame that is put before a learner.
#[derive(Clone)]
pub struct Dealt {
    /// Which site.
    pub course: usize,
    /// The frame that it was made from: the mended one.
    pub clean: Posed,
    /// What the place itself has against that one, slight all of it.
    pub given: Vec<Finding>,
    /// The frame.
    pub posed: Posed,
    /// It as graded at full size.
    pub seen: Arc<Seen>,
    /// The fault; none in a clean one.
    pub planted: Option<Planted>,
}

impl Course {
    /// The same, its frames in turn from another one on.
    pub fn turned(&self, by: usize) -> Course {
        let mut turned = self.clone();
        let count = turned.frames.len().max(1);
        turned.frames.rotate_left(by % count);
        turned
    }

    /// Finds a site's frames: as its machine stands, else turned end for end. The same seed finds the same.
    pub fn find(
        name: &str,
        room: &Arc<Room>,
        own: DateTime<Utc>,
        seed: u64,
        stop: &dyn Fn() -> bool,
    ) -> Course {
        let mut dice = Dice::new(seed, u64::MAX);
        let of = |scene| {
            let kin = Some(&**room);
            Arc::new(Room::new(scene, room.rulebook, room.rasterizer, kin))
        };
        let calm = calmed(&room.scene);
        let [own_end, other_end] = calm.machine.head_end.and_other();
        let mut found = bases(
            &of(calm.with_head_end(own_end)),
            own,
            &mut dice,
            FRAMES,
            stop,
        );
        if found.frames.is_empty() && !stop() {
            let turned = of(calm.with_head_end(other_end));
            found.frames = bases(&turned, own, &mut dice, FRAMES, stop).frames;
        }
        Course {
            name: name.to_string(),
            why: found.why.filter(|_| found.frames.is_empty()),
            frames: found.frames,
        }
    }
}

/// Things that stand about: where one is planted, another hides or outshines it.
const CROWD: [FaultKind; 5] = [
    FaultKind::ForeignShadow,
    FaultKind::MergingMast,
    FaultKind::Backdrop,
    FaultKind::Foreground,
    FaultKind::People,
];

/// The degree of a kind in a sheet, where the kind is the worst that it tells of and plainly so; or where it lies within
/// its limit, is to be seen all the same, and nothing else is found.
fn worst(
    kind: FaultKind,
    rulebook: &Rulebook,
    sheet: &Sheet,
    given: &[Finding],
) -> Option<Planted> {
    let planted = |(scale, value): (Scale, f64)| Planted {
        kind,
        scale,
        value,
        degree: scale.degree(value),
    };
    let own = kind.measured(rulebook, sheet).map(planted)?;
    let is_given = |one: &&Finding| given.iter().any(|given| given.measure == one.measure);
    if kind.is_seen_within() && own.degree <= 1.0 {
        return sheet
            .findings
            .iter()
            .all(|one| is_given(&one))
            .then_some(own);
    }
    let finding = sheet.findings.first()?;
    if !kind.is_told_by(rulebook, finding.measure, finding.value) {
        return None;
    }
    // What else is wrong is of the same cause, or slight.
    let others = sheet
        .findings
        .iter()
        .filter(|one| one.fault != finding.fault);
    let told = FaultKind::told_in(rulebook, sheet);
    let is_crowded = |other: &FaultKind| *other != kind && CROWD.contains(other);
    let given = FaultKind::told_by_all(rulebook, given);
    let crowded = told
        .iter()
        .filter(|other| !given.contains(other))
        .any(is_crowded);
    let is_plain =
        others.clone().all(|one| one.grade <= Grade::Slight) && !(CROWD.contains(&kind) && crowded);
    // Threshold and truth speak of the same measure.
    let by_itself = kind.measured_by(rulebook, sheet, finding.measure);
    let own = by_itself.map_or(own, planted);
    let is_fault = own.degree > 1.0 || !own.scale.is_graded();
    // Nobody sees the millimetre that makes a slight fault a marked one.
    let is_clear = !own.scale.is_graded() || own.scale.from_step(own.degree) > CLEAR;
    (is_plain && is_fault && is_clear).then_some(own)
}

/// How far off a wanted degree, as a share of what is allowed: 1 is the last that is.
fn off(planted: &Planted, wanted: f64) -> f64 {
    if !planted.scale.is_graded() {
        return 0.0;
    }
    let [least, most] = planted.kind.asked(&planted.scale);
    let allowed = (NEAR * (most / least).ln()).max(NEAR_LEAST);
    (planted.degree / wanted).ln().abs() / allowed
}

/// Plants a fault of a wanted degree into a clean frame; none where it cannot be made the worst finding there.
pub fn plant(
    kind: FaultKind,
    course: usize,
    base: &Base,
    wanted: impl Fn(&Scale) -> f64,
    dice: &mut Dice,
) -> Option<Dealt> {
    let clean = &base.posed;
    let rulebook = clean.room.rulebook;
    // What is there anyway cannot be planted.
    if FaultKind::told_by_all(rulebook, &base.given).contains(&kind) {
        return None;
    }
    let (scale, _) = kind.measured(rulebook, &clean.roughly().graded.sheet)?;
    let wanted = wanted(&scale);
    let candidates = planted(kind, clean, &scale, scale.value(wanted), dice);
    let alone = candidates.size_hint() == (1, Some(1));
    // One site after the other: each is a whole one, and only the best are kept for proof.
    let mut rough: Vec<(f64, Posed)> = vec![];
    for posed in candidates {
        let found = if alone {
            Some(0.0)
        } else {
            let sheet = posed.roughly().graded.sheet;
            worst(kind, rulebook, &sheet, &base.given).map(|planted| off(&planted, wanted))
        };
        rough.extend(found.map(|off| (off, posed)));
        rough.sort_by(|a, b| a.0.total_cmp(&b.0));
        rough.truncate(PROVED);
    }
    rough.into_iter().find_map(|(_, posed)| {
        let seen = Arc::new(posed.proved());
        let planted = worst(kind, rulebook, &seen.graded.sheet, &base.given)?;
        (off(&planted, wanted) <= 1.0).then(|| Dealt {
            course,
            clean: clean.clone(),
            given: base.given.clone(),
            posed,
            seen,
            planted: Some(planted),
        })
    })
}

/// What a frame is to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wanted {
    /// Clean, but for what is given.
    Clean,
    /// Of this kind.
    Fault(FaultKind),
}

/// Every site's frames, each with its site's place: those of one site as they stand, of several by lot.
pub(super) fn in_turn<'a>(courses: &'a [Course], dice: &mut Dice) -> Vec<(usize, &'a Base)> {
    let of_site = |(i, course)| {
        let course: &Course = course;
        course.frames.iter().map(move |frame| (i, frame))
    };
    let mut all: Vec<(usize, &Base)> = courses.iter().enumerate().flat_map(of_site).collect();
    if courses.len() > 1 {
        dice.shuffle(&mut all);
    }
    all
}

/// Deals what is wanted from some site's frames; none where no site has any, or no fault of this kind can be
/// planted in a few tries.
pub fn deal(
    courses: &[Course],
    wanted: Wanted,
    degree: &dyn Fn(FaultKind, &Scale) -> f64,
    dice: &mut Dice,
) -> Option<Dealt> {
    for (course, base) in in_turn(courses, dice).into_iter().take(TRIES) {
        match wanted {
            Wanted::Clean => {
                let seen = Arc::new(base.posed.proved());
                return Some(Dealt {
                    course,
                    clean: base.posed.clone(),
                    given: base.given.clone(),
                    posed: base.posed.clone(),
                    seen,
                    planted: None,
                });
            }
            Wanted::Fault(kind) => {
                let dealt = plant(kind, course, base, |scale| degree(kind, scale), dice);
                // Where the place has something against it anyway, a slight fault is not the worst.
                let marked = |scale: &Scale| {
                    let degree = degree(kind, scale);
                    let worse = scale.last_slight().map(|last| BEYOND * last);
                    worse.map_or(degree, |worse| worse.max(degree))
                };
                let again = || match base.given.is_empty() {
                    true => None,
                    false => plant(kind, course, base, marked, dice),
                };
                let dealt = dealt.or_else(again);
                if dealt.is_some() {
                    return dealt;
                }
            }
        }
    }
    None
}
