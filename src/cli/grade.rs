//! `sunside grade`: one frame, its sheet, its data, its picture. May not enter: formulas.

use super::args::GradeArgs;
use super::{drawn_by, files, stand};
use crate::document::write_whole;
use crate::grade::Studio;
use crate::report::frame::{Frame, hold_width};
use crate::report::ways;
use miette::miette;

/// Grades the frame that the arguments describe; returns the exit status. Where nobody knows which end
/// leads, both are graded, and the better one is the frame's.
pub fn run(args: &GradeArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    let outputs = [
        ("--json", args.json.as_deref()),
        ("--picture", args.picture.as_deref()),
    ];
    files::hold_apart(&args.scene, args.judged.rules.as_deref(), &outputs)?;
    let scene = super::load_scene(&args.scene)?;
    let rulebook = super::load_rulebook(args.judged.rules.as_deref())?;
    let at = stand::instant(&scene, args.time.at.as_deref())?;
    if args.picture.is_some() {
        hold_width(args.picture_width, &scene.kit.film)
            .map_err(|wrong| miette!("--picture-width: {wrong}"))?;
    }
    let drawing = args.judged.rasterized.open()?;
    // Opened first: where only an adapter will do, nothing is graded without one.
    let painter = args.painted.open(args.picture.is_some())?;
    let head_end = args.led.of(&scene);
    let studios = ways::studios(&scene, head_end, &rulebook, drawing.rasterizer());
    let frame = |studio| {
        let mut capture = Studio::default_capture(studio);
        capture.f_number = args.f_number.unwrap_or(capture.f_number);
        capture.exposure_s = args.exposure;
        Frame::of(studio, args.stand.of(studio), capture, at)
    };
    let mut frames: Vec<Frame> = studios.iter().map(frame).collect();
    let text = ways::text(&frames);
    ways::better_first(&mut frames);
    let best = &frames[0];
    super::tell(&text, args.json.as_deref(), || ways::data(&frames), say)?;
    if let Some((path, painter)) = args.picture.as_ref().zip(painter) {
        let painted = best.picture(&painter, args.picture_width);
        drawn_by::tell_flaw(painted.flaw.as_deref());
        write_whole(path, &best.png(&painted)).map_err(|e| miette!("{e}"))?;
    }
    drawn_by::say_who_drew(&drawing);
    Ok(u8::from(!best.serves()))
}
