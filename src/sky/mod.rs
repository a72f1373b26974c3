//! Sun, sky and civil time at a place. May not enter: sites, machines, cameras.

pub mod clock;
pub mod daylight;
pub mod horizon;
pub mod magnetic;
pub mod sun;
