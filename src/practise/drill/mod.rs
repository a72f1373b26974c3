//! The three drills as state machines: what is asked, what is answered, what it is worth. May not enter: widgets,
//! files.

pub mod hour; // how long the light lasts
pub mod known; // the fewest moves that are known to mend a frame
pub mod mend; // a frame put right by commands
pub mod mended; // what mends a frame, and in words what was changed
pub mod spot; // which fault, how bad, what to do
pub mod truth; // what is shown after the answer
