//! Spot the fault: which faults a frame has, how bad the worst is, what to do about it. May not enter: pictures.

use crate::grade::Grade;
use crate::grade::wording::{sentence_case, told};
use crate::practise::deal::{Course, Dealt, Wanted, deal};
use crate::practise::dice::Dice;
use crate::practise::fault::{FaultKind, Remedy};
use crate::practise::progress::{Drill, Progress, Round};
use crate::units::Units;

/// How many faults are offered: as many as there are number keys.
pub const OFFERED: usize = 9;
/// Share of clean frames.
const CLEAN: f64 = 0.2;
/// Kinds that are tried before there is no frame.
const KINDS: usize = 12;

/// The grades that a fault may have, in the order of their keys.
pub const GRADES: [Grade; 3] = [Grade::Slight, Grade::Marked, Grade::Ruinous];

/// What is asked now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Which faults.
    Which,
    /// How bad the worst of them.
    HowBad,
    /// What to do.
    WhatToDo,
    /// Nothing more: the truth is shown.
    Truth,
}

/// A round.
pub struct Spot {
    /// The frame.
    pub dealt: Dealt,
    /// The faults that are offered.
    pub offered: Vec<FaultKind>,
    /// What is asked.
    pub step: Step,
    /// What was named so far.
    pub named: Vec<FaultKind>,
    /// How bad it was said to be.
    pub grade: Option<Grade>,
    /// What was said to be done.
    pub remedy: Option<Remedy>,
}

impl Spot {
    /// The round of a seed. The degree is the one that tells most of the learner's threshold; none where nothing can be
    /// dealt.
    pub fn deal(courses: &[Course], progress: &Progress, seed: u64, round: u64) -> Option<Spot> {
        let mut dice = Dice::new(seed, round);
        let clean = dice.share() < CLEAN;
        for _ in 0..KINDS {
            let kind = FaultKind::ALL[dice.below(FaultKind::ALL.len())];
            let wanted = if clean {
                Wanted::Clean
            } else {
                Wanted::Fault(kind)
            };
            let degree = |kind, scale: &_| progress.of(kind).next(scale);
            if let Some(dealt) = deal(courses, wanted, &degree, &mut dice) {
                return Some(Spot::of(dealt, &mut dice));
            }
        }
        None
    }

    /// A round on a frame.
    pub fn of(dealt: Dealt, dice: &mut Dice) -> Spot {
        let sheet = &dealt.seen.graded.sheet;
        let mut offered: Vec<FaultKind> = dealt.planted.iter().map(|one| one.kind).collect();
        let told = FaultKind::told_in(dealt.posed.room.rulebook, sheet);
        let mut others = FaultKind::ALL.to_vec();
        dice.shuffle(&mut others);
        for kind in told.into_iter().chain(others) {
            if offered.len() < OFFERED && !offered.contains(&kind) {
                offered.push(kind);
            }
        }
        offered.sort();
        Spot {
            dealt,
            offered,
            step: Step::Which,
            named: vec![],
            grade: None,
            remedy: None,
        }
    }

    /// Names a fault, or takes it back.
    pub fn toggle(&mut self, kind: FaultKind) {
        if self.step != Step::Which {
            return;
        }
        match self.named.iter().position(|one| *one == kind) {
            Some(at) => drop(self.named.remove(at)),
            None => self.named.push(kind),
        }
    }

    /// Says that all has been named; none of it means a clean frame.
    pub fn named_all(&mut self) {
        if self.step == Step::Which {
            self.step = match self.named.is_empty() {
                true => Step::Truth,
                false => Step::HowBad,
            };
        }
    }

    /// Says how bad the worst is.
    pub fn say_grade(&mut self, grade: Grade) {
        if self.step == Step::HowBad {
            self.grade = Some(grade);
            self.step = Step::WhatToDo;
        }
    }

    /// Says what to do.
    pub fn say_remedy(&mut self, remedy: Remedy) {
        if self.step == Step::WhatToDo {
            self.remedy = Some(remedy);
            self.step = Step::Truth;
        }
    }

    /// Whether nothing more is asked.
    pub fn is_over(&self) -> bool {
        self.step == Step::Truth
    }

    /// The worst finding's grade; clean in a clean frame.
    pub fn true_grade(&self) -> Grade {
        let findings = &self.dealt.seen.graded.sheet.findings;
        findings.first().map_or(Grade::Clean, |worst| worst.grade)
    }

    /// Faults that were named and are none in this frame.
    pub fn wrongly_named(&self) -> Vec<FaultKind> {
        let sheet = &self.dealt.seen.graded.sheet;
        let told = FaultKind::told_in(self.dealt.posed.room.rulebook, sheet);
        let wrong = self.named.iter().filter(|kind| !told.contains(kind));
        wrong.copied().collect()
    }

    /// A kind's measure in this frame beside its limit: "Nose lit 96 %, limit 90 %". None where it means nothing here.
    pub fn measured_of(&self, kind: FaultKind, units: Units) -> Option<String> {
        let rulebook = self.dealt.posed.room.rulebook;
        let (scale, value) = kind.measured(rulebook, &self.dealt.seen.graded.sheet)?;
        let [value, limit] = [value, scale.limit].map(|value| told(scale.id, value, units));
        Some(sentence_case(&format!(
            "{} {value}, limit {limit}",
            scale.id.title()
        )))
    }

    /// Whether the planted fault was named; in a clean frame whether none was.
    pub fn is_seen(&self) -> bool {
        match self.dealt.planted {
            Some(planted) => self.named.contains(&planted.kind),
            None => self.named.is_empty(),
        }
    }

    /// Points, 0 to 3: one each for what, how bad and what to do; half for a grade next to the true one; half taken off
    /// for each fault that was named and is none.
    pub fn points(&self) -> f64 {
        let Some(planted) = self.dealt.planted else {
            return if self.named.is_empty() { 3.0 } else { 0.0 };
        };
        if !self.is_seen() {
            return 0.0;
        }
        let off = |grade: Grade| (grade as i32 - self.true_grade() as i32).abs();
        let grade = self.grade.map_or(0.0, |grade| match off(grade) {
            0 => 1.0,
            1 => 0.5,
            _ => 0.0,
        });
        let right = |remedy: Remedy| planted.kind.remedies().contains(&remedy);
        let remedy = f64::from(u8::from(self.remedy.is_some_and(right)));
        let wrong = 0.5 * self.wrongly_named().len() as f64;
        (1.0 + grade + remedy - wrong).max(0.0)
    }

    /// The round as it is kept.
    pub fn round(&self) -> Round {
        let keys = |kinds: &[FaultKind]| kinds.iter().map(|kind| kind.key().to_string()).collect();
        Round {
            named: keys(&self.named),
            offered: keys(&self.offered),
            ..Round::of(Drill::Spot, self.dealt.planted.as_ref(), self.points())
        }
    }
}
