//! One view in one light on the device, drawn tile by tile, and a tile whole or piece by piece. May not enter: how a
//! pass draws, what becomes of what was drawn.

use super::film::Sheet;
use super::lamp::Lamp;
use super::pipeline::{Onto, buffer};
use super::runs::Looks;
use super::scatter::{PatchOnDevice, Shapes};
use super::strewn::{Patch, strewn};
use super::{Lit, Options, Prepared, frame, leaf, sky, surface, surfaces, veil, wire};
use crate::gpu::device::Gpu;
use crate::sighting::view::View;
use std::sync::Arc;
use wgpu::BufferUsages;

/// What is made of a view.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// A picture.
    Film,
    /// Light before development, one sample to a pixel, or the share of the sun's disc that shines.
    Light {
        /// The shares.
        lit_shares: bool,
    },
}

/// A view in a light.
pub struct Shot {
    stage: Arc<Prepared>,
    lamp: Arc<Lamp>,
    view: View,
    options: Options,
    wanted: Wanted,
    /// What is strewn over its ground.
    patches: Vec<PatchOnDevice>,
}

/// A window of a shot.
pub struct Tile {
    /// Its first column and row.
    pub first: [usize; 2],
    /// Pixels of the picture.
    pub size: [usize; 2],
    view: View,
    /// The frame's group.
    pub frame: wgpu::BindGroup,
}

/// A part of a tile, in its pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Piece {
    /// First column and row.
    pub first: [usize; 2],
    /// Columns and rows.
    pub size: [usize; 2],
}

/// Pipelines for one number of samples.
pub struct Passes {
    onto: Onto,
    closed: bool,
    surface: [wgpu::RenderPipeline; surfaces::CLASSES],
    shapes: Shapes,
    leaf: wgpu::RenderPipeline,
    sky: wgpu::RenderPipeline,
    veil: wgpu::RenderPipeline,
    wire: wgpu::RenderPipeline,
}

/// What is strewn over the ground that a view shows.
pub fn patches(stage: &Prepared, view: &View, options: &Options) -> Vec<Patch> {
    let sparse = if options.quality.is_still() {
        1.0
    } else {
        0.25
    };
    strewn(&stage.cover, view, sparse).patches()
}

impl Shot {
    fn samples(&self) -> u32 {
        match self.wanted {
            Wanted::Film => self.options.quality.samples(),
            Wanted::Light { .. } => 1,
        }
    }

    fn times(&self) -> u32 {
        match self.wanted {
            Wanted::Film => self.options.quality.times(),
            Wanted::Light { .. } => 1,
        }
    }

    /// First columns and rows, and sizes of its tiles.
    pub fn tiles(&self, gpu: &Gpu) -> Vec<Piece> {
        let most = gpu.device.limits().max_texture_dimension_2d / self.times();
        let largest = self.options.largest_tile.clamp(16, most) as usize;
        let [width, height] = [self.view.width, self.view.height];
        let row = |row: usize| {
            (0..width).step_by(largest).map(move |column| Piece {
                first: [column, row],
                size: [(width - column).min(largest), (height - row).min(largest)],
            })
        };
        (0..height).step_by(largest).flat_map(row).collect()
    }
}

impl Lit {
    /// A view in a light, with nothing strewn yet.
    pub(super) fn shot(
        &mut self,
        lamp: &Arc<Lamp>,
        view: &View,
        options: &Options,
        wanted: Wanted,
    ) -> Shot {
        let shot = Shot {
            stage: Arc::clone(&lamp.stage),
            lamp: Arc::clone(lamp),
            view: view.clone(),
            options: *options,
            wanted,
            patches: vec![],
        };
        self.make_passes(shot.samples(), shot.stage.closed);
        shot
    }

    /// Brings some of what is strewn to the device.
    pub(super) fn strew(&self, shot: &mut Shot, patches: &[Patch]) {
        // No tone depends on the tile.
        let whole = [shot.view.width, shot.view.height];
        let frame = self.frame_of(shot, &shot.view, [0, 0], whole);
        let groups = [&frame, &shot.stage.group];
        let mut encoder = self.gpu.device.create_command_encoder(&Default::default());
        for patch in patches {
            let brought = self.tones.bring(&self.gpu, &mut encoder, groups, patch);
            shot.patches.push(brought);
        }
        self.gpu.queue.submit([encoder.finish()]);
    }

    /// A window of a shot.
    pub(super) fn tile(&self, shot: &Shot, Piece { first, size }: Piece) -> Tile {
        let view = frame::tile(&shot.view, first, size);
        Tile {
            frame: self.frame_of(shot, &view, first, size),
            view,
            first,
            size,
        }
    }

    fn frame_of(
        &self,
        shot: &Shot,
        view: &View,
        first: [usize; 2],
        size: [usize; 2],
    ) -> wgpu::BindGroup {
        let times = shot.times();
        let manner = frame::Manner {
            exposed_for_lx: shot.options.exposed_for_lx,
            lit_shares: shot.wanted == Wanted::Light { lit_shares: true },
            fineness: f64::from(u8::from(shot.options.quality.is_still())),
            times,
            first: first.map(|pixels| pixels * times as usize),
        };
        let [width, height] = size.map(|pixels| pixels * times as usize);
        let drawn = View {
            width,
            height,
            ..view.clone()
        };
        self.frame_group(&drawn, &manner, &shot.lamp)
    }

    /// The frame's group of a view as it is drawn.
    pub(super) fn frame_group(
        &self,
        drawn: &View,
        manner: &frame::Manner,
        lamp: &Lamp,
    ) -> wgpu::BindGroup {
        let uniform = frame::uniform(drawn, manner);
        let bytes = bytemuck::bytes_of(&uniform);
        let uniform = buffer(&self.gpu.device, "frame", BufferUsages::UNIFORM, bytes);
        frame::group(
            &self.gpu,
            &self.frame_layout,
            &uniform,
            &lamp.buffer,
            &lamp.maps.view,
            &lamp.skyline,
        )
    }

    /// A sheet for a tile: the one that is kept, if it fits.
    pub(super) fn sheet_for(&self, shot: &Shot, tile: &Tile, kept: Option<Sheet>) -> Sheet {
        let (samples, times) = (shot.samples(), shot.times());
        let size = tile.size.map(|pixels| pixels as u32);
        let fits =
            |sheet: &Sheet| sheet.size == size && sheet.times == times && sheet.count == samples;
        kept.filter(fits)
            .unwrap_or_else(|| self.film.sheet(&self.gpu, size, times, samples))
    }

    /// Draws a piece of a tile, or all of it. The first piece empties the sheet. What may not be seen is left out,
    /// and no pixel depends on how a tile is cut.
    pub(super) fn draw_piece(
        &self,
        shot: &Shot,
        tile: &Tile,
        sheet: &Sheet,
        piece: Piece,
        is_first: bool,
    ) {
        let stage = &shot.stage;
        let onto = Onto::Light(shot.samples());
        let made = |passes: &&Passes| passes.onto == onto && passes.closed == stage.closed;
        let Some(passes) = self.passes.iter().find(made) else {
            return;
        };
        let looks = Looks::of(
            &frame::tile(&tile.view, piece.first, piece.size),
            stage.closed,
        );
        let mut encoder = self.gpu.device.create_command_encoder(&Default::default());
        let is_whole = piece.size == tile.size;
        let mut pass = sheet.begin(&mut encoder, is_first, is_whole);
        let times = shot.times() as usize;
        let [x, y] = piece.first.map(|pixels| (pixels * times) as u32);
        let [width, height] = piece.size.map(|pixels| (pixels * times) as u32);
        pass.set_scissor_rect(x, y, width, height);
        pass.set_bind_group(0, &tile.frame, &[]);
        pass.set_bind_group(1, &stage.group, &[]);
        let surface = |class: usize| &passes.surface[class];
        let solid = &stage.solid;
        solid.draw(&mut pass, &looks, &surfaces::STANDING, &surface);
        pass.set_pipeline(&passes.leaf);
        stage.sprays.draw(&mut pass, &looks);
        self.tones
            .draw(&mut pass, &looks, &passes.shapes, &shot.patches);
        solid.draw(&mut pass, &looks, &surfaces::GROUND, &surface);
        pass.set_pipeline(&passes.sky);
        pass.draw(0..3, 0..1);
        let veil = |_| &passes.veil;
        (stage.veil).draw(&mut pass, &looks, &surfaces::STANDING, &veil);
        pass.set_pipeline(&passes.wire);
        stage.wires.draw(&mut pass);
        drop(pass);
        self.gpu.queue.submit([encoder.finish()]);
    }

    fn make_passes(&mut self, samples: u32, closed: bool) {
        let onto = Onto::Light(samples);
        let made = |passes: &Passes| passes.onto == onto && passes.closed == closed;
        if self.passes.iter().any(made) {
            return;
        }
        let gpu = &self.gpu;
        let groups = [&self.frame_layout, &self.stage_layout];
        let strewn = [groups[0], groups[1], self.tones.read_layout()];
        self.passes.push(Passes {
            onto,
            closed,
            surface: surface::pipelines(gpu, &groups, onto, closed),
            shapes: Shapes::new(gpu, &strewn, onto),
            leaf: leaf::pipeline(gpu, &groups, onto),
            sky: sky::pipeline(gpu, &self.frame_layout, onto),
            veil: veil::pipeline(gpu, &groups, onto),
            wire: wire::pipeline(gpu, &groups[..1], onto),
        });
    }
}
