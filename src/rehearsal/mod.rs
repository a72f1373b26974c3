//! A rehearsal as plain data: what is tried of a site, what is remembered from one time to the next. May not enter:
//! egui, winit, wgpu; `window` shows it.

mod differences; // of one setting from another, in words
pub mod models; // the machines that may stand there, loaded when asked for
pub mod remembered; // window, last scenes, units, theme
pub mod setting; // what is tried of a site
pub mod units; // lengths in metres or in feet and inches
