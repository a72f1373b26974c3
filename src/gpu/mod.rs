//! The graphics adapter's side of the house: the device, geometry on it, and sighting by wgpu behind the
//! same trait as on the processor. May not enter: light, colour, grades, windows.

mod batch; // many views as one submission
pub mod choice; // who draws: the processor, the GPU, or the faster
pub mod covering; // a pass that covers its target
pub mod device; // the adapter, its device and what may go wrong with them
mod geometry; // a stage's triangles as the adapter draws them
mod kept; // stages on the adapter
mod passes; // pipelines
pub mod rasterizer; // all of it behind sighting's trait
mod readback; // frames and counts brought back
mod targets; // layers that views are drawn into
pub mod uniforms; // what the shaders read: the only bridge
