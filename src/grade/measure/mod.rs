//! The numbers that rules speak of, each computed from geometry or counted in a sighting. May not enter:
//! limits and words of rules.

pub mod capture;
pub mod composition;
pub mod eye;
pub mod light;
pub mod subject;
pub mod surroundings;
