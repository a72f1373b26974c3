//! Who draws, as asked for: what the eye and the sun see, and pictures. May not enter: what is drawn.

use crate::gpu::choice::{Choice, Chosen};
use crate::grade::wording::sentence_case;
use crate::picture::painter::Painter;
use clap::{Args, ValueEnum};
use miette::miette;

/// Who draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Who {
    /// Whichever serves best here.
    Auto,
    /// The processor.
    Cpu,
    /// The graphics adapter, or nobody.
    Gpu,
}

impl From<Who> for Choice {
    fn from(who: Who) -> Choice {
        match who {
            Who::Auto => Choice::Auto,
            Who::Cpu => Choice::Cpu,
            Who::Gpu => Choice::Gpu,
        }
    }
}

/// Who measures.
#[derive(Args, Clone, Copy, Debug)]
pub struct RasterizedBy {
    /// Who measures: the processor, the graphics adapter, or whichever is found to be faster on a large job.
    #[arg(long, value_name = "WHO", value_enum, default_value_t = Who::Auto)]
    pub rasterizer: Who,
}

impl RasterizedBy {
    /// Opens it. Should a device fail on the way, that is told on standard error.
    pub fn open(self) -> Result<Chosen, miette::Report> {
        let tell = Box::new(|told: &str| super::note(&format!("{told}\n")));
        let chosen = Chosen::new(self.rasterizer.into(), tell);
        chosen.map_err(|error| miette!("--rasterizer gpu: {error}"))
    }
}

/// Says on standard error which adapter measured, if one did: data and text are the same for all.
pub fn say_who_drew(chosen: &Chosen) {
    if let Some(adapter) = chosen.adapter() {
        super::note(&format!("Drawn with {adapter}\n"));
    }
}

/// Who paints.
#[derive(Args, Clone, Copy, Debug)]
pub struct PaintedBy {
    /// Who paints pictures: the processor, the graphics adapter, or the adapter where there is one.
    #[arg(long, value_name = "WHO", value_enum, default_value_t = Who::Auto)]
    pub painter: Who,
}

impl PaintedBy {
    /// Opens it, where a picture is wanted: before long work, so that nobody waits for one that cannot be had.
    pub fn open(self, wanted: bool) -> Result<Option<Painter>, miette::Report> {
        let painter = wanted.then(|| Painter::open(self.painter.into()));
        let painter = painter.transpose();
        painter.map_err(|error| miette!("--painter gpu: {error}"))
    }
}

/// Says on standard error what did not go as asked with a picture.
pub fn tell_flaw(flaw: Option<&str>) {
    if let Some(flaw) = flaw {
        super::note(&format!("{}\n", sentence_case(flaw)));
    }
}
