//! A still drawn piece by piece, so that an interface that shares the device is never kept waiting for long. May not
//! enter: how a piece is drawn.

use super::canvas::{Canvas, Shown};
use super::film::Sheet;
use super::lamp::{Lamp, MAPS};
use super::pieces::Pieces;
use super::shadow::SunMaps;
use super::shot::{Piece, Shot, Tile, Wanted, patches};
use super::strewn::Patch;
use super::{Lit, Options, Prepared};
use crate::gpu::device::GpuError;
use crate::picture::Light;
use crate::picture::png::Picture;
use crate::sighting::view::View;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// What a step should take.
const STEP: Duration = Duration::from_millis(35);
/// So long a step waits for what another thread prepares.
const PATIENCE: Duration = Duration::from_millis(4);
/// Cells of the very first piece, and pieces by which the next one is judged.
const FIRST_CELLS: f64 = 2.0;
const LATEST: usize = 4;
/// Things brought to the device in one step, and pixels developed.
const THINGS: usize = 12_000;
const PIXELS: u32 = 1 << 19;

/// What the stills of one `Lit` hand on to the next.
#[derive(Default)]
pub struct Spare {
    sheet: Option<Sheet>,
    maps: Option<SunMaps>,
    /// What a cell in the middle took, seconds.
    middle_cell_s: Option<f64>,
}

impl Spare {
    /// Maps of that many texels.
    pub fn take_maps(&mut self, texels: u32) -> Option<SunMaps> {
        self.maps.take().filter(|maps| maps.texels == texels)
    }
}

/// What comes next.
enum Next {
    /// A light's maps.
    Maps { lamp: Box<Lamp>, map: usize },
    /// What is strewn over the ground.
    Strewn,
    /// A piece of a tile.
    Piece,
    /// A tile's rows from here on are developed.
    Rows(u32),
    /// Nothing.
    Nothing,
}

/// A still on its way. Dropping it gives it up.
pub struct StillInSteps {
    stage: Arc<Prepared>,
    view: View,
    light: Light,
    options: Options,
    canvas: Canvas,
    spare: Arc<Mutex<Spare>>,
    next: Option<Next>,
    strewn: Receiver<Vec<Patch>>,
    waiting: Vec<Patch>,
    shot: Option<Shot>,
    /// Those not begun yet, the last one first.
    tiles: Vec<Piece>,
    tile: Option<(Tile, Sheet, Pieces)>,
    pixels_done: usize,
    /// What a cell of each of the latest pieces took, seconds, and how many cells the last one had.
    cell_s: Vec<f64>,
    cells: usize,
}

impl Lit {
    /// Begins a still of the stage that is set, on a canvas of its own; [`StillInSteps::step`] draws it. Where its
    /// light is another than that of the latest still it takes over that one's maps, and becomes the latest.
    ///
    /// # Errors
    /// No stage is set, or the device's.
    pub fn begin_still(
        &self,
        view: &View,
        light: &Light,
        options: &Options,
    ) -> Result<StillInSteps, GpuError> {
        let stage = self.stage_set()?;
        let canvas = Canvas::new(&self.gpu, [view.width as u32, view.height as u32]);
        self.gpu.check()?;
        let (tell, strewn) = channel();
        let (there, seen, made) = (Arc::clone(&stage), view.clone(), *options);
        // Nobody listens any more where the still was given up.
        std::thread::spawn(move || tell.send(patches(&there, &seen, &made)));
        Ok(StillInSteps {
            stage,
            view: view.clone(),
            light: light.clone(),
            options: *options,
            canvas,
            spare: Arc::clone(&self.spare),
            next: None,
            strewn,
            waiting: vec![],
            shot: None,
            tiles: vec![],
            tile: None,
            pixels_done: 0,
            cell_s: vec![],
            cells: 0,
        })
    }
}

impl StillInSteps {
    /// Draws the next piece, with the `Lit` that began it, and waits for it; whether the still is finished.
    ///
    /// # Errors
    /// The device's.
    pub fn step(&mut self, lit: &mut Lit) -> Result<bool, GpuError> {
        let next = match self.next.take() {
            Some(next) => next,
            None => self.start(lit),
        };
        let next = match next {
            Next::Maps { lamp, map } => {
                lit.draw_map(&lamp, map);
                if map + 1 < MAPS {
                    let map = map + 1;
                    Next::Maps { lamp, map }
                } else {
                    let lamp = lit.take_lamp(*lamp);
                    self.shot_in(lit, &lamp)
                }
            }
            Next::Strewn => self.strew(lit)?,
            Next::Piece => self.piece(lit)?,
            Next::Rows(row) => self.develop(lit, row),
            Next::Nothing => Next::Nothing,
        };
        self.next = Some(next);
        lit.gpu.wait()?;
        Ok(self.is_finished())
    }

    fn start(&mut self, lit: &mut Lit) -> Next {
        match lit.lamp_of(&self.stage, &self.light, self.options.quality) {
            Some(lamp) => self.shot_in(lit, &lamp),
            None => {
                let lamp = lit.new_lamp(&self.stage, &self.light, self.options.quality);
                let lamp = Box::new(lamp);
                Next::Maps { lamp, map: 0 }
            }
        }
    }

    fn shot_in(&mut self, lit: &mut Lit, lamp: &Arc<Lamp>) -> Next {
        let shot = lit.shot(lamp, &self.view, &self.options, Wanted::Film);
        self.tiles = shot.tiles(&lit.gpu);
        self.tiles.reverse();
        self.shot = Some(shot);
        Next::Strewn
    }

    fn strew(&mut self, lit: &Lit) -> Result<Next, GpuError> {
        if self.waiting.is_empty() {
            match self.strewn.recv_timeout(PATIENCE) {
                Ok(patches) => self.waiting = patches,
                Err(RecvTimeoutError::Timeout) => return Ok(Next::Strewn),
                Err(RecvTimeoutError::Disconnected) => {
                    return Err(GpuError::Refused("what lies on the ground got lost".into()));
                }
            }
        }
        let Some(shot) = &mut self.shot else {
            return Ok(Next::Nothing);
        };
        let mut things = 0;
        let enough = self.waiting.iter().position(|patch| {
            things += patch.things.len();
            things > THINGS
        });
        let count = enough
            .unwrap_or(self.waiting.len())
            .max(1)
            .min(self.waiting.len());
        let some: Vec<Patch> = self.waiting.drain(..count).collect();
        lit.strew(shot, &some);
        Ok(if self.waiting.is_empty() {
            Next::Piece
        } else {
            Next::Strewn
        })
    }

    fn piece(&mut self, lit: &Lit) -> Result<Next, GpuError> {
        let Some(shot) = &self.shot else {
            return Ok(Next::Nothing);
        };
        if self.tile.is_none() {
            let Some(window) = self.tiles.pop() else {
                return Ok(Next::Nothing);
            };
            let tile = lit.tile(shot, window);
            let kept = locked(&self.spare).sheet.take();
            let sheet = lit.sheet_for(shot, &tile, kept);
            let pieces = Pieces::of(tile.size);
            self.tile = Some((tile, sheet, pieces));
        }
        let Some((tile, sheet, pieces)) = &mut self.tile else {
            return Ok(Next::Nothing);
        };
        // Cells differ: as dear as the dearest of late, and no more than twice as many as before.
        let dearest_s = self.cell_s.iter().copied().fold(0.0, f64::max);
        let about = match locked(&self.spare).middle_cell_s {
            _ if self.cells > 0 => (STEP.as_secs_f64() / dearest_s).min(2.0 * self.cells as f64),
            Some(middle_s) => STEP.as_secs_f64() / middle_s,
            None => FIRST_CELLS,
        };
        let is_first = pieces.is_untouched();
        let Some((piece, cells)) = pieces.next(about as usize) else {
            sheet.resolve(&lit.gpu);
            return Ok(Next::Rows(0));
        };
        let start = Instant::now();
        lit.draw_piece(shot, tile, sheet, piece, is_first);
        lit.gpu.wait()?;
        let took_s = start.elapsed().as_secs_f64().max(1e-6) / cells as f64;
        if is_first {
            locked(&self.spare).middle_cell_s = Some(took_s);
        }
        self.cell_s.truncate(LATEST - 1);
        self.cell_s.insert(0, took_s);
        self.cells = cells;
        self.pixels_done += piece.size[0] * piece.size[1];
        Ok(Next::Piece)
    }

    fn develop(&mut self, lit: &Lit, row: u32) -> Next {
        let Some((tile, sheet, _)) = &self.tile else {
            return Next::Nothing;
        };
        let [width, height] = sheet.size;
        let end = (row + (PIXELS / width).max(1)).min(height);
        let (frame, to) = (&tile.frame, tile.first);
        (lit.film).develop(&lit.gpu, frame, sheet, &self.canvas, to, row..end);
        if end < height {
            return Next::Rows(end);
        }
        self.put_back();
        if self.tiles.is_empty() {
            self.shot = None;
            Next::Nothing
        } else {
            Next::Piece
        }
    }

    fn put_back(&mut self) {
        if let Some((_, sheet, _)) = self.tile.take() {
            locked(&self.spare).sheet = Some(sheet);
        }
    }

    /// Whether all of it is drawn.
    pub fn is_finished(&self) -> bool {
        matches!(self.next, Some(Next::Nothing))
    }

    /// Share of its pixels that are drawn.
    pub fn progress(&self) -> f64 {
        self.pixels_done as f64 / (self.view.width * self.view.height).max(1) as f64
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

impl Drop for StillInSteps {
    fn drop(&mut self) {
        self.put_back();
        if let Some(Next::Maps { lamp, .. }) = self.next.take() {
            locked(&self.spare).maps = Some(lamp.maps);
        }
    }
}

fn locked(spare: &Mutex<Spare>) -> std::sync::MutexGuard<'_, Spare> {
    spare.lock().unwrap_or_else(PoisonError::into_inner)
}
