//! Training the eye: frames with faults of known kind and degree, drills on them, and what the learner's answers
//! tell. As plain data: the window shows it, tests drive it without one. May not enter: widgets, window events, wgpu.

pub mod base; // frames of a site from which rounds are made
pub mod deal; // a frame for a round, by a seed
pub mod dice; // chances from a seed
pub mod drill; // the three drills
pub mod fault; // the kinds of faults, and what mends them
pub mod plant; // how each fault is planted
pub mod posed; // a frame that is practised on
pub mod progress; // rounds, and what they tell
pub mod scale; // degrees of a fault
mod staged; // faults of the subject and the sky
pub mod store; // the file that keeps progress
mod things; // what is put into a site to spoil a frame
pub mod threshold; // a learner's threshold
pub mod tutor; // background work: sites, frames, pictures
pub mod words; // what is told of it
