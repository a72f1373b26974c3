//! Shapes: models of machines with named parts, and the plain solids that surroundings are made of.
//! May not enter: places, suns, cameras, pixels.

mod hinge;
mod livery;
pub mod model;
pub mod obj;
pub mod part;
pub mod patch;
mod points;
mod side_lines;
pub mod sidecar;
pub mod solid;
pub mod winding;
