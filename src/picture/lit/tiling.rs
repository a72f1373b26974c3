//! Whole pictures: tile after tile is drawn and handed on. May not enter: how a tile is drawn.

use super::canvas::Canvas;
use super::film::{Film, Sheet};
use super::shot::{Piece, Tile, Wanted, patches};
use super::{Lit, Options, frame};
use crate::gpu::device::{Gpu, GpuError};
use crate::sighting::view::View;

/// Takes a drawn tile.
pub(super) type Take<'a> = dyn FnMut(&Drawn) -> Result<(), GpuError> + 'a;

/// A tile's light, drawn and not yet developed.
pub(super) struct Drawn<'a> {
    pub gpu: &'a Gpu,
    film: &'a Film,
    pub tile: &'a Tile,
    pub sheet: &'a Sheet,
}

impl Drawn<'_> {
    /// Develops it onto a place of a canvas.
    pub fn develop(&self, canvas: &Canvas, to: [usize; 2]) {
        let rows = 0..self.sheet.size[1];
        (self.film).develop(self.gpu, &self.tile.frame, self.sheet, canvas, to, rows);
    }
}

impl Lit {
    /// Light before development, pixel by pixel.
    pub(super) fn values(
        &mut self,
        view: &View,
        options: &Options,
        lit_shares: bool,
    ) -> Result<Vec<[f32; 4]>, GpuError> {
        let mut values = vec![[0.0; 4]; view.width * view.height];
        self.tiles(view, options, Wanted::Light { lit_shares }, &mut |at| {
            let pixels = at.sheet.light_values(at.gpu)?.into_iter();
            place(&mut values, view.width, at.tile, pixels);
            Ok(())
        })?;
        Ok(values)
    }

    /// Draws a view tile by tile and hands each to `take`.
    pub(super) fn tiles(
        &mut self,
        view: &View,
        options: &Options,
        wanted: Wanted,
        take: &mut Take,
    ) -> Result<(), GpuError> {
        let stage = self.stage_set()?;
        let lamp = self.lamp_set(&stage, options.quality)?;
        let mut shot = self.shot(&lamp, view, options, wanted);
        // Measured light is that of surfaces, without what is strewn over them.
        if wanted == Wanted::Film {
            self.strew(&mut shot, &patches(&stage, view, options));
        }
        for window in shot.tiles(&self.gpu) {
            let tile = self.tile(&shot, window);
            let kept = self.sheet.take();
            let sheet = self.sheet_for(&shot, &tile, kept);
            let whole = Piece {
                first: [0, 0],
                size: tile.size,
            };
            self.draw_piece(&shot, &tile, &sheet, whole, true);
            take(&Drawn {
                gpu: &self.gpu,
                film: &self.film,
                tile: &tile,
                sheet: &sheet,
            })?;
            self.sheet = Some(sheet);
            self.gpu.check()?;
        }
        Ok(())
    }

    /// Draws a moving picture onto a canvas of its size, or the share of the sun that each pixel has.
    pub(super) fn draw_moving(
        &mut self,
        canvas: &Canvas,
        view: &View,
        options: &Options,
        lit_shares: bool,
    ) -> Result<(), GpuError> {
        let stage = self.stage_set()?;
        let lamp = self.lamp_set(&stage, options.quality)?;
        let groups = [&self.frame_layout, &self.stage_layout];
        self.moving.make_passes(&self.gpu, &groups, stage.closed);
        let manner = frame::Manner {
            exposed_for_lx: options.exposed_for_lx,
            lit_shares,
            fineness: 0.0,
            times: 1,
            first: [0, 0],
        };
        let frame = self.frame_group(view, &manner, &lamp);
        let seen = (view, lamp.over_hills);
        self.moving.draw(&self.gpu, &frame, &stage, seen, canvas);
        self.gpu.check()
    }
}

/// Puts a tile's pixels in their place.
pub(super) fn place<T>(
    whole: &mut [T],
    width: usize,
    tile: &Tile,
    pixels: impl Iterator<Item = T>,
) {
    let [column, row] = tile.first;
    for (i, pixel) in pixels.enumerate() {
        let (x, y) = (i % tile.size[0], i / tile.size[0]);
        whole[(row + y) * width + column + x] = pixel;
    }
}
