//! What the steps of long work took, and how much memory: told on request. May not enter: what is worked on.

use serde_json::{Value, json};
use std::fmt::Write;
use std::sync::{Mutex, PoisonError};
use std::time::Instant;

/// The steps of some work with the instant at which each began.
#[derive(Default)]
pub struct Timings {
    steps: Mutex<Vec<(String, Instant)>>,
}

/// A plan's timings beside its counts.
pub struct Told<'a> {
    /// What each step took.
    pub timings: &'a Timings,
    /// What opening a device took, seconds: apart, since it does not grow with the work.
    pub startup_s: f64,
    /// Pairs of stand and instant that closed form or the grid decided.
    pub bounded: usize,
    /// Pairs that were graded exactly.
    pub exact: usize,
    /// Views that were drawn, of eyes and suns.
    pub views: usize,
}

impl Timings {
    /// A step begins: the one before it is over.
    pub fn begin(&self, what: &str) {
        let mut steps = self.steps.lock().unwrap_or_else(PoisonError::into_inner);
        steps.push((what.to_string(), Instant::now()));
    }

    /// The work is over.
    pub fn end(&self) {
        self.begin("");
    }

    /// Each step with its seconds, in the order in which they were begun.
    pub fn steps(&self) -> Vec<(String, f64)> {
        let steps = self.steps.lock().unwrap_or_else(PoisonError::into_inner);
        let took = |pair: &[(String, Instant)]| {
            let wall_s = (pair[1].1 - pair[0].1).as_secs_f64();
            (pair[0].0.clone(), wall_s)
        };
        steps.windows(2).map(took).collect()
    }

    /// All steps together, seconds.
    pub fn wall_s(&self) -> f64 {
        self.steps().iter().map(|(_, wall_s)| wall_s).sum()
    }
}

impl Told<'_> {
    /// As lines of text.
    pub fn text(&self) -> String {
        let mut text = String::new();
        let _ = writeln!(text, "{:8.2} s  opening a device", self.startup_s);
        for (what, wall_s) in self.timings.steps() {
            let _ = writeln!(text, "{wall_s:8.2} s  {what}");
        }
        let wall_s = self.timings.wall_s();
        let _ = writeln!(text, "{wall_s:8.2} s  in all, without the device");
        let per_s = |count: usize| count as f64 / wall_s;
        let _ = writeln!(
            text,
            "{} views; {} pairs bounded ({:.0}/s), {} exact ({:.0}/s)",
            self.views,
            self.bounded,
            per_s(self.bounded),
            self.exact,
            per_s(self.exact)
        );
        if let Some(peak_mb) = peak_mb() {
            let _ = writeln!(text, "{peak_mb:.0} MB at most");
        }
        text
    }

    /// As data.
    pub fn data(&self) -> Value {
        let wall_s = self.timings.wall_s();
        let stage = |(what, wall_s): (String, f64)| json!({ "what": what, "wall_s": wall_s });
        json!({
            "startup_s": self.startup_s,
            "wall_s": wall_s,
            "stages": self.timings.steps().into_iter().map(stage).collect::<Vec<_>>(),
            "views": self.views,
            "bounded_per_s": self.bounded as f64 / wall_s,
            "exact_per_s": self.exact as f64 / wall_s,
            "peak_mb": peak_mb(),
        })
    }
}

/// The most memory that this process has held, megabytes, where the system tells (Linux: proc(5), `VmHWM`).
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: f64 = line.trim().strip_suffix(" kB")?.trim().parse().ok()?;
    Some(kib * 1024.0 / 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn steps_take_from_their_beginning_to_the_next_one() {
        let timings = Timings::default();
        timings.begin("first");
        std::thread::sleep(Duration::from_millis(30));
        timings.begin("second");
        timings.end();
        let steps = timings.steps();
        assert_eq!(steps.len(), 2);
        assert_eq!(
            (steps[0].0.as_str(), steps[1].0.as_str()),
            ("first", "second")
        );
        assert!(steps[0].1 >= 0.03 && steps[0].1 > steps[1].1, "{steps:?}");
        assert!((timings.wall_s() - steps[0].1 - steps[1].1).abs() < 1e-9);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn the_most_memory_is_at_least_what_is_held() {
        let held = vec![1u8; 64 << 20];
        assert!(held.iter().map(|byte| u64::from(*byte)).sum::<u64>() == 64 << 20);
        assert!(peak_mb().unwrap() >= 67.0);
    }
}
