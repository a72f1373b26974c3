//! Scatterings that are fixed for ever: a hash for what looks random, an angle for what is spread evenly.
//! May not enter: what is scattered, seeds from a clock.

/// The golden angle, radians: π·(3 − √5). Points turned by it from one to the next never line up
/// (H. Vogel, Mathematical Biosciences 44, 1979).
pub const GOLDEN_ANGLE_RAD: f64 = 2.399_963_229_728_653;

/// A well mixed number for three others: each is spread by an odd constant, then mixed by two rounds of
/// shift and multiply (the 32-bit finalizer of C. Wellons' hash prospector, from memory).
pub fn hash(a: u32, b: u32, c: u32) -> u32 {
    let mut hash =
        a.wrapping_mul(0x9E37_79B9) ^ b.wrapping_mul(0x85EB_CA6B) ^ c.wrapping_mul(0xC2B2_AE35);
    hash ^= hash >> 16;
    hash = hash.wrapping_mul(0x7FEB_352D);
    hash ^= hash >> 15;
    hash = hash.wrapping_mul(0x846C_A68B);
    hash ^ hash >> 16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_golden_angle_is_that_of_the_formula() {
        let exact = std::f64::consts::PI * (3.0 - 5f64.sqrt());
        assert!((GOLDEN_ANGLE_RAD - exact).abs() < 1e-15);
    }

    /// Of a fair hash, 40,000 cells fill 16 equal classes with 2,500 each; chi² of 15 degrees of freedom
    /// exceeds 37.7 once in a thousand times (tables of the distribution).
    #[test]
    fn neighbouring_cells_fall_into_all_classes_alike() {
        let mut classes = [0.0f64; 16];
        for (a, b) in (0..200).flat_map(|a| (0..200).map(move |b| (a, b))) {
            classes[(hash(a, b, 7) >> 28) as usize] += 1.0;
        }
        let chi_squared: f64 = classes.iter().map(|n| (n - 2500.0).powi(2) / 2500.0).sum();
        assert!(chi_squared < 37.7, "{chi_squared}");
    }
}
