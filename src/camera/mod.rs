//! Film, lens and where the camera looks. May not enter: machines, suns, pixels.

pub mod exposure;
pub mod film;
pub mod focus;
pub mod framing;
pub mod lens;
pub mod pose;
pub mod projection;
pub mod reach; // how far back a lens must stand
pub mod stops;
