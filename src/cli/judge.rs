//! `sunside judge`: photographs, their sheets, a table of many. May not enter: formulas.

use super::frame_args::JudgeArgs;
use super::{color, drawn_by, files};
use crate::document::{render, write_whole};
use crate::grade::{Studio, Verdict};
use crate::judge::keeping::marks_beside;
use crate::judge::marks;
use crate::judge::photo::Photo;
use crate::judge::take::{Take, take};
use crate::rehearsal::opening::Begin;
use crate::report::judged;
use crate::scene::edit::{Keep, Original};
use crate::scene::machine::HeadEnd;
use image::ImageFormat;
use miette::miette;
use serde_json::json;
use std::io::Cursor;
use std::path::Path;

/// Judges the photographs; returns the exit status: 0 where the best is fair or better, 1 where it is not or some were
/// skipped.
pub fn run(args: &JudgeArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    let alone = args.photos.len() == 1;
    let wants_one = [
        ("--marks", args.marks.is_some()),
        ("--overlay", args.overlay.is_some()),
        ("--save-as", args.save_as.is_some()),
    ];
    if let Some((option, _)) = wants_one.iter().find(|(_, wanted)| *wanted && !alone) {
        return Err(miette!(
            "{option} goes with one photograph, {} were given",
            args.photos.len()
        ));
    }
    hold_apart(args)?;
    if args.mark {
        let begin = Begin {
            head_end: args.led.asked(),
            photographs: args.photos.clone(),
            marks: args.marks.clone(),
            ..Begin::default()
        };
        return super::rehearse::show(Some((&args.scene, begin)), &args.judged);
    }
    let (original, scene) = Original::load(&args.scene).map_err(super::told)?;
    let rulebook = super::load_rulebook(args.judged.rules.as_deref())?;
    let head_end = args.led.of(&scene);
    if head_end == HeadEnd::Unknown {
        return Err(miette!(
            "the scene does not know which end leads: say it with --head-end"
        ));
    }
    let drawing = args.judged.rasterized.open()?;
    let scene = scene.with_head_end(head_end);
    let studio = Studio::new(scene, &rulebook, drawing.rasterizer(), None);
    let (mut takes, mut skipped) = (Vec::new(), Vec::new());
    for path in &args.photos {
        match judge(&studio, path, args.marks.as_deref()) {
            Ok(judged) => takes.push(judged),
            Err(why) => skipped.push(why),
        }
    }
    takes.sort_by(|(_, a), (_, b)| b.sheet.rank(&a.sheet));
    let mut text: String = (takes.iter())
        .map(|(photo, take)| judged::text(&studio, photo, take) + "\n")
        .collect();
    match (alone, skipped.first()) {
        (true, Some(why)) => return Err(miette!("{why}")),
        (true, None) => {}
        (false, _) => text += &judged::table(&takes, &skipped),
    }
    let data = || {
        let all = takes.iter().map(|(photo, take)| judged::data(photo, take));
        json!({ "photos": all.collect::<Vec<_>>(), "skipped": skipped })
    };
    super::tell(&text, args.json.as_deref(), data, say)?;
    if let Some((photo, take)) = takes.first() {
        if let Some(path) = &args.overlay {
            let mut bytes = Vec::new();
            let picture = judged::overlay(&studio, photo, take);
            picture
                .write_to(&mut Cursor::new(&mut bytes), ImageFormat::Png)
                .map_err(|e| miette!("{e}"))?;
            write_whole(path, &bytes).map_err(|e| miette!("{e}"))?;
        }
        if let Some(path) = &args.save_as {
            save(&original, &studio, take, path)?;
        }
    }
    drawn_by::say_who_drew(&drawing);
    let best = takes.first().map(|(_, take)| take.sheet.verdict);
    let serves = best.is_some_and(|verdict| verdict >= Verdict::Fair) && skipped.is_empty();
    Ok(u8::from(!serves))
}

/// Nothing that is read is written over: neither the scene's files nor a photograph.
fn hold_apart(args: &JudgeArgs) -> Result<(), miette::Report> {
    let outputs = [
        ("--json", args.json.as_deref()),
        ("--overlay", args.overlay.as_deref()),
        ("--save-as", args.save_as.as_deref()),
    ];
    files::hold_apart(&args.scene, args.judged.rules.as_deref(), &outputs)?;
    let same = |a: &Path, b: &Path| {
        a == b
            || a.canonicalize()
                .ok()
                .is_some_and(|a| b.canonicalize().ok() == Some(a))
    };
    for photo in &args.photos {
        let marks = args.marks.clone().unwrap_or_else(|| marks_beside(photo));
        for (option, path) in outputs {
            if path.is_some_and(|path| same(path, photo) || same(path, &marks)) {
                return Err(miette!("{option} would write over {}", photo.display()));
            }
        }
    }
    Ok(())
}

fn judge(studio: &Studio, path: &Path, marks: Option<&Path>) -> Result<(Photo, Take), String> {
    let photo = Photo::open(path)?;
    let marks = marks.map_or_else(|| marks_beside(path), Path::to_path_buf);
    let scene = &studio.scene;
    let given = marks::load(&marks, &scene.machine.shut, &scene.place.zone)
        .map_err(|problems| render(&problems, color()).trim_end().to_string())?;
    let judged = take(studio, &photo, &given);
    let judged = judged.map_err(|why| format!("{}: {why}", path.display()))?;
    Ok((photo, judged))
}

/// "I stood here": the stand as the frame of a copy of the scene.
fn save(
    original: &Original,
    studio: &Studio,
    take: &Take,
    path: &Path,
) -> Result<(), miette::Report> {
    let mut wanted = studio.scene.clone();
    wanted.frame = take.frame(studio);
    let saved = original.save_as(path, &wanted, Keep::Frame, false);
    saved.map(|_| ()).map_err(|e| miette!("{e}"))
}
