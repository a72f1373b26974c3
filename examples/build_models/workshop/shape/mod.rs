//! Closed shapes with outward windings, in metres. May not enter: what a shape stands for.

pub mod block;
pub mod frame;
pub mod mesh;
pub mod polygon;
pub mod solid;
pub mod sweep;
pub mod turned;

pub use block::{eased, louvres, panel, rectangle, slab, window_frame};
pub use frame::Frame;
pub use mesh::Mesh;
pub use solid::Solid;
pub use sweep::{rounded, tube};
pub use turned::{cylinder, ring, turned};
