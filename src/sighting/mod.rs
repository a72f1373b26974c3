//! Sighting: what an eye sees, whether the eye is the camera or the sun. Ids and depths are drawn into a
//! frame and counted per patch. May not enter: grades, civil time, screens.
//!
//! Everything here lives in the machine frame, so that what is alone belongs to the machine and can be
//! kept while its surroundings move.

pub mod closed_form;
pub mod cover;
pub mod cpu;
mod disc;
pub mod elevation;
pub mod frame;
mod ground;
pub mod lit;
pub mod openness;
mod penumbra;
pub mod rasterizer;
pub mod roofline;
pub mod scatter;
pub mod shown;
pub mod silhouette;
pub mod stage;
pub(crate) mod trackwork;
pub mod view;
