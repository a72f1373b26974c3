//! Frame sizes (contract; being built).

/// A frame on film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// Millimetres across.
    pub width_mm: f64,
    /// Millimetres down.
    pub height_mm: f64,
}
