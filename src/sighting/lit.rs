//! Lit: what the sun sees is lit. One buffer of the sun's view answers for patches and for single points.
//! May not enter: cameras, daylight.

use super::frame::{Frame, Id, Sighting};
use super::rasterizer::{Around, Rasterizer};
use super::stage::Stage;
use super::view::View;
use crate::mesh::patch::Patches;
use glam::DVec3;
use std::sync::Mutex;

/// A point this much farther from the sun than the buffer's surface is still that surface.
const DEPTH_SLACK_M: f64 = 0.005;
/// Share of a texel's slope that belongs to the surface.
const SLOPE_TEXELS: f64 = 1.5;
/// Slopes are cut off here: at grazing light a texel says nothing of depth.
const STEEPEST: f64 = 12.0;

/// What the sun sees of the machine.
pub struct SunBuffer {
    /// Its view.
    pub view: View,
    /// Unit vector toward it.
    pub toward: DVec3,
    /// The machine alone, and with everything that can shade it.
    pub sighting: Sighting,
}

impl SunBuffer {
    /// Draws the sun's view of the stage's machine.
    pub fn draw(
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
        toward: DVec3,
        around: Around,
        width: usize,
    ) -> SunBuffer {
        let view = View::of_sun(toward, &stage.hull, width);
        let mut sighting = Sighting::default();
        rasterizer.sight(stage, &view, around, &mut sighting);
        SunBuffer {
            view,
            toward,
            sighting,
        }
    }

    /// Whether the sun reaches a point of the surface `id` with this outward normal.
    pub fn lit(&self, frame: &Frame, id: Id, point: DVec3, normal: DVec3) -> bool {
        let cosine = normal.dot(self.toward);
        if cosine <= 0.0 {
            return false;
        }
        let Some(flat) = self.view.on_plane(point) else {
            return true;
        };
        let at = self.view.pixel(flat);
        if at.x < 0.0 || at.y < 0.0 {
            return true;
        }
        let (column, row) = (at.x as usize, at.y as usize);
        if column >= frame.width || row >= frame.height {
            return true; // nothing that casts lies out there
        }
        let pixel = row * frame.width + column;
        if frame.ids[pixel] == id && id.as_patch().is_some() {
            return true;
        }
        let slope = ((1.0 - cosine * cosine).sqrt() / cosine).min(STEEPEST);
        let texel = 1.0 / self.view.pixels_per_unit();
        let behind = frame.near[pixel] as f64 - self.view.near(point);
        behind < SLOPE_TEXELS * texel * slope + DEPTH_SLACK_M
    }

    /// L: for each patch the share of its area that the sun reaches (counted over expected).
    pub fn shares(&self, patches: &Patches, frame: &Frame) -> Vec<f32> {
        patch_shares(&self.view, self.toward, patches, frame)
    }
}

/// [`SunBuffer::shares`] of a frame that is not kept.
pub fn patch_shares(view: &View, toward: DVec3, patches: &Patches, frame: &Frame) -> Vec<f32> {
    let mut counts = vec![0u32; patches.len()];
    frame.count_patches(&mut counts);
    let texels_per_m2 = view.pixels_per_unit().powi(2);
    (0..patches.len())
        .map(|n| {
            let expected = patches.area_m2[n] * patches.normal[n].dot(toward) * texels_per_m2;
            // A patch that the sun grazes covers no texel of its own: it takes no light either.
            if expected > 0.05 {
                (counts[n] as f64 / expected).min(1.0) as f32
            } else {
                0.0
            }
        })
        .collect()
}

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
