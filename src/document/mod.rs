//! Files that people write: TOML read with every problem located at once, and files written whole or
//! not at all. May not enter: what any key means (see the rooms that read).
//!
//! Why not `serde`: a derived reader stops at the first error, and a person who describes a site by hand
//! wants all of them in one go, each with its line and a caret. So a file is parsed once into a table
//! with spans ([`toml::de::DeTable`]), a reader asks it for keys by name, type and range, every refusal
//! becomes a [`Problem`], and whatever was never asked for is an unknown key.
//!
//! ```
//! use sunside::document::Document;
//! let document = Document::parse("site.toml", b"[place]\nlat_deg = 91\nlong_deg = 3");
//! let root = document.root();
//! if let Some(place) = root.table("place").required() {
//!     place.number("lat_deg").range(-90.0..=90.0).required();
//!     place.number("lon_deg").range(-180.0..=180.0).required();
//! }
//! assert_eq!(document.finish().unwrap_err().len(), 3); // too large; missing; unknown
//! ```

mod atomic;
mod color;
mod edit;
mod field;
mod file;
mod kind;
mod near;
mod node;
mod printable;
mod problem;
mod render;
mod source;
mod table;
mod value;

pub use atomic::write_whole;
pub use color::{COLOR, color_srgb};
pub use edit::{Edit, New};
pub use field::Field;
pub use file::{Document, beside, read_file};
pub use kind::FileKind;
pub use near::{edit_distance, nearest};
pub use problem::{Problem, Problems};
pub use render::render;
pub use source::Source;
pub use table::Table;
