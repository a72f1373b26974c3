//! Frame sizes on film, and what is scaled by them. May not enter: lenses, poses.

/// Circle of confusion on a 24 x 36 mm frame, millimetres. Common practice (the rulebook's value).
const CIRCLE_ON_FULL_MM: f64 = 0.030;

/// A frame on film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// Millimetres across.
    pub width_mm: f64,
    /// Millimetres down.
    pub height_mm: f64,
}

impl Film {
    /// The frame of 135 film, 24 x 36 mm lying on its long side: the size that others are compared to.
    pub const FULL: Film = Film {
        width_mm: 36.0,
        height_mm: 24.0,
    };

    /// Corner to corner, millimetres.
    pub fn diagonal_mm(&self) -> f64 {
        self.width_mm.hypot(self.height_mm)
    }

    /// How many times longer the diagonal of 24 x 36 mm is than this frame's.
    pub fn crop_factor(&self) -> f64 {
        Film::FULL.diagonal_mm() / self.diagonal_mm()
    }

    /// The largest blur disc on film that still passes for a point, millimetres: 0.030 on 24 x 36,
    /// scaled by the diagonal, since the smaller frame is enlarged more.
    pub fn circle_of_confusion_mm(&self) -> f64 {
        CIRCLE_ON_FULL_MM / self.crop_factor()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_half_as_large_crops_twice_and_wants_half_the_blur() {
        let half = Film {
            width_mm: 12.0,
            height_mm: 18.0,
        };
        assert!((half.crop_factor() - 2.0).abs() < 1e-12);
        assert!((half.circle_of_confusion_mm() - 0.015).abs() < 1e-12);
        assert_eq!(Film::FULL.circle_of_confusion_mm(), 0.030);
    }
}
