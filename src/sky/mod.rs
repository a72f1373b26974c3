//! Sun, sky and civil time at a place. May not enter: sites, machines, cameras.

pub mod clock;
pub mod color;
pub mod daylight;
pub mod events;
pub mod horizon;
pub mod magnetic;
pub mod sun;
