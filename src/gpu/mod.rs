//! The graphics adapter's side of the house: the device, geometry on it, and sighting by wgpu behind the
//! same trait as on the processor. May not enter: light, colour, grades, windows.

pub mod device; // the adapter, its device and what may go wrong with them
