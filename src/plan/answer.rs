//! What a plan answers. May not enter: how answers are found.

use crate::grade::{MeasureId, Sheet, Verdict};
use crate::scene::machine::HeadEnd;
use chrono::{DateTime, NaiveDate, Utc};

pub use crate::grade::Stand;
pub use crate::sighting::shown::Side;

/// One end of a window.
#[derive(Clone, Debug, PartialEq)]
pub struct WindowEnd {
    /// The last instant at which the verdict still holds.
    pub at: DateTime<Utc>,
    /// The measure that worsens beyond it; none where the range of dates or the day itself ends it.
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
    /// First and last date (local) on which the same window holds.
    pub dates: (NaiveDate, NaiveDate),
    /// The proved grade at the best minute.
    pub sheet: Sheet,
    /// What could be had by giving something up, each a sentence ("two paces left clear the mast …").
    pub trade_offs: Vec<String>,
}

impl Answer {
    /// The proved verdict.
    pub fn verdict(&self) -> Verdict {
        self.sheet.verdict
    }
}
