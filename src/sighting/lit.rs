//! Lit: what the sun sees is lit. One buffer of the sun's view answers for patches and for single points.
//! May not enter: cameras, daylight.

use super::frame::{Frame, Id, Sighting};
use super::rasterizer::{Around, Rasterizer};
use super::stage::Stage;
use super::view::View;
use crate::mesh::patch::Patches;
use glam::{DVec2, DVec3};
use std::sync::Mutex;

/// A surface may lie this far behind what the buffer holds, metres, and still be that surface.
const SAME_SURFACE_M: f64 = 0.005;

/// Beside that, as far as its slope reaches in half a texel: a patch's mean normal is not quite that of
/// each of its triangles.
const TEXELS: f64 = 0.5;

/// The slope stops growing here (89.4 deg of incidence), where it would outgrow the machine.
const STEEPEST_TANGENT: f64 = 100.0;

/// A stage as the sun sees it.
#[derive(Clone, Debug)]
pub struct SunBuffer {
    /// The sun's view.
    pub view: View,
    /// Unit vector toward the sun.
    pub toward: DVec3,
    /// What it sees: the machine alone, and with its surroundings.
    pub sighting: Sighting,
}

impl SunBuffer {
    /// Draws what the sun sees around the machine: `width` texels across its hull. All that stands
    /// between it and the sun is drawn, however far off.
    pub fn draw(
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
        toward: DVec3,
        around: Around,
        width: usize,
    ) -> SunBuffer {
        SunBuffer::draw_around(rasterizer, stage, toward, around, width, &stage.hull)
    }

    /// `draw` with bounds of its own: points beyond `bounds` will count as lit.
    pub fn draw_around(
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
        toward: DVec3,
        around: Around,
        width: usize,
        bounds: &[DVec3],
    ) -> SunBuffer {
        let view = View::of_sun(toward, bounds, width);
        let mut sighting = Sighting::default();
        rasterizer.sight(stage, &view, around, &mut sighting);
        SunBuffer {
            view,
            toward,
            sighting,
        }
    }

    /// Whether the sun reaches a point of a surface with this outward normal. `frame` is this buffer's
    /// own: `alone` for the machine's shadow on itself, `all` for every shadow. The texel that the point
    /// falls into must hold the same patch, or nothing nearer to the sun than the surface's own plane is
    /// in that texel's middle. (Comparing with the plane, not with the point, lets the tolerance be a
    /// third of the 1.5 texels along the slope that the point itself would need, so that contact shadows
    /// stay.) An object's id stands for the whole object, which may shade itself, so ids of objects say
    /// nothing here. Points outside the buffer are lit.
    pub fn lit(&self, frame: &Frame, id: Id, point: DVec3, normal: DVec3) -> bool {
        let cosine = normal.dot(self.toward);
        if cosine.is_nan() || cosine <= 0.0 {
            return false;
        }
        let Some((texel, to_centre)) = self.texel(frame, point) else {
            return true;
        };
        if id.as_patch().is_some() && frame.ids[texel] == id {
            return true;
        }
        // The surface's own plane, seen through the middle of the texel: how much nearer it is there
        // than at the point, per metre to the right and upward.
        let slope = DVec2::new(normal.dot(self.view.right), normal.dot(self.view.up)) / -cosine;
        let slope = slope.clamp_length_max(STEEPEST_TANGENT);
        let near = self.view.near(point) + slope.dot(to_centre);
        let tolerance_m = TEXELS * slope.length() / self.view.pixels_per_unit() + SAME_SURFACE_M;
        // Where nothing was drawn the buffer holds −∞, and the point is lit.
        f64::from(frame.near[texel]) - near < tolerance_m
    }

    /// The texel that a point falls into, and the way from the point to its middle on the buffer's
    /// plane; `None` outside the buffer.
    fn texel(&self, frame: &Frame, point: DVec3) -> Option<(usize, DVec2)> {
        let flat = self.view.on_plane(point)?;
        let pixel = self.view.pixel(flat).floor();
        let inside = pixel.x >= 0.0
            && pixel.y >= 0.0
            && pixel.x < frame.width as f64
            && pixel.y < frame.height as f64;
        inside.then(|| {
            let middle = self.view.plane_at(pixel + DVec2::splat(0.5));
            (
                pixel.y as usize * frame.width + pixel.x as usize,
                middle - flat,
            )
        })
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
