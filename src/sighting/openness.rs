//! Openness: how much of an even sky each patch sees past the machine itself, and how much of a patch lies
//! bare at all. May not enter: suns.

use super::lit::counted_shares;
use super::rasterizer::{Around, Rasterizer};
use super::scatter::GOLDEN_ANGLE_RAD;
use super::stage::Stage;
use super::view::View;
use glam::DVec3;
use rayon::prelude::*;
use std::sync::Mutex;

/// Directions of the sky over which openness is summed.
const SKY_DIRECTIONS: usize = 96;

/// What the sky tells of each patch.
#[derive(Clone, Debug, PartialEq)]
pub struct Openness {
    /// The share of an even sky's light on a free horizontal plane that reaches the patch past the machine
    /// itself: Σ seen·max(0, n·d) over directions of equal solid angle, over π.
    pub sky: Vec<f32>,
    /// The share of its area that lies bare. Walls run on behind doors and joints: what is buried there no eye
    /// ever sees, and it must not count as shaded.
    pub bare: Vec<f32>,
}

/// Faces turned less than this toward a direction say too little of what is buried.
const FACING: f64 = 0.35;
/// Directions in which at least this share of the most is seen count as unshaded.
const UNSHADED: f32 = 0.7;

impl Openness {
    /// Looks at the machine from all over the sky.
    pub fn of(rasterizer: &dyn Rasterizer, stage: &Stage, width: usize) -> Openness {
        let patches = &stage.patches;
        let toward: Vec<DVec3> = (0..SKY_DIRECTIONS)
            .map(|i| {
                // A spiral: equal steps in height are equal solid angles.
                let z = (i as f64 + 0.5) / SKY_DIRECTIONS as f64;
                let (sin, cos) = (i as f64 * GOLDEN_ANGLE_RAD).sin_cos();
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
        rasterizer.count_each(stage, &views, Around::Nothing, &|i, counts| {
            let row = counted_shares(&views[i], toward[i], patches, &counts.alone);
            rows.lock().unwrap_or_else(|poisoned| poisoned.into_inner())[i] = row;
        });
        let rows = rows
            .into_inner()
            .unwrap_or_else(|poisoned| poisoned.into_inner());
        let bare: Vec<f32> = (0..patches.len())
            .into_par_iter()
            .map(|n| {
                let facing = rows.iter().zip(&toward);
                bare(
                    facing
                        .filter(|(_, d)| patches.normal[n].dot(**d) > FACING)
                        .map(|(row, _)| row[n])
                        .collect(),
                )
            })
            .collect();
        let step = std::f64::consts::TAU / SKY_DIRECTIONS as f64 / std::f64::consts::PI;
        let sky = (0..patches.len())
            .into_par_iter()
            .map(|n| {
                let seen = (rows.iter().zip(&toward)).map(|(row, d)| {
                    let share = (row[n] / bare[n]).min(1.0);
                    share as f64 * patches.normal[n].dot(*d).max(0.0)
                });
                (seen.sum::<f64>() * step) as f32
            })
            .collect();
        Openness { sky, bare }
    }
}

/// The bare share, from what was seen in the directions that the patch faces: the median of those that
/// nothing shades. A patch that faces none is taken as bare.
fn bare(mut seen: Vec<f32>) -> f32 {
    seen.sort_by(f32::total_cmp);
    let most = seen.last().copied().unwrap_or(0.0);
    if most <= 0.0 {
        return 1.0;
    }
    let from = seen.partition_point(|share| *share < UNSHADED * most);
    seen[from + (seen.len() - from) / 2].clamp(0.05, 1.0)
}
