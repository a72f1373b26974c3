//! The board on which the window writes what it wants: only the newest counts. May not enter: how it is worked out.

use super::background::Job;
use super::{Room, held};
use crate::grade::MeasureId;
use crate::rehearsal::setting::Setting;
use crate::rehearsal::take::Take;
use chrono::NaiveDate;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex};
use std::time::{Duration, Instant};

/// What the window wants.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// The frame to be graded.
    pub take: Take,
    /// The finding whose causes are shown, and the mask's width in pixels.
    pub finding: Option<(MeasureId, usize)>,
    /// The take's date by the site's clock.
    pub date: NaiveDate,
    /// Whether the year's hours are looked at.
    pub year: bool,
    /// Whether pictures are drawn by the processor, so that grading leaves it to them at times.
    pub yields: bool,
}

/// Something moves until this long after it moved last.
const MOVES: Duration = Duration::from_millis(180);

/// The board.
#[derive(Default)]
pub(super) struct Board {
    state: Mutex<State>,
    changed: Condvar,
    /// The work in the background is of no use any more.
    stop: AtomicBool,
}

#[derive(Default)]
struct State {
    wanted: Option<Wanted>,
    since: Option<Instant>,
    /// The site as it was prepared last.
    room: Option<(Setting, Arc<Room>)>,
    /// The work that is done in the background.
    running: Option<Job>,
    closed: bool,
}

/// What a worker finds on the board.
pub(super) enum Seen {
    /// The window is closing.
    Closed,
    /// The newest wish.
    Wanted(Box<Wanted>),
}

/// Whether a worker has something to do.
pub(super) enum Serves {
    Now,
    After(Duration),
    Nothing,
}

impl Board {
    pub(super) fn post(&self, wanted: Wanted) {
        let mut state = held(&self.state);
        if state.wanted.as_ref() == Some(&wanted) {
            return;
        }
        if state.wanted.as_ref().map(|old| &old.take) != Some(&wanted.take) {
            state.since = Some(Instant::now());
        }
        state.wanted = Some(wanted);
        self.stop_useless(&state);
        self.changed.notify_all();
    }

    /// A site is prepared.
    pub(super) fn prepared(&self, setting: &Setting, room: &Arc<Room>) {
        let mut state = held(&self.state);
        state.room = Some((setting.clone(), Arc::clone(room)));
        self.changed.notify_all();
    }

    pub(super) fn close(&self) {
        held(&self.state).closed = true;
        self.stop.store(true, Ordering::SeqCst);
        self.changed.notify_all();
    }

    /// The site prepared for a setting, if it is.
    pub(super) fn room(&self, setting: &Setting) -> Option<Arc<Room>> {
        let state = held(&self.state);
        let (own, room) = state.room.as_ref()?;
        (own == setting).then(|| Arc::clone(room))
    }

    pub(super) fn begin(&self, job: Job) {
        let mut state = held(&self.state);
        self.stop.store(state.closed, Ordering::SeqCst);
        state.running = Some(job);
        self.stop_useless(&state);
    }

    pub(super) fn end(&self) {
        held(&self.state).running = None;
    }

    fn stop_useless(&self, state: &State) {
        let (Some(running), Some(wanted)) = (&state.running, &state.wanted) else {
            return;
        };
        let useful = Job::of(wanted).contains(running);
        if !useful {
            self.stop.store(true, Ordering::SeqCst);
        }
    }

    pub(super) fn stopped(&self) -> &AtomicBool {
        &self.stop
    }

    /// Waits while something moves: drawing comes first.
    pub(super) fn pause_while_moving(&self) {
        const NAP: Duration = Duration::from_millis(15);
        let moving = || {
            let state = held(&self.state);
            !state.closed && state.since.is_some_and(|since| since.elapsed() < MOVES)
        };
        while moving() && !self.stop.load(Ordering::Relaxed) {
            std::thread::sleep(NAP);
        }
    }

    /// Waits until `serves` finds something to do in what is wanted, which has stood for a time, its site prepared or
    /// not; it may ask to be asked again later.
    pub(super) fn wait(&self, mut serves: impl FnMut(&Wanted, Duration, bool) -> Serves) -> Seen {
        let mut state = held(&self.state);
        loop {
            if state.closed {
                return Seen::Closed;
            }
            let stood = state.since.map_or(Duration::ZERO, |since| since.elapsed());
            let serves = match &state.wanted {
                Some(wanted) => {
                    let setting = &wanted.take.setting;
                    let room = state.room.as_ref();
                    serves(wanted, stood, room.is_some_and(|(own, _)| own == setting))
                }
                None => Serves::Nothing,
            };
            match (serves, &state.wanted) {
                (Serves::Now, Some(wanted)) => return Seen::Wanted(Box::new(wanted.clone())),
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
