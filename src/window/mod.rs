//! The window: a page of a working timetable round a mounted slide. Panels are plain state with one `ui` function each;
//! what they do goes through the desk. May not enter: formulas, files' contents, anything that takes longer than a
//! redraw.

pub mod aiming; // the frame taken hold of
pub mod app; // pages: the start, a scene being opened, a rehearsal
pub mod beside; // a kept frame, or the lenses, beside the frame
pub mod camera_row; // the camera's numbers under the frame
pub mod causes; // what causes a finding, over a frame
pub mod damage; // what of the page has changed
pub mod files; // picture, card, data, scene
pub mod find; // the search and what it found
pub mod frame_pane; // the frame on its mount, aimed by hand
pub mod ground; // the site from above
pub mod hatch; // hatchings: how bad, by density
pub mod header; // what is rehearsed and when, and the doors to everything else
pub mod keys; // commands by keyboard
pub mod marking; // points marked in a photograph
mod mount; // a frame's mount and its words
pub mod painter; // the page on its canvas
pub mod palette; // the list of commands
pub mod practising; // the page on which the eye is trained
pub mod rehearsing; // the page of a rehearsal
pub mod screen; // the device that pictures are shown with
mod screening; // the page onto the screen
pub mod shell; // winit's events
mod shelter; // what would end the program
pub mod slide; // a small frame on its mount
pub mod start; // the sites that can be opened
pub mod surface; // the surface and egui's painter
mod textures; // what egui has handed over
pub mod theme; // paper, ink, type, forms
pub mod time; // the day's lanes, date and clock, the year's hours
pub mod tray; // kept frames
mod typed; // a number that is typed over
pub mod verdict_sheet; // the findings
pub mod viewport; // the live picture
pub mod what_if; // what is tried of the site
