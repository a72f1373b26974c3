//! Frames and drawings to look at: frames by a graphics adapter, or by the processor from the sighting's own
//! buffers. May not enter: grading, the search.

pub mod canvas; // a sheet of pixels for pictures, rules and words
pub mod drawing; // drawings that explain, as SVG
mod finish; // what finishes look like
pub mod grime; // dust, streaks and soot on a machine
pub mod light; // the light of one minute, as a picture needs it
pub mod line_drawing; // a machine in lines, for pages that point at parts of it
pub mod lit; // the picture by a graphics adapter, with shadow maps
pub mod noise; // world-locked noise
pub mod openness; // how much sky and lit ground each patch sees
pub mod painter; // who paints: an adapter or the processor
mod pieces; // which piece of an object a point lies on
pub mod plain; // the picture itself
pub mod png; // a picture, and its bytes with title and colour space
pub mod predicted; // the frame of a stand and minute
mod shade; // light that leaves a surface towards the eye
mod shadow; // what the sun's disc sees
pub mod sheet; // frames as mounted slides, side by side
mod sky; // sky, haze, skyline
pub mod surface; // what a pixel shows: place, direction, colour
pub mod tone; // from light to sRGB
mod veil; // woven wire
mod wire; // wires, drawn as lines

pub use light::Light;
