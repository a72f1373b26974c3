//! Lit: whether a point, or what share of a patch, the sun reaches: what the sun sees is lit.
//! May not enter: how bright it is there, and from where the camera looks.

use super::frame::{Frame, Id, Sighting};
use super::rasterizer::{Around, Rasterizer};
use super::stage::Stage;
use super::view::View;
use crate::mesh::patch::Patches;
use glam::{DVec2, DVec3};

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
        let Some((texel, flat, pixel)) = self.texel(point) else {
            return true;
        };
        (id.as_patch().is_some() && frame.ids[texel] == id)
            || self.nothing_nearer(frame, texel, (flat, pixel), point, normal)
    }

    /// `lit` for a patch of the machine, alone and with everything: one look where both agree, which is
    /// nearly everywhere.
    pub fn lit_alone_and_with_all(&self, patch: Id, point: DVec3, normal: DVec3) -> (bool, bool) {
        let cosine = normal.dot(self.toward);
        if cosine.is_nan() || cosine <= 0.0 {
            return (false, false);
        }
        let Some((texel, flat, pixel)) = self.texel(point) else {
            return (true, true);
        };
        let Sighting { alone, all } = &self.sighting;
        // What is drawn over the machine can only cover it.
        if all.ids[texel] == patch {
            return (true, true);
        }
        let free = |frame| self.nothing_nearer(frame, texel, (flat, pixel), point, normal);
        let lit_alone = alone.ids[texel] == patch || free(alone);
        (lit_alone, lit_alone && free(all))
    }

    fn nothing_nearer(
        &self,
        frame: &Frame,
        texel: usize,
        (flat, pixel): (DVec2, DVec2),
        point: DVec3,
        normal: DVec3,
    ) -> bool {
        // The surface's own plane, seen through the middle of the texel: how much nearer it is there
        // than at the point, per metre to the right and upward.
        let to_centre = self.view.plane_at(pixel + DVec2::splat(0.5)) - flat;
        let cosine = normal.dot(self.toward);
        let slope = DVec2::new(normal.dot(self.view.right), normal.dot(self.view.up)) / -cosine;
        let slope = slope.clamp_length_max(STEEPEST_TANGENT);
        let near = self.view.near(point) + slope.dot(to_centre);
        let tolerance_m = TEXELS * slope.length() / self.view.pixels_per_unit() + SAME_SURFACE_M;
        // Where nothing was drawn the buffer holds −∞, and the point is lit.
        f64::from(frame.near[texel]) - near < tolerance_m
    }

    /// The texel that a point falls into, the point on the buffer's plane, and the texel's column and row;
    /// `None` outside the buffer.
    fn texel(&self, point: DVec3) -> Option<(usize, DVec2, DVec2)> {
        let flat = self.view.on_plane(point)?;
        let pixel = self.view.pixel(flat);
        let (width, height) = (self.view.width, self.view.height);
        let inside =
            pixel.x >= 0.0 && pixel.y >= 0.0 && pixel.x < width as f64 && pixel.y < height as f64;
        inside.then(|| {
            // By casts: flooring is a call on plain x86-64.
            let (column, row) = (pixel.x as usize, pixel.y as usize);
            let pixel = DVec2::new(column as f64, row as f64);
            (row * width + column, flat, pixel)
        })
    }

    /// L: the sunlit share of each patch (see [`patch_shares`]).
    pub fn shares(&self, patches: &Patches, frame: &Frame) -> Vec<f32> {
        patch_shares(&self.view, self.toward, patches, frame)
    }
}

/// The sunlit share of each patch in a frame of the sun's view (see [`counted_shares`]).
pub fn patch_shares(view: &View, toward: DVec3, patches: &Patches, frame: &Frame) -> Vec<f32> {
    let mut counts = vec![0; patches.len()];
    frame.count_patches(&mut counts);
    counted_shares(view, toward, patches, &counts)
}

/// The sunlit share of each patch: texels counted in the sun's view over texels that its area, turned to the
/// sun, would fill. Facing away is 0.
pub fn counted_shares(view: &View, toward: DVec3, patches: &Patches, counts: &[u32]) -> Vec<f32> {
    let texels_per_m2 = view.pixels_per_unit().powi(2);
    (counts
        .iter()
        .zip(patches.area_m2.iter().zip(&patches.normal)))
    .map(|(&count, (area_m2, normal))| {
        let expected = area_m2 * normal.dot(toward).max(0.0) * texels_per_m2;
        if expected > 0.0 {
            (f64::from(count) / expected).min(1.0) as f32
        } else {
            0.0
        }
    })
    .collect()
}
