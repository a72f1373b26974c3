//! `sunside rehearse`: opens the window. May not enter: what it shows.

use super::args::RehearseArgs;
use super::frame_args::JudgedBy;
use crate::grade::StandChange;
use crate::rehearsal::opening::Begin;
use crate::rehearsal::remembered::Remembered;
use crate::window::app::{App, Means};
use crate::window::{shell, theme};

use miette::miette;
use std::path::Path;

/// Opens the window and returns when it is closed.
pub fn run(args: &RehearseArgs) -> Result<u8, miette::Report> {
    let begin = Begin {
        at: args.time.at.clone(),
        stand: args.stand.change(),
        head_end: args.led.asked(),
        ..Begin::default()
    };
    let asks = begin.at.is_some() || begin.head_end.is_some();
    if args.scene.is_none() && (asks || begin.stand != StandChange::default()) {
        return Err(miette!(
            "a frame to begin with belongs to a scene: name its file"
        ));
    }
    show(
        args.scene.as_deref().map(|scene| (scene, begin)),
        &args.judged,
    )
}

/// Opens the window with a scene, or without.
pub(super) fn show(scene: Option<(&Path, Begin)>, judged: &JudgedBy) -> Result<u8, miette::Report> {
    // What background work reads lives as long as the program.
    let rulebook = Box::leak(Box::new(super::load_rulebook(judged.rules.as_deref())?));
    let drawing = Box::leak(Box::new(judged.rasterized.open()?));
    let context = egui::Context::default();
    theme::dress(&context);
    let opened = shell::run(&context, |waker| {
        let means = Means {
            rulebook,
            rasterizer: drawing.rasterizer(),
            waker,
            today: std::time::SystemTime::now().into(),
        };
        App::new(means, scene, Remembered::load())
    });
    opened.map_err(|error| miette!("{error}"))?;
    Ok(0)
}
