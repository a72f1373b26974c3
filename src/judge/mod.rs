//! A photograph that was really taken, held to the same rules: where its camera stood, what it says of itself,
//! what its frame would be graded. May not enter: windows, adapters, anything that writes into a photograph.

pub mod bent; // what a lens that bends lines, and a cut, do to the frame
mod clock; // the camera's clock against the picture
mod doubts; // how sure each measure is
pub mod exif; // what a photograph says of itself
mod focal; // the focal length told against the one that the marks make
mod framed; // what the rules say of one camera
pub mod keeping; // marks kept in that file
pub mod marks; // the file that marks points in it
mod optics; // sensor and focal length as told
pub mod outline; // the machine's outline over it, and its tones there
pub mod photo; // a photograph, opened
pub mod pose; // where its camera was
pub mod shot; // how it was shot, with origins
pub mod take; // a photograph graded
pub mod unposed; // a photograph without marks: what can be said all the same
pub mod whence; // the receiver's position against the stand
