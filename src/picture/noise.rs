//! Noise that belongs to the ground and not to the picture: the same place looks the same from everywhere.
//! May not enter: what it is painted on.

use crate::sighting::scatter::hash;
use glam::{DVec2, DVec3};

/// A well mixed number, 0 to 1, for a cell.
pub fn cell(x: i64, y: i64, seed: u32) -> f64 {
    f64::from(hash(x as u32, y as u32, seed)) / f64::from(u32::MAX)
}

/// Smooth noise, −1 to 1, with features one unit across.
pub fn smooth(p: DVec2, seed: u32) -> f64 {
    let (x, y) = (p.x.floor(), p.y.floor());
    let ease = |t: f64| t * t * (3.0 - 2.0 * t);
    let (u, v) = (ease(p.x - x), ease(p.y - y));
    let at = |i: i64, j: i64| cell(x as i64 + i, y as i64 + j, seed);
    let low = at(0, 0) * (1.0 - u) + at(1, 0) * u;
    let high = at(0, 1) * (1.0 - u) + at(1, 1) * u;
    2.0 * (low * (1.0 - v) + high * v) - 1.0
}

/// Noise of several sizes, each half as large as the one before and of `fall` its strength; sizes that a
/// pixel of `footprint_m` cannot hold fade away instead of glittering.
pub fn layered(
    p: DVec2,
    largest_m: f64,
    layers: u32,
    fall: f64,
    footprint_m: f64,
    seed: u32,
) -> f64 {
    let (mut size_m, mut strength, mut sum) = (largest_m, 1.0, 0.0);
    for layer in 0..layers {
        let shown = ((size_m / footprint_m - 1.0) / 2.0).clamp(0.0, 1.0);
        if shown > 0.0 {
            sum += strength * shown * smooth(p / size_m, seed + layer);
        }
        size_m /= 2.0;
        strength *= fall;
    }
    sum
}

/// Layered noise in space: the sum of three planes' noise, which no direction favours.
pub fn in_space(
    p: DVec3,
    largest_m: f64,
    layers: u32,
    fall: f64,
    footprint_m: f64,
    seed: u32,
) -> f64 {
    let planes = [
        DVec2::new(p.x + 0.31 * p.z, p.y - 0.23 * p.z),
        DVec2::new(p.y + 0.29 * p.x, p.z - 0.21 * p.x),
        DVec2::new(p.z + 0.27 * p.y, p.x - 0.33 * p.y),
    ];
    let each = (0..).zip(planes);
    let sum: f64 = each
        .map(|(i, flat)| layered(flat, largest_m, layers, fall, footprint_m, seed + 16 * i))
        .sum();
    sum / 3.0_f64.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_stays_in_its_range_and_is_not_flat() {
        let values: Vec<f64> = (0..2000)
            .map(|i| smooth(DVec2::new(i as f64 * 0.37, i as f64 * -0.11), 7))
            .collect();
        assert!(values.iter().all(|v| (-1.0..=1.0).contains(v)));
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        assert!(mean.abs() < 0.1, "{mean}");
        assert!(values.iter().any(|v| *v > 0.5) && values.iter().any(|v| *v < -0.5));
    }

    #[test]
    fn what_a_pixel_cannot_hold_is_left_out() {
        let at = DVec2::new(3.3, 8.1);
        assert_eq!(layered(at, 0.5, 3, 0.5, 2.0, 1), 0.0);
        assert_ne!(layered(at, 0.5, 3, 0.5, 0.01, 1), 0.0);
    }
}
