//! The one test binary: each file holds one subject against what the outside says of it.

mod sky_clock;
mod sky_light;
mod sky_magnetic;
mod sky_sun;
mod table;
