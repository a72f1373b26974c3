//! Openness: how much of an even sky each patch sees past the machine itself. May not enter: suns.

use super::lit::patch_shares;
use super::rasterizer::{Around, Rasterizer};
use super::stage::Stage;
use super::view::View;
use glam::DVec3;
use std::sync::Mutex;

/// Directions of the sky over which openness is summed.
const SKY_DIRECTIONS: usize = 96;

/// For each patch, the share of an even sky's light on a free horizontal plane that reaches it past the
/// machine itself: Σ seen·max(0, n·d) over directions of equal solid angle, over π.
pub fn openness(rasterizer: &dyn Rasterizer, stage: &Stage, width: usize) -> Vec<f32> {
    let patches = &stage.patches;
    let toward: Vec<DVec3> = (0..SKY_DIRECTIONS)
        .map(|i| {
            // A spiral: equal steps in height are equal solid angles.
            let z = (i as f64 + 0.5) / SKY_DIRECTIONS as f64;
            let (sin, cos) = (i as f64 * 2.399_963_229_728_653).sin_cos();
            let flat = (1.0 - z * z).sqrt();
            DVec3::new(flat * cos, flat * sin, z)
        })
        .collect();
    let views: Vec<View> = toward
        .iter()
        .map(|d| View::of_sun(*d, &stage.hull, width))
        .collect();
    // Summed in a fixed order afterwards, so that threads do not change a digit.
    let rows: Mutex<Vec<Vec<f32>>> = Mutex::new(vec![Vec::new(); views.len()]);
    rasterizer.sight_each(stage, &views, Around::Nothing, &|i, sighting| {
        let row = patch_shares(&views[i], toward[i], patches, &sighting.alone);
        rows.lock().unwrap_or_else(|poisoned| poisoned.into_inner())[i] = row;
    });
    let rows = rows
        .into_inner()
        .unwrap_or_else(|poisoned| poisoned.into_inner());
    let step = std::f64::consts::TAU / SKY_DIRECTIONS as f64 / std::f64::consts::PI;
    (0..patches.len())
        .map(|n| {
            let seen = rows
                .iter()
                .zip(&toward)
                .map(|(row, d)| row[n] as f64 * patches.normal[n].dot(*d).max(0.0));
            (seen.sum::<f64>() * step) as f32
        })
        .collect()
}
