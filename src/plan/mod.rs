//! The plan: where to stand, with which lens, from which minute to which. May not enter: pixels of a
//! picture, screens, files.

pub mod answer;
