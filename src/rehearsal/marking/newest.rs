//! Where one thread leaves what it wants and another takes the newest of it: what was overtaken is never done. May not
//! enter: what is wanted.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

/// The place; clones are the same one.
pub(super) struct Newest<T>(Arc<(Mutex<State<T>>, Condvar)>);

struct State<T> {
    wanted: Option<T>,
    closed: bool,
}

impl<T> Clone for Newest<T> {
    fn clone(&self) -> Newest<T> {
        Newest(Arc::clone(&self.0))
    }
}

impl<T> Newest<T> {
    pub(super) fn new() -> Newest<T> {
        let state = State {
            wanted: None,
            closed: false,
        };
        Newest(Arc::new((Mutex::new(state), Condvar::new())))
    }

    fn held(&self) -> MutexGuard<'_, State<T>> {
        // Plain data: a holder that panicked left it whole.
        self.0.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Leaves something in place of what lies there.
    pub(super) fn want(&self, wanted: T) {
        self.held().wanted = Some(wanted);
        self.0.1.notify_all();
    }

    /// Nothing more will come.
    pub(super) fn close(&self) {
        self.held().closed = true;
        self.0.1.notify_all();
    }

    /// Waits for something; none once the place is closed: what still lies there then, nobody wants any more.
    pub(super) fn take(&self) -> Option<T> {
        let mut state = self.held();
        loop {
            if state.closed {
                return None;
            }
            if let Some(wanted) = state.wanted.take() {
                return Some(wanted);
            }
            let waited = self.0.1.wait(state);
            state = waited.unwrap_or_else(PoisonError::into_inner);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_is_taken_and_nothing_after_the_end() {
        let place = Newest::new();
        place.want(1);
        place.want(2);
        assert_eq!(place.take(), Some(2));
        let other = place.clone();
        let waits = std::thread::spawn(move || [other.take(), other.take()]);
        place.want(3);
        while place.held().wanted.is_some() {
            std::thread::yield_now();
        }
        place.close();
        assert_eq!(waits.join().unwrap(), [Some(3), None]);
        place.want(4);
        assert_eq!(place.take(), None);
    }
}
