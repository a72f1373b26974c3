//! A rehearsal as plain data: the take, what is done to it, what is worked out of it in the background, what is kept and
//! remembered. The window shows it; tests drive it without one. May not enter: widgets, window events, wgpu.

mod acts; // what commands do to the take
pub mod bench; // background work: grading, stages, culprits
pub mod command; // everything that can be done, with keys and reasons
pub mod desk; // the take on the table: acts, refusals, news
mod differences; // of one setting from another, in words
pub mod gallery; // the sites that can be opened at once
pub mod history; // undo and redo
pub mod kept; // kept frames, found frames, files
pub mod marking; // points marked in a photograph
pub mod models; // the machines that may stand there, loaded when asked for
pub mod moves; // walking, aiming, lenses
pub mod opening; // a scene file made ready to be rehearsed
pub mod remembered; // window, last scenes, units, theme
pub mod setting; // what is tried of a site
pub mod site; // the scene, rules, models and rasterizer
pub mod steps; // what commands do to a stand and to the clock
pub mod take; // everything that decides a frame
