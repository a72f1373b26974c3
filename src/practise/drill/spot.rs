//! Spot the fault: which faults a frame has, how bad the worst is, what to do about it. May not enter: pictures.

use crate::grade::Grade;
use crate::grade::wording::{sentence_case, told};
use crate::practise::deal::{Course, Dealt, Wanted, deal};
use crate::practise::dice::Dice;
use crate::practise::fault::{FaultKind, Remedy};
use crate::practise::progress::{Drill, Progress, Round};
use crate::practise::words;
use crate::units::Units;

/// How many faults are offered: as many as there are number keys.
pub const OFFERED: usize = 9;
/// Share of clean frames.
const CLEAN: f64 = 0.2;
/// Kinds that are tried before there is no frame.
const KINDS: usize = 12;

/// The grades that may be said of what was named; the key of each is its place.
pub const GRADES: [Grade; 4] = [Grade::Clean, Grade::Slight, Grade::Marked, Grade::Ruinous];
/// The first rounds that somebody plays have faults: what a clean frame is shows beside them.
const FIRST: usize = 2;

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
        let clean = dice.share() < CLEAN && progress.of_drill(Drill::Spot).0 >= FIRST;
        let weighed = |kind: &FaultKind| vec![*kind; progress.of(*kind).weight()];
        let kinds: Vec<FaultKind> = FaultKind::ALL.iter().flat_map(weighed).collect();
        for _ in 0..KINDS {
            let kind = kinds[dice.below(kinds.len())];
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
        let rulebook = dealt.posed.room.rulebook;
        let told = FaultKind::told_in(rulebook, sheet);
        let given = FaultKind::told_by_all(rulebook, &dealt.given);
        let mut others = FaultKind::ALL.to_vec();
        dice.shuffle(&mut others);
        for kind in told.into_iter().chain(others) {
            let is_new = !offered.contains(&kind) && !given.contains(&kind);
            if offered.len() < OFFERED && is_new {
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
        if self.is_within() {
            return Grade::Clean;
        }
        let findings = &self.dealt.seen.graded.sheet.findings;
        findings.first().map_or(Grade::Clean, |worst| worst.grade)
    }

    /// The kinds that the sheet tells of, worst first.
    fn told(&self) -> Vec<FaultKind> {
        let sheet = &self.dealt.seen.graded.sheet;
        FaultKind::told_in(self.dealt.posed.room.rulebook, sheet)
    }

    /// Whether what was planted lies within its limit: then the frame is clean by the rule, and so is whoever sees it.
    pub fn is_within(&self) -> bool {
        let planted = self.dealt.planted;
        planted.is_some_and(|one| one.scale.is_graded() && one.degree <= 1.0)
    }

    /// Faults that were named and are none in this frame.
    pub fn wrongly_named(&self) -> Vec<FaultKind> {
        let told = self.told();
        let is_planted = |kind| self.dealt.planted.is_some_and(|one| one.kind == kind);
        let wrong = self
            .named
            .iter()
            .filter(|kind| !told.contains(kind) && !is_planted(**kind));
        wrong.copied().collect()
    }

    /// A kind's measure in this frame beside its limit: "Nose lit 96 %, limit 90 %". None where it means nothing here.
    pub fn measured_of(&self, kind: FaultKind, units: Units) -> Option<String> {
        let rulebook = self.dealt.posed.room.rulebook;
        let measured = kind.measured(rulebook, &self.dealt.seen.graded.sheet);
        let (scale, value) = measured.filter(|(scale, _)| scale.is_graded())?;
        let [value, limit] = [value, scale.limit].map(|value| told(scale.id, value, units));
        Some(sentence_case(&format!(
            "{} {value}, limit {limit}",
            scale.id.title()
        )))
    }

    /// What lies within the rule, if it was planted, with the limit.
    pub fn within_told(&self, units: Units) -> Option<String> {
        let planted = self.dealt.planted.filter(|_| self.is_within())?;
        let seen = words::seen(&planted.scale, planted.degree, units);
        let limit = told(planted.scale.id, planted.scale.limit, units);
        Some(sentence_case(&format!(
            "{seen}, within the rule's {limit}: to be seen, no fault"
        )))
    }

    /// Whether the planted fault was named; in a clean frame whether none was.
    pub fn is_seen(&self) -> bool {
        match self.dealt.planted {
            Some(planted) => self.named.contains(&planted.kind),
            None => self.named.is_empty(),
        }
    }

    /// Faults that were named, are not the planted one, and are on the sheet all the same: how much each is worth. Those of
    /// the same cause are the same fault to the rulebook, others are lesser ones.
    fn also_true(&self) -> Vec<(FaultKind, f64)> {
        let sheet = &self.dealt.seen.graded.sheet;
        let rulebook = self.dealt.posed.room.rulebook;
        let Some(worst) = sheet.findings.first() else {
            return vec![];
        };
        let worth = |kind: &FaultKind| {
            let own = sheet.findings.iter();
            let mut own = own.filter(|one| kind.is_told_by(rulebook, one.measure, one.value));
            let same = own.any(|one| one.fault == worst.fault);
            if same { 1.0 } else { 0.5 }
        };
        let told = self.told();
        let planted = self.dealt.planted.map(|one| one.kind);
        let also = self.named.iter();
        let also = also.filter(|kind| told.contains(kind) && Some(**kind) != planted);
        also.map(|kind| (*kind, worth(kind))).collect()
    }

    /// Faults that were named, are not the planted one, and are there too.
    pub fn also_there(&self) -> Vec<FaultKind> {
        self.also_true().into_iter().map(|(kind, _)| kind).collect()
    }

    /// What naming was worth, 0 to 1.
    pub fn named_rightly(&self) -> f64 {
        if self.is_seen() || (self.is_within() && self.named.is_empty()) {
            return 1.0;
        }
        let also = self.also_true().into_iter().map(|(_, worth)| worth);
        also.fold(0.0, f64::max)
    }

    /// What mends what was named rightly.
    pub fn remedies(&self) -> Vec<Remedy> {
        let planted = self.dealt.planted.map(|one| one.kind);
        let also = self.also_there();
        let kinds = planted.into_iter().chain(also);
        kinds
            .flat_map(|kind| kind.remedies().iter().copied())
            .collect()
    }

    /// Points, 0 to 3: one each for what, how bad and what to do; half for a fault that is there and not the worst, and
    /// for a grade next to the true one; half taken off for each fault that was named and is none.
    pub fn points(&self) -> f64 {
        if self.named.is_empty() && (self.dealt.planted.is_none() || self.is_within()) {
            return 3.0;
        }
        let what = self.named_rightly();
        if self.dealt.planted.is_none() || what == 0.0 {
            return 0.0;
        }
        let off = |grade: Grade| (grade as i32 - self.true_grade() as i32).abs();
        let grade = self.grade.map_or(0.0, |grade| match off(grade) {
            0 => 1.0,
            1 => 0.5,
            _ => 0.0,
        });
        let right = |remedy: Remedy| self.remedies().contains(&remedy);
        let remedy = f64::from(u8::from(self.remedy.is_some_and(right)));
        let wrong = 0.5 * self.wrongly_named().len() as f64;
        (what + grade + remedy - wrong).max(0.0)
    }

    /// The round as it is kept.
    pub fn round(&self) -> Round {
        // Whoever names the same cause by another word has seen something: that tells nothing of this one's threshold.
        let by_another_word = !self.is_seen() && self.named_rightly() == 1.0 && !self.is_within();
        let keys = |kinds: &[FaultKind]| kinds.iter().map(|kind| kind.key().to_string()).collect();
        let round = Round::of(Drill::Spot, self.dealt.planted.as_ref(), self.points());
        let value = round.value.filter(|_| !by_another_word);
        Round {
            named: keys(&self.named),
            offered: keys(&self.offered),
            value,
            measure: round.measure.clone().filter(|_| value.is_some()),
            ..round
        }
    }
}
