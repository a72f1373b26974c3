//! A photograph that was really taken, held to the same rules: where its camera stood, what it says of itself,
//! what its frame would be graded. May not enter: windows, adapters, anything that writes into a photograph.

pub mod exif;
pub mod pose;
