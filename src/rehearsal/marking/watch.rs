//! Whether a photograph's file is still the one that was read, and its marks file that which is known: looked at every second, beside the window, since a card or
//! a share that is gone may keep one waiting. May not enter: pixels.

use super::fitting::{News, Teller};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::time::{Duration, SystemTime};

/// So often it is looked at.
const EVERY: Duration = Duration::from_secs(1);

/// What tells one state of a file from another: when it was written, and how long it is. None where there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stamp(Option<(SystemTime, u64)>);

impl Stamp {
    /// Of a file as it is now.
    pub(super) fn of(path: &Path) -> Stamp {
        let about = std::fs::metadata(path).ok();
        let about = about.and_then(|about| Some((about.modified().ok()?, about.len())));
        Stamp(about)
    }

    /// Whether no file is there.
    pub(super) fn is_none(self) -> bool {
        self.0.is_none()
    }
}

/// Looks after a file for as long as it lives.
pub(super) struct Watch(#[expect(dead_code, reason = "its end ends the thread")] Sender<()>);

impl Watch {
    /// Begins; `last` is the file's state that is known, `news` what another one means.
    pub(super) fn begin(
        (path, mut last): (PathBuf, Stamp),
        news: fn(Stamp) -> News,
        tell: Teller,
    ) -> Watch {
        let (sender, end) = channel::<()>();
        std::thread::spawn(move || {
            while end.recv_timeout(EVERY) == Err(RecvTimeoutError::Timeout) {
                let now = Stamp::of(&path);
                if now != last {
                    last = now;
                    tell.tell(news(now));
                }
            }
        });
        Watch(sender)
    }
}
