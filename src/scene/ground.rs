//! Where one may stand. May not enter: where one should.

use glam::DVec2;

/// Whose leave a piece of ground needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Access {
    /// Open to the public.
    Public,
    /// Only by somebody's permission, asked for beforehand.
    Permission,
}

/// One piece of ground on which one may stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    /// Its name.
    pub name: String,
    /// What to know about it.
    pub note: String,
    /// Whose leave it needs.
    pub access: Access,
    /// Corners east, north; a simple polygon.
    pub polygon_m: Vec<DVec2>,
    /// How far it lies below the top of rail (negative: a bank above it).
    pub below_rail_m: f64,
}

/// All of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// Pieces of allowed ground.
    pub areas: Vec<Area>,
    /// Least distance from the nearest rail of any track.
    pub stand_off_m: f64,
}
