//! `sunside lenses`: the same machine through lens after lens, as a table, as data, as one picture. May not
//! enter: formulas.

use super::frame_args::LensesArgs;
use super::watching::Watching;
use super::{drawn_by, files, stand};
use crate::document::write_whole;
use crate::picture::png;
use crate::plan::ladder::{ladder, lenses_mm};
use crate::report::lenses::{Lenses, sheet};
use crate::report::ways;
use miette::miette;

/// Compares lenses; returns the exit status.
pub fn run(args: &LensesArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    let outputs = [
        ("--json", args.json.as_deref()),
        ("--picture", args.picture.as_deref()),
    ];
    files::hold_apart(&args.scene, args.judged.rules.as_deref(), &outputs)?;
    let scene = super::load_scene(&args.scene)?;
    let rulebook = super::load_rulebook(args.judged.rules.as_deref())?;
    let at = stand::instant(&scene, args.time.at.as_deref())?;
    let drawing = args.judged.rasterized.open()?;
    let painter = args.painted.open(args.picture.is_some())?;
    let watching = Watching::begin();
    let mut compared = Vec::new();
    let head_end = args.led.of(&scene);
    let studios = ways::studios(&scene, head_end, &rulebook, drawing.rasterizer());
    for studio in &studios {
        let minute = studio.minute(at);
        let lenses = lenses_mm(studio, &args.lens);
        let found = watching.over(|watch| ladder(studio, &minute, &lenses, watch));
        let found = found.map_err(|stopped| miette!("{stopped}"))?.ok_or_else(|| {
            miette!("the scene's own frame does not hold the machine before the camera: nothing to compare with")
        })?;
        compared.push(Lenses {
            studio,
            minute,
            ladder: found,
        });
    }
    let facing_known = compared.len() == 1;
    let text = ways::text(&compared);
    ways::better_first(&mut compared);
    super::tell(&text, args.json.as_deref(), || ways::data(&compared), say)?;
    if let Some((path, painter)) = args.picture.as_ref().zip(painter) {
        let picture = watching.over(|watch| {
            let tell_flaw = |flaw: &str| drawn_by::tell_flaw(Some(flaw));
            sheet(&painter, &compared[0], facing_known, &tell_flaw, watch)
        });
        let picture = picture.map_err(|stopped| miette!("{stopped}"))?;
        let png = png::encode(&picture.drawn(), &scene.name, &at.to_rfc3339());
        write_whole(path, &png).map_err(|e| miette!("{e}"))?;
    }
    drawn_by::say_who_drew(&drawing);
    Ok(u8::from(!compared.iter().any(Lenses::serves)))
}
