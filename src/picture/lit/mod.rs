//! The picture by wgpu: shadow maps for the sun, sky light, surfaces, film. A stage is uploaded once (`prepare`), a
//! minute's light draws the sun's maps (`set_light`), and then any view costs its own picture alone (`draw`).
//! May not enter: grades, the search, files.

mod bake;
mod canvas;
mod casters;
mod cover;
mod crowns;
mod dome;
mod film;
mod frame;
mod lamp;
mod leaf;
mod leaves;
mod moving;
mod normals;
mod pieces;
mod pipeline;
mod readback;
mod runs;
mod scatter;
pub mod shader; // the WGSL of every pass
mod shadow;
mod shot;
mod sky;
mod stage_mesh;
mod steps;
mod strewn;
mod sun;
mod surface;
mod surfaces;
mod tiling;
pub mod uniforms; // what shaders are told, byte for byte
mod veil;
mod wire;

use super::png::Picture;
use crate::gpu::device::{Gpu, GpuError};
use crate::sighting::rasterizer::Rasterizer;
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use canvas::Canvas;
pub use canvas::Shown;
use cover::Cover;
use film::{Film, Sheet};
use glam::DVec3;
use lamp::Lamp;
use leaf::SpraysOnDevice;
use moving::{Moving, MovingStage};
use scatter::Tones;
use shadow::{CastersOnDevice, Shadow};
use shot::{Passes, Wanted};
use stage_mesh::StageMesh;
use std::sync::{Arc, Mutex};
use steps::Spare;
pub use steps::StillInSteps;
use surface::MeshOnDevice;
use tiling::place;
use wire::WiresOnDevice;

/// How good a picture is, and how dear.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quality {
    /// For adapters in software while something moves: the same picture, coarser.
    Moving,
    /// For a window that redraws while something moves: one sample, small maps, hard shadows.
    Live,
    /// For a picture that is kept.
    Still,
    /// A still whose every pixel is drawn as two by two.
    Fine,
}

impl Quality {
    /// Texels of the sun's maps, across and down.
    pub fn sun_texels(self) -> u32 {
        match self {
            Quality::Moving | Quality::Live => 1024,
            Quality::Still | Quality::Fine => 4096,
        }
    }

    /// Texels of each map that are used: what stands about a moving machine is drawn coarser.
    fn used_texels(self, texels: u32) -> [u32; lamp::MAPS] {
        match self {
            Quality::Moving => [texels, texels * 3 / 4, texels / 2],
            _ => [texels; lamp::MAPS],
        }
    }

    /// Which lamp serves it.
    fn lamp(self) -> usize {
        match self {
            Quality::Moving => 0,
            Quality::Live => 1,
            Quality::Still | Quality::Fine => 2,
        }
    }

    fn is_still(self) -> bool {
        matches!(self, Quality::Still | Quality::Fine)
    }

    fn samples(self) -> u32 {
        if self.is_still() { 4 } else { 1 }
    }

    fn times(self) -> u32 {
        if self == Quality::Fine { 2 } else { 1 }
    }
}

/// How a picture is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// How good.
    pub quality: Quality,
    /// Illuminance that the exposure is for, lx.
    pub exposed_for_lx: f64,
    /// Widest and highest tile, pixels of the picture; the adapter may hold it lower.
    pub largest_tile: u32,
}

/// A stage on the device.
pub struct Prepared {
    solid: MeshOnDevice,
    veil: MeshOnDevice,
    sprays: SpraysOnDevice,
    wires: WiresOnDevice,
    cover: Cover,
    casters: CastersOnDevice,
    moving: MovingStage,
    group: wgpu::BindGroup,
    hull: Arc<Vec<DVec3>>,
    casters_bounds: [DVec3; 2],
    closed: bool,
    ground_z_m: f64,
}

/// A stage in the shape that shaders read, not yet on a device.
pub struct Shaped(StageMesh);

/// Draws pictures on a graphics adapter.
pub struct Lit {
    gpu: Arc<Gpu>,
    frame_layout: wgpu::BindGroupLayout,
    stage_layout: wgpu::BindGroupLayout,
    shadow: Shadow,
    film: Film,
    tones: Tones,
    moving: Moving,
    passes: Vec<Passes>,
    stage: Option<Arc<Prepared>>,
    /// The latest of each sort.
    lamps: [Option<Arc<Lamp>>; 3],
    sheet: Option<Sheet>,
    spare: Arc<Mutex<Spare>>,
    canvas: Option<Canvas>,
}

impl Lit {
    /// On the best adapter.
    ///
    /// # Errors
    /// None is there, or it gives no device.
    pub fn open() -> Result<Lit, GpuError> {
        Lit::on(Arc::new(Gpu::open()?))
    }

    /// On a device.
    ///
    /// # Errors
    /// It refuses the passes.
    pub fn on(gpu: Arc<Gpu>) -> Result<Lit, GpuError> {
        let frame_layout = frame::layout(&gpu);
        let stage_layout = surface::stage_layout(&gpu);
        let lit = Lit {
            shadow: Shadow::new(&gpu),
            film: Film::new(&gpu, &frame_layout),
            tones: Tones::new(&gpu, [&frame_layout, &stage_layout]),
            moving: Moving::new(&gpu, &stage_layout),
            passes: vec![],
            stage: None,
            lamps: [None, None, None],
            sheet: None,
            spare: Arc::default(),
            canvas: None,
            frame_layout,
            stage_layout,
            gpu,
        };
        lit.gpu.check()?;
        Ok(lit)
    }

    /// The device.
    pub fn gpu(&self) -> &Gpu {
        &self.gpu
    }

    /// Brings a stage to the device. `rasterizer` tells how much sky each patch sees.
    ///
    /// # Errors
    /// The device's.
    pub fn prepare(
        &self,
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
    ) -> Result<Arc<Prepared>, GpuError> {
        self.upload(stage, Lit::shape(rasterizer, stage))
    }

    /// The first half of `prepare`, which needs no device.
    pub fn shape(rasterizer: &dyn Rasterizer, stage: &Stage) -> Shaped {
        Shaped(StageMesh::of(rasterizer, stage))
    }

    /// The second half: what was shaped goes to the device.
    ///
    /// # Errors
    /// The device's.
    pub fn upload(&self, stage: &Stage, Shaped(mesh): Shaped) -> Result<Arc<Prepared>, GpuError> {
        let gpu = &self.gpu;
        let group = surface::stage_group(gpu, &self.stage_layout, &mesh, stage.condition);
        let moving = MovingStage::new(gpu, &self.moving, &group, &mesh);
        let prepared = Prepared {
            moving,
            solid: MeshOnDevice::new(gpu, &mesh.solid),
            veil: MeshOnDevice::new(gpu, &mesh.veil),
            sprays: SpraysOnDevice::new(gpu, &mesh.sprays),
            wires: WiresOnDevice::new(gpu, stage),
            cover: mesh.cover,
            casters: CastersOnDevice::new(gpu, mesh.casters),
            group,
            hull: Arc::clone(&stage.hull),
            casters_bounds: mesh.casters_bounds,
            closed: stage.patches.closed,
            ground_z_m: mesh.ground_z_m,
        };
        gpu.check()?;
        Ok(Arc::new(prepared))
    }

    /// Takes a prepared stage for the pictures that follow; its light must be set anew.
    pub fn set_stage(&mut self, stage: &Arc<Prepared>) {
        self.stage = Some(Arc::clone(stage));
    }

    /// The picture of a view, developed.
    ///
    /// # Errors
    /// The device's.
    pub fn draw(&mut self, view: &View, options: &Options) -> Result<Picture, GpuError> {
        if options.quality == Quality::Moving {
            let canvas = Canvas::new(&self.gpu, [view.width as u32, view.height as u32]);
            self.draw_moving(&canvas, view, options, false)?;
            return canvas.picture(&self.gpu);
        }
        let mut pixels_srgb = vec![[0; 3]; view.width * view.height];
        self.tiles(view, options, Wanted::Film, &mut |at| {
            let canvas = Canvas::new(at.gpu, at.sheet.size);
            at.develop(&canvas, [0, 0]);
            let bytes = canvas.bytes(at.gpu)?;
            let pixels = bytes.chunks_exact(4).map(|p| [p[0], p[1], p[2]]);
            place(&mut pixels_srgb, view.width, at.tile, pixels);
            Ok(())
        })?;
        Ok(Picture {
            width: view.width,
            height: view.height,
            pixels_srgb,
        })
    }

    /// Draws a view and leaves it on the device, for a window that shows it from there: [`Lit::shown`].
    ///
    /// # Errors
    /// The device's.
    pub fn show(&mut self, view: &View, options: &Options) -> Result<(), GpuError> {
        let size = [view.width as u32, view.height as u32];
        let kept = self.canvas.take().filter(|canvas| canvas.size == size);
        let canvas = kept.unwrap_or_else(|| Canvas::new(&self.gpu, size));
        self.develop_onto(&canvas, view, options)?;
        self.canvas = Some(canvas);
        Ok(())
    }

    /// What `show` drew last.
    pub fn shown(&self) -> Option<Shown<'_>> {
        self.canvas.as_ref().map(Canvas::shown)
    }

    fn develop_onto(
        &mut self,
        canvas: &Canvas,
        view: &View,
        options: &Options,
    ) -> Result<(), GpuError> {
        if options.quality == Quality::Moving {
            return self.draw_moving(canvas, view, options, false);
        }
        self.tiles(view, options, Wanted::Film, &mut |at| {
            at.develop(canvas, at.tile.first);
            Ok(())
        })
    }

    /// Light towards the eye per pixel, times π, lx, linear sRGB: one sample, not developed.
    ///
    /// # Errors
    /// The device's.
    pub fn light(&mut self, view: &View, options: &Options) -> Result<Vec<[f32; 3]>, GpuError> {
        let scale = options.exposed_for_lx as f32;
        let values = self.values(view, options, false)?;
        Ok(values
            .into_iter()
            .map(|[r, g, b, _]| [r * scale, g * scale, b * scale])
            .collect())
    }

    /// Share of the sun's disc that shines on what each pixel shows; 0 where it faces away, and in the sky.
    ///
    /// # Errors
    /// The device's.
    pub fn lit_shares(&mut self, view: &View, options: &Options) -> Result<Vec<f32>, GpuError> {
        if options.quality == Quality::Moving {
            let canvas = Canvas::new(&self.gpu, [view.width as u32, view.height as u32]);
            self.draw_moving(&canvas, view, options, true)?;
            let bytes = canvas.bytes(&self.gpu)?;
            return Ok(bytes
                .chunks_exact(4)
                .map(|p| f32::from(p[0]) / 255.0)
                .collect());
        }
        let values = self.values(view, options, true)?;
        Ok(values.into_iter().map(|[share, ..]| share).collect())
    }
}
