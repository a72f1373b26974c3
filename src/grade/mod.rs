//! How a frame is graded: measures, the rulebook that holds every limit, verdict, score and findings.
//! May not enter: how a number is measured apart from `measure`, and how a frame is searched or drawn.

pub mod catalogue; // every measure there is: key, unit, name
pub mod composed; // a frame but for its minute
mod course; // the course of a date's sun round one minute
pub mod culprits; // what causes a finding, in the frame
pub mod measure; // the numbers themselves, taken from geometry and sightings
mod mend; // what would mend a finding: remedies that speak of time
pub mod minute; // an instant: its sun, and what that sees
pub mod reading; // what was measured: a value, not applicable, unknown
pub mod rule; // one rule: limits, penalty, headroom
mod rule_file; // one rule's table in a file
pub mod rulebook; // all rules of a file, the two that ship, and how a file is read
pub mod sheet; // judging: the graded frame with its findings
mod sidestep; // remedies that speak of the place
pub mod stand; // where a camera stands and how it looks
pub mod studio; // a scene prepared once, from which any stand and minute is graded
pub mod verdict; // grades, verdicts, and the score
pub mod wording; // sentences from templates

pub use catalogue::{MeasureId, Unit};
pub use composed::Composed;
pub use culprits::{Culprits, Form, Mark, MarkRole, Mask};
pub use minute::{Minute, Moment};
pub use reading::{Measured, Reading};
pub use rule::Rule;
pub use rulebook::Rulebook;
pub use sheet::{Finding, Merit, Sheet, judge};
pub use stand::{Stand, StandChange};
pub use studio::{Graded, Studio, WIDEST_GRADED_DEG};
pub use verdict::{Grade, Tally, Verdict};
