//! What a plan answers. May not enter: how answers are found.

use super::slack::Slack;
use crate::grade::{MeasureId, Sheet, Verdict};
use crate::scene::machine::HeadEnd;
use chrono::{DateTime, Duration, NaiveDate, Utc};

pub use crate::grade::Stand;
pub use crate::sighting::shown::Side;

/// What becomes of the verdict beyond a window's end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// It drops.
    Worse,
    /// It rises.
    Better,
    /// It holds as far as was looked.
    Same,
}

/// One end of a window.
#[derive(Clone, Debug, PartialEq)]
pub struct WindowEnd {
    /// The last instant at which the verdict still holds.
    pub at: DateTime<Utc>,
    /// What follows.
    pub beyond: Beyond,
    /// The measure that worsens beyond it, or mends; none where no single one does, or nothing ends it.
    pub ended_by: Option<MeasureId>,
    /// What ends it, in a sentence.
    pub sentence: String,
}

/// The stretch of time around the best minute in which the verdict stays the answer's own.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// Its first instant.
    pub start: WindowEnd,
    /// The best minute.
    pub best: DateTime<Utc>,
    /// Its last instant.
    pub end: WindowEnd,
}

impl Window {
    /// Start, best and end in whole minutes that lie inside: the start rounded up, the others down. A window
    /// shorter than its minute stays as it is.
    pub fn whole_minutes(&self) -> [DateTime<Utc>; 3] {
        let floor = |at: DateTime<Utc>| {
            let seconds = at.timestamp();
            DateTime::from_timestamp(seconds - seconds.rem_euclid(60), 0).unwrap_or(at)
        };
        let (start, end) = (self.start.at, self.end.at);
        let up = floor(start + Duration::seconds(60) - Duration::nanoseconds(1));
        match (up, floor(end)) {
            (up, down) if up <= down => [up, floor(self.best).clamp(up, down), down],
            _ => [start, self.best, end],
        }
    }
}

/// A day on which an answer holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    /// Its local date.
    pub date: NaiveDate,
    /// Its window.
    pub window: Window,
}

/// One answer: a stand, a window, a proved grade.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Which end leads, for this answer.
    pub head_end: HeadEnd,
    /// Which side is shown.
    pub side: Side,
    /// Name of the piece of ground.
    pub area: String,
    /// Where and how the camera stands.
    pub stand: Stand,
    /// The window on the best date.
    pub window: Window,
    /// The run of days on which the stand is as good at the same solar time: the first, the best and the
    /// last of them, each with its own window. (By the clock of mean time: the sun itself drifts by up to half an hour.)
    pub days: Vec<Day>,
    /// The proved grade at the best minute.
    pub sheet: Sheet,
    /// What could be had by giving something up, each a sentence ("two paces left clear the mast …").
    pub trade_offs: Vec<String>,
    /// How much it bears before its verdict drops; none where that was not asked.
    pub slack: Option<Slack>,
}

impl Answer {
    /// The proved verdict.
    pub fn verdict(&self) -> Verdict {
        self.sheet.verdict
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_window_in_whole_minutes_lies_inside() {
        let at = |text: &str| text.parse::<DateTime<Utc>>().unwrap();
        let window = |start: &str, end: &str| {
            let end_at = |at| WindowEnd {
                at,
                beyond: Beyond::Same,
                ended_by: None,
                sentence: String::new(),
            };
            Window {
                start: end_at(at(start)),
                best: at(start),
                end: end_at(at(end)),
            }
        };
        let found = window("2027-05-14T13:35:30Z", "2027-05-14T14:29:59Z").whole_minutes();
        assert_eq!(
            found,
            ["13:36", "13:36", "14:29"].map(|time| at(&format!("2027-05-14T{time}:00Z")))
        );
        let exact = window("2027-05-14T13:35:00Z", "2027-05-14T14:29:00Z").whole_minutes();
        assert_eq!(
            exact,
            ["13:35", "13:35", "14:29"].map(|time| at(&format!("2027-05-14T{time}:00Z")))
        );
        let short = window("2027-05-14T13:35:10Z", "2027-05-14T13:35:50Z").whole_minutes();
        assert_eq!(
            short,
            ["10", "10", "50"].map(|seconds| at(&format!("2027-05-14T13:35:{seconds}Z")))
        );
    }
}
