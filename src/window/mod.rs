//! The window: a page of a working timetable round a mounted slide. Panels are plain state with one `ui` function each;
//! what they do goes through the desk. May not enter: formulas, files' contents, anything that takes longer than a
//! redraw.

pub mod app; // pages: the start, a scene being opened, a rehearsal
pub mod camera_row; // the camera's numbers under the frame
pub mod frame_pane; // the frame on its mount, aimed by hand
pub mod header; // what is rehearsed and when, and the doors to everything else
pub mod keys; // commands by keyboard
pub mod rehearsing; // the page of a rehearsal
pub mod screen; // the device that pictures are shown with
pub mod shell; // winit's events
pub mod surface; // the surface and egui's painter
pub mod theme; // paper, ink, type, forms
pub mod verdict_sheet; // the findings
pub mod viewport; // the live picture
