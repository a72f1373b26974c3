//! Mend it: a frame put right by the rehearsal's own commands, in as few moves as one can. May not enter: pictures,
//! keys.

use super::known::{self, Run};
use crate::grade::Verdict;
use crate::practise::deal::{Course, Dealt, Wanted, deal};
use crate::practise::dice::Dice;
use crate::practise::fault::{FaultKind, Remedy};
use crate::practise::posed::{Posed, Seen};
use crate::practise::progress::{Drill, Round};
use crate::practise::scale::Scale;
use crate::rehearsal::command::Command;
use std::sync::Arc;

/// Frames that are drawn before there is none.
const TRIES: usize = 16;
/// The worst degree that is drawn, as a factor of the least that keeps a frame from being good.
const WORST: f64 = 1.6;

/// A round.
pub struct Mend {
    /// The frame as it was dealt.
    pub dealt: Dealt,
    /// The fewest moves known, and what they lead to.
    pub fewest: (Vec<Run>, Posed),
    /// The frame as it is now.
    pub now: Posed,
    /// Runs that were made.
    pub made: Vec<Run>,
    /// Why the last press did nothing.
    pub refused: Option<String>,
    /// The frame as it was graded last, if that is the one it is now.
    pub graded: Option<Arc<Seen>>,
    /// It was told what is wrong.
    pub hinted: bool,
    /// It was given up.
    pub given_up: bool,
}

/// Whether commands of the photographer can mend a kind.
fn is_mendable(kind: FaultKind) -> bool {
    let by_hand = |remedy: &Remedy| {
        let other = [Remedy::OtherEnd, Remedy::Expose, Remedy::Ask];
        !other.contains(remedy)
    };
    // No hour lifts a veil, and a backdrop alone never spoils a frame.
    let never = [FaultKind::Veil, FaultKind::Backdrop];
    kind.remedies().iter().all(by_hand) && !never.contains(&kind)
}

impl Mend {
    /// The round of a seed; none where no frame is dealt that is worse than good and can be mended in moves that are
    /// known.
    pub fn deal(courses: &[Course], seed: u64, round: u64) -> Option<Mend> {
        let mut dice = Dice::new(seed, round);
        let mendable: Vec<FaultKind> = FaultKind::ALL
            .iter()
            .copied()
            .filter(|kind| is_mendable(*kind))
            .collect();
        for _ in 0..TRIES {
            let kind = mendable[dice.below(mendable.len())];
            let factor = dice.within(1.05, WORST);
            let degree = |_, scale: &Scale| match scale.is_graded() {
                true => factor * scale.last_slight().unwrap_or(scale.asked()[1]),
                false => 3.0,
            };
            let Some(dealt) = deal(courses, Wanted::Fault(kind), &degree, &mut dice) else {
                continue;
            };
            if dealt.seen.graded.sheet.verdict >= Verdict::Good {
                continue;
            }
            if let Some(fewest) = known::fewest(kind, &dealt.posed) {
                return Some(Mend {
                    now: dealt.posed.clone(),
                    fewest,
                    made: vec![],
                    refused: None,
                    graded: None,
                    hinted: false,
                    given_up: false,
                    dealt,
                });
            }
        }
        None
    }

    /// Carries a command out; false for one that is none of the drill's, or does nothing.
    pub fn press(&mut self, command: Command) -> bool {
        if self.is_over() {
            return false;
        }
        match known::pressed(&self.now, command) {
            Ok(Some(next)) => {
                self.refused = None;
                self.now = next;
                self.graded = None;
                match self.made.last_mut() {
                    Some((last, times)) if *last == command => *times += 1,
                    _ => self.made.push((command, 1)),
                }
                true
            }
            Ok(None) => false,
            Err(why) => {
                self.refused = Some(why);
                false
            }
        }
    }

    /// Takes in how the frame was graded, unless it has been moved meanwhile.
    pub fn take(&mut self, of: &Posed, seen: Arc<Seen>) {
        if of.stand == self.now.stand && of.at == self.now.at {
            self.graded = Some(seen);
        }
    }

    /// Grades the frame as it is now, here and now.
    pub fn grade(&mut self) {
        self.graded = Some(Arc::new(self.now.proved()));
    }

    /// Asks what is wrong, for half the points.
    pub fn hint(&mut self) {
        self.hinted |= !self.is_over();
    }

    /// Gives it up: the moves that are known are shown.
    pub fn give_up(&mut self) {
        self.given_up = !self.is_mended();
    }

    /// Whether the frame is good now, as far as it has been graded.
    pub fn is_mended(&self) -> bool {
        let good = |seen: &Arc<Seen>| seen.graded.sheet.verdict >= Verdict::Good;
        !self.made.is_empty() && self.graded.as_ref().is_some_and(good)
    }

    /// Whether nothing more is to be done.
    pub fn is_over(&self) -> bool {
        self.given_up || self.is_mended()
    }

    /// Points, 0 to 3: all for as few moves as are known and unasked what is wrong.
    pub fn points(&self) -> f64 {
        if !self.is_mended() {
            return 0.0;
        }
        let share = self.fewest.0.len() as f64 / self.made.len().max(1) as f64;
        let unasked = if self.hinted { 0.5 } else { 1.0 };
        3.0 * unasked * share.min(1.0)
    }

    /// The round as it is kept.
    pub fn round(&self) -> Round {
        Round {
            moves: Some([self.made.len() as u32, self.fewest.0.len() as u32]),
            ..Round::of(Drill::Mend, self.dealt.planted.as_ref(), self.points())
        }
    }
}
