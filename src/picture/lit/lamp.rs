//! A minute's light on the device: what shaders are told of it, and the sun's maps. May not enter: eyes.

use super::pipeline::{buffer, numbers};
use super::shadow::SunMaps;
use super::{Lit, Prepared, Quality, sun};
use crate::gpu::device::GpuError;
use crate::picture::Light;
use crate::sighting::view::View;
use glam::DVec3;
use std::sync::{Arc, PoisonError};
use wgpu::BufferUsages;

/// A light on the device.
pub struct Lamp {
    /// The stage that it falls on, and the light.
    pub stage: Arc<Prepared>,
    light: Light,
    quality: Quality,
    views: [View; MAPS],
    /// The shaders' `Light`.
    pub buffer: wgpu::Buffer,
    /// The sun's maps.
    pub maps: SunMaps,
    /// Sine of the elevation over which the sky is nothing but a clear dome.
    pub over_hills: f64,
    /// Elevations of the skyline.
    pub skyline: wgpu::TextureView,
}

/// Maps of one light.
pub const MAPS: usize = 3;

impl Lamp {
    fn shines(&self, stage: &Arc<Prepared>, light: &Light) -> bool {
        Arc::ptr_eq(&self.stage, stage) && self.light == *light
    }
}

impl Lit {
    /// Draws the sun's maps for a minute's light, unless they lie there already. Moving pictures, live ones and stills
    /// each keep their own.
    ///
    /// # Errors
    /// The device's.
    pub fn set_light(&mut self, light: &Light, quality: Quality) -> Result<(), GpuError> {
        let stage = self.stage_set()?;
        if self.lamp_of(&stage, light, quality).is_some() {
            return Ok(());
        }
        let lamp = self.new_lamp(&stage, light, quality);
        for map in 0..MAPS {
            self.draw_map(&lamp, map);
        }
        self.take_lamp(lamp);
        self.gpu.check()
    }

    /// Makes a lamp, its maps drawn, the latest of its quality.
    pub(super) fn take_lamp(&mut self, lamp: Lamp) -> Arc<Lamp> {
        let lamp = Arc::new(lamp);
        self.lamps[lamp.quality.lamp()] = Some(Arc::clone(&lamp));
        lamp
    }

    /// The stage that is set.
    pub(super) fn stage_set(&self) -> Result<Arc<Prepared>, GpuError> {
        let stage = self.stage.as_ref().map(Arc::clone);
        stage.ok_or_else(|| GpuError::Refused("no stage was set".into()))
    }

    /// The lamp of a stage's pictures of a quality.
    pub(super) fn lamp_set(
        &self,
        stage: &Arc<Prepared>,
        quality: Quality,
    ) -> Result<Arc<Lamp>, GpuError> {
        let lamp = self.lamps[quality.lamp()].as_ref();
        let lamp = lamp.filter(|lamp| Arc::ptr_eq(&lamp.stage, stage));
        let missing = || GpuError::Refused(format!("no light was set for {quality:?} pictures"));
        lamp.map(Arc::clone).ok_or_else(missing)
    }

    /// The lamp of a light, if it is the latest of its quality.
    pub(super) fn lamp_of(
        &self,
        stage: &Arc<Prepared>,
        light: &Light,
        quality: Quality,
    ) -> Option<Arc<Lamp>> {
        let lamp = self.lamps[quality.lamp()].as_ref();
        lamp.filter(|lamp| lamp.shines(stage, light))
            .map(Arc::clone)
    }

    /// A lamp whose maps are not drawn yet; takes over the latest one's maps where nobody else holds these.
    pub(super) fn new_lamp(
        &mut self,
        stage: &Arc<Prepared>,
        light: &Light,
        quality: Quality,
    ) -> Lamp {
        let gpu = &self.gpu;
        let views = sun::views(
            light.toward,
            &stage.hull,
            stage.casters_bounds,
            stage.ground_z_m,
        );
        let most = gpu.device.limits().max_texture_dimension_2d;
        let texels = quality.sun_texels().min(most);
        let latest = self.lamps[quality.lamp()].take();
        let kept = latest.and_then(Arc::into_inner).map(|lamp| lamp.maps);
        let spare = || {
            let mut spare = self.spare.lock().unwrap_or_else(PoisonError::into_inner);
            spare.take_maps(texels)
        };
        let kept = kept.filter(|maps| maps.texels == texels).or_else(spare);
        let maps = kept.unwrap_or_else(|| SunMaps::new(gpu, texels));
        let used = quality.used_texels(maps.texels);
        let uniform = sun::uniform(
            light,
            &stage.hull,
            &views,
            used,
            quality.is_still(),
            stage.ground_z_m,
        );
        let size = (sun::SKYLINE as u32, 1);
        Lamp {
            buffer: buffer(
                &gpu.device,
                "light",
                BufferUsages::UNIFORM,
                bytemuck::bytes_of(&uniform),
            ),
            skyline: numbers(gpu, "skyline", size, &sun::skyline(light)),
            over_hills: sun::over_hills(light),
            maps,
            stage: Arc::clone(stage),
            light: light.clone(),
            quality,
            views,
        }
    }

    /// Draws one of a lamp's maps.
    pub(super) fn draw_map(&self, lamp: &Lamp, map: usize) {
        if lamp.light.beam() == DVec3::ZERO {
            return;
        }
        let used = lamp.quality.used_texels(lamp.maps.texels)[map];
        let is_sketch = lamp.quality == Quality::Moving;
        let stage = &lamp.stage;
        self.shadow.draw(
            &self.gpu,
            map,
            &lamp.views[map],
            stage,
            &lamp.maps,
            (used, is_sketch),
        );
    }
}
