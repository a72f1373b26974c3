//! Parts of locomotives, each a function from sizes to a mesh. Side parts are built for the right side
//! (along = +x) and mirrored by whoever composes a machine; end parts face forward and are turned
//! round. May not enter: groups, names, paints, whole machines.

pub mod cab;
pub mod coupler;
pub mod details;
pub mod doors;
pub mod frame;
pub mod glyphs;
pub mod hood;
pub mod lights;
pub mod nose;
pub mod rails;
pub mod roof;
pub mod tank;
pub mod truck_parts;
pub mod truck_three_axle;
pub mod truck_two_axle;
pub mod wheel;
