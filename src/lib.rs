//! Sunside rehearses a roster shot before the trip: it builds the site, the machine and the sun,
//! measures the frame an eye would see, grades it by the trade's rules, and searches ground, lenses
//! and calendar for where and when to stand. May not enter: code; this is the map.
//!
//! The rooms, in the order in which data flow. Each knows only rooms above it (held by `tests/house.rs`).

pub mod units; // degrees, feet, paces: the one place that converts

pub mod document; // TOML read with every problem located; files written whole or not at all

pub mod sky; // clock, sun, daylight, terrain horizon, magnetic declination

pub mod camera; // film, lens, pose, projection, focus, exposure

pub mod mesh; // models and solids: triangles, parts, roles, patches

pub mod scene; // one site: place, tracks, machine, surroundings, ground, kit

pub mod sighting; // what an eye sees: ids, depths, counts, lit shares

pub mod grade; // measures, rulebook, findings, verdict

pub mod plan; // the search over ground, lenses and calendar

pub mod judge; // a photograph that was taken, held to the same rules

pub mod gpu; // wgpu: the device, and sighting on it

pub mod picture; // frames to look at

pub mod export; // the scene for other renderers

pub mod card; // the sheet for the field

pub mod report; // what was found, as text, data and files: the same for window and command line

pub mod rehearsal; // a rehearsal as plain data, and its background work

pub mod practise; // training the eye on frames with known faults

pub mod window; // the window that shows it

pub mod cli; // the commands
