//! A still drawn piece by piece, so that an interface that shares the device is never kept waiting for long. May not
//! enter: how a piece is drawn.

use super::film::{Canvas, Shown};
use super::{Lit, Options, Prepared};
use crate::gpu::device::GpuError;
use crate::picture::Light;
use crate::picture::png::Picture;
use crate::sighting::view::View;
use std::sync::Arc;

/// A still on its way. Dropping it gives it up.
pub struct StillInSteps {
    stage: Arc<Prepared>,
    view: View,
    light: Light,
    options: Options,
    canvas: Canvas,
    steps: usize,
}

impl Lit {
    /// Begins a still of the stage that is set, on a canvas of its own; [`StillInSteps::step`] draws it.
    ///
    /// # Errors
    /// No stage is set, or the device's.
    pub fn begin_still(
        &self,
        view: &View,
        light: &Light,
        options: &Options,
    ) -> Result<StillInSteps, GpuError> {
        let stage = self.stage.as_ref();
        let stage = stage.ok_or_else(|| GpuError::Refused("no stage was prepared".into()))?;
        let canvas = Canvas::new(&self.gpu, [view.width as u32, view.height as u32]);
        self.gpu.check()?;
        Ok(StillInSteps {
            stage: Arc::clone(stage),
            view: view.clone(),
            light: light.clone(),
            options: *options,
            canvas,
            steps: 0,
        })
    }
}

impl StillInSteps {
    /// Draws the next piece, with the device that began it; whether the still is finished.
    ///
    /// # Errors
    /// The device's.
    pub fn step(&mut self, lit: &mut Lit) -> Result<bool, GpuError> {
        match self.steps {
            0 => {
                lit.set_stage(&self.stage);
                lit.set_light(&self.light, self.options.quality)?;
            }
            1 => lit.develop_onto(&self.canvas, &self.view, &self.options)?,
            _ => return Ok(true),
        }
        self.steps += 1;
        Ok(self.is_finished())
    }

    /// Whether all of it is drawn.
    pub fn is_finished(&self) -> bool {
        self.steps == 2
    }

    /// Share of the steps that are done.
    pub fn progress(&self) -> f64 {
        self.steps as f64 / 2.0
    }

    /// The picture on the device, once it is finished.
    pub fn shown(&self) -> Option<Shown<'_>> {
        self.is_finished().then(|| self.canvas.shown())
    }

    /// The picture's bytes, once it is finished.
    ///
    /// # Errors
    /// The device's, or it is not finished.
    pub fn picture(&self, lit: &Lit) -> Result<Picture, GpuError> {
        if !self.is_finished() {
            return Err(GpuError::Refused("the still is not finished".into()));
        }
        self.canvas.picture(lit.gpu())
    }
}
