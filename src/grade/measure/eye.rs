//! An eye: one point, its canonical view and what was drawn there. May not enter: lenses, suns.

use crate::mesh::part::Role;
use crate::sighting::frame::Sighting;
use crate::sighting::rasterizer::{Around, Rasterizer};
use crate::sighting::shown::{Class, Shown};
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use glam::DVec3;

/// An eye for which the machine spans over this is left out of the search: the canonical view would stretch
/// its edges, and nobody takes a portrait from there.
pub const WIDEST_DEG: f64 = 100.0;

/// One machine pixel that a rule of light asks about.
pub struct Sample {
    /// Its index in the view.
    pub pixel: u32,
    /// Its patch.
    pub patch: u32,
    /// The point of the surface.
    pub point: DVec3,
    /// What it counts as.
    pub class: Class,
    /// Whether it belongs to a lettering panel.
    pub lettering: bool,
}

/// What an eye sees.
pub struct Eye {
    /// The canonical view.
    pub view: View,
    /// The machine alone, and everything.
    pub sighting: Sighting,
    /// What it is shown.
    pub shown: Shown,
    /// Pixels of nose, side, running gear and lettering, of the machine alone.
    pub samples: Vec<Sample>,
}

impl Eye {
    /// Draws the canonical view of an eye in the machine frame; `None` where the machine spans more than
    /// `widest_deg` or lies behind.
    pub fn draw(
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
        eye: DVec3,
        width_px: usize,
        widest_deg: f64,
    ) -> Option<Eye> {
        let view = Eye::view(stage, eye, width_px, widest_deg)?;
        let mut sighting = Sighting::default();
        rasterizer.sight(stage, &view, Eye::AROUND, &mut sighting);
        Some(Eye::of(stage, view, sighting))
    }

    /// What is drawn into an eye's view.
    pub const AROUND: Around = Around::Everything;

    /// The canonical view of an eye, as [`Eye::draw`] draws it.
    pub fn view(stage: &Stage, eye: DVec3, width_px: usize, widest_deg: f64) -> Option<View> {
        View::canonical(eye, &stage.hull, width_px, widest_deg)
    }

    /// An eye whose view has been drawn.
    pub fn of(stage: &Stage, view: View, sighting: Sighting) -> Eye {
        let eye = view.eye;
        let shown = Shown::to(eye);
        let classes = shown.classes(&stage.patches);
        let frame = &sighting.alone;
        let mut samples = Vec::new();
        for (pixel, id) in frame.ids.iter().enumerate() {
            let Some(patch) = id.as_patch() else { continue };
            let (class, role) = (classes[patch], stage.patches.role[patch]);
            if class != Class::Other {
                samples.push(Sample {
                    pixel: pixel as u32,
                    patch: patch as u32,
                    point: view.point(pixel % frame.width, pixel / frame.width, frame.near[pixel]),
                    class,
                    lettering: role == Role::Lettering,
                });
            }
        }
        Eye {
            view,
            sighting,
            shown,
            samples,
        }
    }
}
