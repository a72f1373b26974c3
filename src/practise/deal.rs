//! Dealing frames: a clean one, or one with a planted fault of a wanted degree that is its worst finding, by a seed.
//! May not enter: what a learner says.

use super::clean::clean_frames;
use super::dice::Dice;
use super::fault::FaultKind;
use super::plant::planted;
use super::posed::{Posed, Seen};
use super::scale::Scale;
use crate::grade::{MeasureId, Rulebook, Sheet};
use crate::rehearsal::bench::Room;
use chrono::{DateTime, Utc};
use std::sync::Arc;

/// Clean frames that are looked for in a site.
pub const FRAMES: usize = 4;
/// Candidates that are proved at full size, the nearest to the wanted degree first.
const PROVED: usize = 3;
/// Clean frames that are tried for one fault.
const TRIES: usize = 4;
/// How far off the wanted degree a planted one may be, as a share of the logarithmic axis.
const NEAR: f64 = 0.25;
/// The same where the axis is short.
const NEAR_LEAST: f64 = 0.15;

/// A site with its clean frames.
#[derive(Clone)]
pub struct Course {
    /// Its name.
    pub name: String,
    /// Clean frames, proved.
    pub frames: Vec<Posed>,
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
pub struct Dealt {
    /// Which site.
    pub course: usize,
    /// The clean frame that it was made from: the mended one.
    pub clean: Posed,
    /// The frame.
    pub posed: Posed,
    /// It as graded at full size.
    pub seen: Arc<Seen>,
    /// The fault; none in a clean one.
    pub planted: Option<Planted>,
}

impl Course {
    /// Finds a site's clean frames. The same seed finds the same.
    pub fn find(
        name: &str,
        room: &Arc<Room>,
        own: DateTime<Utc>,
        seed: u64,
        stop: &dyn Fn() -> bool,
    ) -> Course {
        let mut dice = Dice::new(seed, u64::MAX);
        Course {
            name: name.to_string(),
            frames: clean_frames(room, own, &mut dice, FRAMES, stop),
        }
    }
}

/// The degree of a kind in a sheet, where the kind is the worst that it tells of.
fn worst(kind: FaultKind, rulebook: &Rulebook, sheet: &Sheet) -> Option<Planted> {
    let finding = sheet.findings.first()?;
    if !kind.is_told_by(rulebook, finding.measure, finding.value) {
        return None;
    }
    let (scale, value) = kind.measured(rulebook, sheet)?;
    let degree = scale.degree(value);
    let is_fault = degree > 1.0 || !scale.is_graded();
    is_fault.then_some(Planted {
        kind,
        scale,
        value,
        degree,
    })
}

/// How far off a wanted degree, as a share of what is allowed: 1 is the last that is.
fn off(planted: &Planted, wanted: f64) -> f64 {
    if !planted.scale.is_graded() {
        return 0.0;
    }
    let [least, most] = planted.scale.asked();
    let allowed = (NEAR * (most / least).ln()).max(NEAR_LEAST);
    (planted.degree / wanted).ln().abs() / allowed
}

/// Plants a fault of a wanted degree into a clean frame; none where it cannot be made the worst finding there.
pub fn plant(
    kind: FaultKind,
    course: usize,
    clean: &Posed,
    wanted: impl Fn(&Scale) -> f64,
    dice: &mut Dice,
) -> Option<Dealt> {
    let rulebook = clean.room.rulebook;
    let (scale, _) = kind.measured(rulebook, &clean.roughly().graded.sheet)?;
    let wanted = wanted(&scale);
    let candidates = planted(kind, clean, &scale, scale.value(wanted), dice);
    let alone = candidates.len() == 1;
    let mut rough: Vec<(f64, Posed)> = vec![];
    for posed in candidates {
        let found = if alone {
            Some(0.0)
        } else {
            let sheet = posed.roughly().graded.sheet;
            worst(kind, rulebook, &sheet).map(|planted| off(&planted, wanted))
        };
        rough.extend(found.map(|off| (off, posed)));
    }
    rough.sort_by(|a, b| a.0.total_cmp(&b.0));
    rough.into_iter().take(PROVED).find_map(|(_, posed)| {
        let seen = Arc::new(posed.proved());
        let planted = worst(kind, rulebook, &seen.graded.sheet)?;
        (off(&planted, wanted) <= 1.0).then(|| Dealt {
            course,
            clean: clean.clone(),
            posed,
            seen,
            planted: Some(planted),
        })
    })
}

/// What a frame is to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wanted {
    /// Clean.
    Clean,
    /// Of this kind.
    Fault(FaultKind),
}

/// Every site's clean frames, each with its site's place.
pub(super) fn of_all(courses: &[Course]) -> Vec<(usize, &Posed)> {
    let of_site = |(i, course)| {
        let course: &Course = course;
        course.frames.iter().map(move |frame| (i, frame))
    };
    courses.iter().enumerate().flat_map(of_site).collect()
}

/// Deals what is wanted from some site's clean frames; none where no site has any, or no fault of this kind can be
/// planted in a few tries.
pub fn deal(
    courses: &[Course],
    wanted: Wanted,
    degree: &dyn Fn(FaultKind, &Scale) -> f64,
    dice: &mut Dice,
) -> Option<Dealt> {
    let all = of_all(courses);
    if all.is_empty() {
        return None;
    }
    for _ in 0..TRIES {
        let (course, clean) = all[dice.below(all.len())];
        match wanted {
            Wanted::Clean => {
                let seen = Arc::new(clean.proved());
                return Some(Dealt {
                    course,
                    clean: clean.clone(),
                    posed: clean.clone(),
                    seen,
                    planted: None,
                });
            }
            Wanted::Fault(kind) => {
                let dealt = plant(kind, course, clean, |scale| degree(kind, scale), dice);
                if dealt.is_some() {
                    return dealt;
                }
            }
        }
    }
    None
}

impl Dealt {
    /// The measure by which the rulebook tells what is wrong; none in a clean frame.
    pub fn measure(&self) -> Option<MeasureId> {
        self.planted?;
        self.seen
            .graded
            .sheet
            .findings
            .first()
            .map(|finding| finding.measure)
    }
}
