//! Undo and redo: takes, one for each thing that was done. What belongs together (a drag, a key held down) is one
//! step. May not enter: what is done.

use super::take::Take;
use std::time::{Duration, Instant};

/// Steps that are remembered.
const MOST: usize = 200;

/// The same thing done again within this time is the same step.
const TOGETHER: Duration = Duration::from_millis(900);

/// One thing that was done.
#[derive(Clone, Debug)]
struct Step {
    /// As it was before.
    before: Take,
    /// What was done, in the words of the command.
    what: &'static str,
    /// When it was done last.
    last: Instant,
}

/// What was done and can be taken back.
#[derive(Clone, Debug, Default)]
pub struct History {
    done: Vec<Step>,
    undone: Vec<(Take, &'static str)>,
    /// The next thing is a step of its own, whatever it is.
    parted: bool,
}

impl History {
    /// Notes that `what` is about to change `before`. What was undone is gone with it.
    pub fn note(&mut self, before: &Take, what: &'static str, now: Instant) {
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
    pub fn undo(&mut self, now: &Take) -> Option<Take> {
        let step = self.done.pop()?;
        self.undone.push((now.clone(), step.what));
        self.parted = true;
        Some(step.before)
    }

    /// Does again what was taken back last.
    pub fn redo(&mut self, now: &Take, at: Instant) -> Option<Take> {
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
