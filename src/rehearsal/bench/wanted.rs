//! The board on which the window writes what it wants: only the newest counts. May not enter: how it is worked out.

use super::held;
use crate::grade::MeasureId;
use crate::rehearsal::take::Take;
use std::sync::{Condvar, Mutex};
use std::time::{Duration, Instant};

/// What the window wants.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// The frame to be graded.
    pub take: Take,
    /// The finding whose causes are shown, and the mask's width in pixels.
    pub finding: Option<(MeasureId, usize)>,
}

/// The board.
#[derive(Default)]
pub(super) struct Board {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Default)]
struct State {
    wanted: Option<Wanted>,
    since: Option<Instant>,
    closed: bool,
}

/// What a worker finds on the board.
pub(super) enum Seen {
    /// The window is closing.
    Closed,
    /// The newest wish, and for how long it has stood.
    Wanted(Box<Wanted>, Duration),
}

impl Board {
    pub(super) fn post(&self, wanted: Wanted) {
        let mut state = held(&self.state);
        if state.wanted.as_ref() != Some(&wanted) {
            state.wanted = Some(wanted);
            state.since = Some(Instant::now());
            self.changed.notify_all();
        }
    }

    pub(super) fn close(&self) {
        held(&self.state).closed = true;
        self.changed.notify_all();
    }

    /// Waits until `serves` finds something to do in what is wanted; it may ask to be asked again after a time.
    pub(super) fn wait(&self, mut serves: impl FnMut(&Wanted, Duration) -> Serves) -> Seen {
        let mut state = held(&self.state);
        loop {
            if state.closed {
                return Seen::Closed;
            }
            let stood = state.since.map_or(Duration::ZERO, |since| since.elapsed());
            let serves = match &state.wanted {
                Some(wanted) => serves(wanted, stood),
                None => Serves::Nothing,
            };
            match (serves, &state.wanted) {
                (Serves::Now, Some(wanted)) => {
                    return Seen::Wanted(Box::new(wanted.clone()), stood);
                }
                (Serves::After(time), _) => {
                    let waited = self.changed.wait_timeout(state, time);
                    state = waited.unwrap_or_else(|held| held.into_inner()).0;
                }
                _ => {
                    let waited = self.changed.wait(state);
                    state = waited.unwrap_or_else(|held| held.into_inner());
                }
            }
        }
    }
}

/// Whether a worker has something to do.
pub(super) enum Serves {
    Now,
    After(Duration),
    Nothing,
}
