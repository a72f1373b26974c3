//! `sunside year`: what a whole year gives, as text, as data, as a picture. May not enter: formulas.

use super::args::YearArgs;
use super::watching::Watching;
use super::{drawn_by, files};
use crate::grade::Studio;
use crate::plan::year::{Asked, year};
use crate::report::year::Told;
use chrono::Datelike;
use miette::miette;

/// Surveys a year; returns the exit status.
pub fn run(args: &YearArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    let outputs = [
        ("--json", args.json.as_deref()),
        ("--picture", args.picture.as_deref()),
    ];
    files::hold_apart(&args.scene, args.judged.rules.as_deref(), &outputs)?;
    let scene = super::load_scene(&args.scene)?;
    let rulebook = super::load_rulebook(args.judged.rules.as_deref())?;
    let own = scene
        .frame
        .at
        .map(|at| scene.place.zone.local(at).naive.year());
    let asked = Asked {
        year: args.year.or(own).ok_or_else(|| {
            miette!("the scene names no time for its frame: give a year with --year 2027")
        })?,
        every_min: args.every,
        lenses_mm: args.lens.clone(),
    };
    let drawing = args.judged.rasterized.open()?;
    let studio = Studio::new(scene.clone(), &rulebook, drawing.rasterizer(), None);
    let watching = Watching::begin();
    let found = watching.over(|watch| year(&studio, &asked, watch));
    let found = found.map_err(|stopped| miette!("{stopped}"))?;
    let told = Told {
        scene: &scene,
        rulebook: &rulebook,
        year: &found,
    };
    super::tell(&told.text(), args.json.as_deref(), || told.data(), say)?;
    if let Some(path) = &args.picture {
        told.write_picture(path).map_err(|e| miette!("{e}"))?;
    }
    drawn_by::say_who_drew(&drawing);
    Ok(u8::from(!told.serves()))
}
