//! Undo and redo: takes, or other states, one for each thing that was done. What belongs together (a drag, a key held
//! down) is one step. May not enter: what is done.

use super::setting::Setting;
use super::take::Take;
use std::time::{Duration, Instant};

/// Steps that are remembered.
const MOST: usize = 200;

/// The same thing done again within this time is the same step.
const TOGETHER: Duration = Duration::from_millis(900);

/// One thing that was done.
#[derive(Clone, Debug)]
struct Step<T> {
    /// As it was before.
    before: T,
    /// What was done, in the words of the command.
    what: &'static str,
    /// When it was done last.
    last: Instant,
}

/// What was done and can be taken back.
#[derive(Clone, Debug)]
pub struct History<T = Take> {
    done: Vec<Step<T>>,
    undone: Vec<(T, &'static str)>,
    /// The next thing is a step of its own, whatever it is.
    parted: bool,
}

impl<T> Default for History<T> {
    fn default() -> History<T> {
        History {
            done: vec![],
            undone: vec![],
            parted: false,
        }
    }
}

impl<T: Clone> History<T> {
    /// Notes that `what` is about to change `before`. What was undone is gone with it.
    pub fn note(&mut self, before: &T, what: &'static str, now: Instant) {
        self.undone.clear();
        let parted = std::mem::take(&mut self.parted);
        match self.done.last_mut() {
            Some(step)
                if !parted && step.what == what && now.duration_since(step.last) < TOGETHER =>
            {
                step.last = now;
            }
            _ => self.done.push(Step {
                before: before.clone(),
                what,
                last: now,
            }),
        }
        let surplus = self.done.len().saturating_sub(MOST);
        self.done.drain(..surplus);
    }

    /// A drag ended: the next one is another step.
    pub fn part(&mut self) {
        self.parted = true;
    }

    /// Takes the last step back; `now` is the take as it is.
    pub fn undo(&mut self, now: &T) -> Option<T> {
        let step = self.done.pop()?;
        self.undone.push((now.clone(), step.what));
        self.parted = true;
        Some(step.before)
    }

    /// Does again what was taken back last.
    pub fn redo(&mut self, now: &T, at: Instant) -> Option<T> {
        let (take, what) = self.undone.pop()?;
        self.done.push(Step {
            before: now.clone(),
            what,
            last: at,
        });
        self.parted = true;
        Some(take)
    }

    /// What would be taken back.
    pub fn next_undo(&self) -> Option<&'static str> {
        self.done.last().map(|step| step.what)
    }

    /// What would be done again.
    pub fn next_redo(&self) -> Option<&'static str> {
        self.undone.last().map(|(_, what)| *what)
    }
}

impl History {
    /// What cannot be is taken out: where a setting was refused, another one stands in its place, the rest of each take
    /// stays, and steps that change nothing any more are gone. `now` is the take as it is after that.
    pub fn replace(&mut self, refused: &Setting, by: &Setting, now: &Take) {
        let mend = |take: &mut Take| {
            if take.setting == *refused {
                take.setting = by.clone();
            }
        };
        self.done.iter_mut().for_each(|step| mend(&mut step.before));
        self.undone.iter_mut().for_each(|(take, _)| mend(take));
        let mut after = now.clone();
        for at in (0..self.done.len()).rev() {
            if self.done[at].before == after {
                self.done.remove(at);
            } else {
                after = self.done[at].before.clone();
            }
        }
        let mut before = now.clone();
        for at in (0..self.undone.len()).rev() {
            if self.undone[at].0 == before {
                self.undone.remove(at);
            } else {
                before = self.undone[at].0.clone();
            }
        }
        self.parted = true;
    }

    /// The setting before the last change of it to something else than one that was refused.
    pub fn setting_before(&self, refused: &Setting) -> Option<&Setting> {
        let before = self.done.iter().rev().map(|step| &step.before.setting);
        before.into_iter().find(|setting| *setting != refused)
    }
}
