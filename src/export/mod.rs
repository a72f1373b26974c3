//! The scene, its camera and its sun for other renderers, as glTF 2.0 (Khronos Group; ISO/IEC 12113:2022). May not
//! enter: grading, pixels.

mod gltf; // nodes, meshes, accessors, and the two containers
mod material; // paints and coats as materials
mod site; // what there is in a scene, node by node
mod triangles; // flat triangles of parts, things and wires

pub use gltf::{Container, Document};
pub use site::{Exposure, of_scene};
