//! A long command watched: its progress bar, and Ctrl-C. May not enter: what is worked on.

use super::timings::Timings;
use crate::plan::request::Watch;
use indicatif::{ProgressBar, ProgressStyle};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// A bar that is told of progress, what each step took, and a flag that Ctrl-C sets.
pub struct Watching {
    bar: ProgressBar,
    timings: Timings,
    cancel: Arc<AtomicBool>,
}

impl Watching {
    /// Begins to listen for Ctrl-C, or a system that shuts down. A second one need not wait: nothing is ever half written.
    pub fn begin() -> Watching {
        let cancel = Arc::new(AtomicBool::new(false));
        let flag = cancel.clone();
        let _ = ctrlc::set_handler(move || {
            if flag.swap(true, Ordering::Relaxed) {
                std::process::exit(130);
            }
        });
        let bar = ProgressBar::new(100);
        if let Ok(style) = ProgressStyle::with_template("{bar:30} {percent:>3} % {msg}") {
            bar.set_style(style);
        }
        Watching {
            bar,
            timings: Timings::default(),
            cancel,
        }
    }

    /// The flag.
    pub fn cancel(&self) -> &AtomicBool {
        &self.cancel
    }

    /// Does some work under the bar and takes the bar away.
    pub fn over<T>(&self, work: impl FnOnce(&Watch) -> T) -> T {
        let told = |what: &str, share: f64| {
            self.timings.begin(what);
            self.bar.set_message(what.to_string());
            self.bar.set_position((share * 100.0) as u64);
        };
        let done = work(&Watch {
            cancel: &self.cancel,
            told: &told,
        });
        self.timings.end();
        self.bar.finish_and_clear();
        done
    }

    /// What each step of the work took.
    pub fn timings(&self) -> &Timings {
        &self.timings
    }
}
