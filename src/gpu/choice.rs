//! Who draws: the processor, the GPU, or whichever the work shows to be faster. May not enter: how either
//! draws.

use super::device::{Gpu, GpuError};
use super::rasterizer::{GpuRasterizer, Tell};
use crate::sighting::cpu::Cpu;
use crate::sighting::frame::{Counts, Sighting};
use crate::sighting::rasterizer::{Around, Rasterizer};
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, OnceLock};
use std::time::{Duration, Instant};

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// Whichever is measured to be faster.
    Auto,
    /// The processor.
    Cpu,
    /// The GPU.
    Gpu,
}

/// What was chosen, opened.
pub enum Chosen {
    /// The processor.
    Cpu(Cpu),
    /// The GPU.
    Gpu(Box<GpuRasterizer>),
    /// Not known before some work is done.
    Auto(Box<Auto>),
}

impl Chosen {
    /// The rasterizer of a choice; `tell` is told when a device fails.
    ///
    /// # Errors
    /// The GPU is asked for, and there is none.
    pub fn new(choice: Choice, tell: Tell) -> Result<Chosen, GpuError> {
        Ok(match choice {
            Choice::Cpu => Chosen::Cpu(Cpu::default()),
            Choice::Gpu => Chosen::Gpu(Box::new(open(tell)?)),
            Choice::Auto => Chosen::Auto(Box::new(Auto::new(PATIENCE, tell))),
        })
    }

    /// For long work: a GPU that was asked for draws its batches, and leaves single views to the processor as [`Auto`]
    /// does. Many threads prove at once, each waiting for its own view: a device serves them one after the other.
    #[must_use]
    pub fn for_search(self) -> Chosen {
        match self {
            Chosen::Gpu(gpu) => Chosen::Auto(Box::new(Auto::settled(*gpu))),
            other => other,
        }
    }

    /// The adapter's name where one has drawn.
    pub fn adapter(&self) -> Option<&str> {
        let gpu = match self {
            Chosen::Cpu(_) => None,
            Chosen::Gpu(gpu) => Some(gpu.as_ref()),
            Chosen::Auto(auto) => auto.gpu(),
        };
        gpu.map(|gpu| gpu.gpu().name.as_str())
    }

    /// Who draws.
    pub fn rasterizer(&self) -> &dyn Rasterizer {
        match self {
            Chosen::Cpu(cpu) => cpu,
            Chosen::Gpu(gpu) => gpu.as_ref(),
            Chosen::Auto(auto) => auto.as_ref(),
        }
    }
}

fn open(tell: Tell) -> Result<GpuRasterizer, GpuError> {
    GpuRasterizer::new(Arc::new(Gpu::open()?), tell)
}

/// So long the processor draws batches before an adapter is opened: twice what opening and trying one costs
/// (half a second to one), so that a small job never pays for it, and a large one little.
const PATIENCE: Duration = Duration::from_secs(2);

/// Views that both draw to be compared.
const TRIED: usize = 16;

/// So many times faster the GPU must be: a difference that every measurement shows alike, on a loaded machine
/// too, so that the same job is drawn by the same.
const FASTER: f64 = 1.5;

/// Draws on the processor until a job has shown to be large, then lets an adapter try. Only batches go to the
/// GPU, which are what a search proposes from. Single views, from which everything is proved and graded, stay
/// on the processor: reading one back costs more than drawing it, and what is reported then does not depend
/// on the adapter.
pub struct Auto {
    cpu: Cpu,
    /// What came of the trial.
    decided: OnceLock<Option<GpuRasterizer>>,
    /// Whether somebody is trying, or has: the others do not wait.
    trying: AtomicBool,
    spent: Mutex<Duration>,
    patience: Duration,
    tell: Mutex<Option<Tell>>,
}

impl Auto {
    /// Tries an adapter once batches have kept the processor for so long.
    pub fn new(patience: Duration, tell: Tell) -> Auto {
        Auto {
            cpu: Cpu::default(),
            decided: OnceLock::new(),
            trying: AtomicBool::new(false),
            spent: Mutex::default(),
            patience,
            tell: Mutex::new(Some(tell)),
        }
    }

    /// Has decided for this GPU.
    fn settled(gpu: GpuRasterizer) -> Auto {
        Auto {
            cpu: Cpu::default(),
            decided: OnceLock::from(Some(gpu)),
            trying: AtomicBool::new(true),
            spent: Mutex::default(),
            patience: Duration::MAX,
            tell: Mutex::default(),
        }
    }

    /// The GPU, if it was found to be faster.
    pub fn gpu(&self) -> Option<&GpuRasterizer> {
        self.decided.get()?.as_ref()
    }

    /// Whether an adapter has been tried, or looked for in vain.
    pub fn has_decided(&self) -> bool {
        self.decided.get().is_some()
    }

    fn is_patient(&self) -> bool {
        let spent = self.spent.lock().unwrap_or_else(|held| held.into_inner());
        *spent < self.patience
    }

    /// Who draws this batch; decides when the time has come.
    fn batch(
        &self,
        stage: &Stage,
        views: &[View],
        around: Around,
        draw: impl FnOnce(&dyn Rasterizer),
    ) {
        if !self.is_patient() && !self.trying.swap(true, Ordering::Relaxed) {
            let tried = self.try_gpu(stage, &views[..views.len().min(TRIED)], around);
            let _ = self.decided.set(tried);
        }
        match self.gpu() {
            Some(gpu) => draw(gpu),
            None => {
                let start = Instant::now();
                draw(&self.cpu);
                let mut spent = self.spent.lock().unwrap_or_else(|held| held.into_inner());
                *spent += start.elapsed();
            }
        }
    }

    /// The GPU, if there is one and it draws these views faster.
    fn try_gpu(&self, stage: &Stage, views: &[View], around: Around) -> Option<GpuRasterizer> {
        let tell = self
            .tell
            .lock()
            .unwrap_or_else(|held| held.into_inner())
            .take()?;
        let gpu = open(tell).ok()?;
        let timed = |rasterizer: &dyn Rasterizer| {
            let start = Instant::now();
            rasterizer.sight_each(stage, views, around, &|_, _| {});
            start.elapsed().as_secs_f64()
        };
        timed(&gpu); // uploads, and lets the driver finish its programs
        let (gpu_s, cpu_s) = (timed(&gpu), timed(&self.cpu));
        (gpu_s * FASTER < cpu_s && !gpu.has_failed()).then_some(gpu)
    }
}

impl Rasterizer for Auto {
    fn sight(&self, stage: &Stage, view: &View, around: Around, sighting: &mut Sighting) {
        self.cpu.sight(stage, view, around, sighting);
    }

    fn sight_each(
        &self,
        stage: &Stage,
        views: &[View],
        around: Around,
        fold: &(dyn Fn(usize, &mut Sighting) + Sync),
    ) {
        self.batch(stage, views, around, |one| {
            one.sight_each(stage, views, around, fold)
        });
    }

    fn count_each(
        &self,
        stage: &Stage,
        views: &[View],
        around: Around,
        fold: &(dyn Fn(usize, &Counts) + Sync),
    ) {
        self.batch(stage, views, around, |one| {
            one.count_each(stage, views, around, fold)
        });
    }

    fn views_drawn(&self) -> usize {
        self.cpu.views_drawn() + self.gpu().map_or(0, |gpu| gpu.views_drawn())
    }
}
