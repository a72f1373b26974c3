//! Terrain skyline (contract; being built).

/// A skyline.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Horizon {
    /// (bearing, elevation) pairs in degrees, ascending in bearing; between them linear, closed over north.
    pub profile_deg: Vec<(f64, f64)>,
}
