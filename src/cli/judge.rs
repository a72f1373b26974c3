//! `sunside judge`: photographs, their sheets, a table of many. May not enter: formulas.

use super::judge_args::JudgeArgs;
use super::{color, drawn_by, files};
use crate::document::{render, write_whole};
use crate::grade::{Studio, Verdict};
use crate::judge::keeping::marks_beside;
use crate::judge::marks::{self, Given};
use crate::judge::photo::Photo;
use crate::judge::take::{Take, take};
use crate::judge::unposed::Unposed;
use crate::picture::png;
use crate::picture::sheet::Mount;
use crate::rehearsal::opening::Begin;
use crate::report::judged::{self, Graded, Listed};
use crate::scene::edit::{Keep, Original, Unsaved};
use crate::scene::machine::HeadEnd;
use image::ImageFormat;
use miette::miette;
use serde_json::{Value, json};
use std::io::Cursor;
use std::path::{Path, PathBuf};

/// Judges the photographs; returns the exit status: 0 where the best of known light is fair or better, 1 where it is not, where
/// nobody knows any one's light, or some were skipped.
pub fn run(args: &JudgeArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    let (photos, again) = once(&args.photos);
    let alone = photos.len() == 1;
    let wants_one = [
        ("--marks", args.marks.is_some()),
        ("--at", args.shot.at.is_some()),
        ("--overlay", args.overlay.is_some()),
        ("--save-as", args.save_as.is_some()),
    ];
    if let Some((option, _)) = wants_one.iter().find(|(_, wanted)| *wanted && !alone) {
        return Err(miette!(
            "{option} goes with one photograph, {} were given",
            photos.len()
        ));
    }
    hold_apart(args)?;
    if args.mark {
        if let Some(path) = photos.iter().find(|path| !path.is_file()) {
            return Err(miette!("{}: there is no such file to mark", path.display()));
        }
        let begin = Begin {
            head_end: args.led.asked(),
            photographs: photos.into_iter().map(Path::to_path_buf).collect(),
            marks: args.marks.clone(),
            ..Begin::default()
        };
        return super::rehearse::show(Some((&args.scene, begin)), &args.judged);
    }
    let (original, scene) = Original::load(&args.scene).map_err(super::told)?;
    let given = args.shot.given(&scene.place.zone)?;
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
    let (mut all, mut skipped, mut only) = (Vec::new(), Vec::new(), None);
    for path in &photos {
        match judge(&studio, path, args.marks.as_deref(), &given) {
            Ok((photo, judged)) => {
                all.push(Entry::of(
                    &studio,
                    &photo,
                    &judged,
                    args.contact_sheet.is_some(),
                ));
                if let Judged::Posed(take) = judged {
                    only = alone.then_some((photo, take));
                }
            }
            Err(why) => skipped.push(why),
        }
    }
    if let (true, Some(why)) = (alone, skipped.first()) {
        return Err(miette!("{why}"));
    }
    // Those that were not judged keep their order at the end.
    all.sort_by(|a, b| match (&a.listed.graded, &b.listed.graded) {
        (Ok(a), Ok(b)) => b.rank(a),
        (a, b) => a.is_err().cmp(&b.is_err()),
    });
    let mut text: String = all.iter().map(|one| one.text.clone() + "\n").collect();
    if !alone {
        text += &judged::table(all.iter().map(|one| &one.listed), &skipped);
    }
    for path in again {
        text += &format!(
            "{} was named more than once, and judged once\n",
            path.display()
        );
    }
    let of_kind = |judged: bool| -> Vec<&Value> {
        let kind = all.iter().filter(|one| one.listed.graded.is_ok() == judged);
        kind.map(|one| &one.data).collect()
    };
    let data =
        || json!({ "photos": of_kind(true), "not_judged": of_kind(false), "skipped": skipped });
    super::tell(&text, args.json.as_deref(), data, say)?;
    let judged = all.iter().filter_map(|one| one.listed.graded.as_ref().ok());
    let judged: Vec<&Graded> = judged.collect();
    let whole = judged.len() == photos.len();
    // Ranked first by what is known: one whose light nobody knows may be lost for all that.
    let serves = (judged.first())
        .is_some_and(|best| best.knows_light && best.sheet.verdict >= Verdict::Fair);
    if let Some((photo, take)) = &only {
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
    } else if let Some(option) =
        (args.overlay.as_ref().map(|_| "--overlay")).or(args.save_as.as_ref().map(|_| "--save-as"))
    {
        return Err(miette!(
            "{option}: the photograph was not judged, nothing was written"
        ));
    }
    if let Some(path) = &args.contact_sheet {
        if all.is_empty() {
            return Err(miette!("--contact-sheet: there is no photograph to show"));
        }
        let unlit = all.iter().filter(|one| {
            let graded = one.listed.graded.as_ref();
            graded.is_ok_and(|graded| !graded.knows_light)
        });
        let unlit = unlit.count();
        let mounts = all.into_iter().filter_map(|one| one.mount).collect();
        let sheet = judged::contact_sheet(&studio, mounts, unlit, skipped.len());
        let png = png::encode(&sheet.drawn(), &studio.scene.name, "");
        write_whole(path, &png).map_err(|e| miette!("{e}"))?;
    }
    drawn_by::say_who_drew(&drawing);
    Ok(u8::from(!(serves && whole)))
}

/// What came of one photograph.
enum Judged {
    Posed(Box<Take>),
    Unposed(Box<Unposed>, String),
}

/// What is kept of one photograph when its pixels are let go: a folder of them would not fit in memory.
struct Entry {
    listed: Listed,
    text: String,
    data: Value,
    mount: Option<Mount>,
}

impl Entry {
    fn of(studio: &Studio, photo: &Photo, judged: &Judged, mounted: bool) -> Entry {
        let name = photo.name.clone();
        match judged {
            Judged::Posed(take) => Entry {
                text: judged::text(studio, photo, take),
                data: judged::data(photo, take),
                mount: mounted.then(|| judged::mount(studio, photo, take)),
                listed: Listed {
                    name,
                    graded: Ok(Graded::of(take)),
                },
            },
            Judged::Unposed(known, why) => Entry {
                text: judged::text_unposed(studio, photo, known, why),
                data: judged::data_unposed(photo, known, why),
                mount: mounted.then(|| judged::mount_unposed(studio, photo, known, why)),
                listed: Listed {
                    name,
                    graded: Err(why.clone()),
                },
            },
        }
    }
}

/// Whether two paths lead to one file.
fn same(a: &Path, b: &Path) -> bool {
    let real = |path: &Path| path.canonicalize().ok();
    a == b || real(a).is_some_and(|a| real(b) == Some(a))
}

/// Each photograph once, in the order of their first naming, and those that were named again.
fn once(named: &[PathBuf]) -> (Vec<&Path>, Vec<&Path>) {
    let (mut all, mut again): (Vec<&Path>, Vec<&Path>) = (Vec::new(), Vec::new());
    for path in named {
        match all.iter().find(|other| same(path, other)) {
            None => all.push(path),
            Some(first) if again.contains(first) => {}
            Some(first) => again.push(*first),
        }
    }
    (all, again)
}

/// Nothing that is read is written over: neither the scene's files nor a photograph.
fn hold_apart(args: &JudgeArgs) -> Result<(), miette::Report> {
    let outputs = [
        ("--json", args.json.as_deref()),
        ("--overlay", args.overlay.as_deref()),
        ("--contact-sheet", args.contact_sheet.as_deref()),
        ("--save-as", args.save_as.as_deref()),
    ];
    files::hold_apart(&args.scene, args.judged.rules.as_deref(), &outputs)?;
    for photo in &args.photos {
        let marks = args.marks.clone().unwrap_or_else(|| marks_beside(photo));
        for (option, path) in outputs {
            let over = [photo, &marks]
                .into_iter()
                .find(|read| path.is_some_and(|path| same(path, read)));
            if let Some(over) = over {
                return Err(miette!("{option} would write over {}", over.display()));
            }
        }
    }
    Ok(())
}

fn judge(
    studio: &Studio,
    path: &Path,
    marks: Option<&Path>,
    typed: &Given,
) -> Result<(Photo, Judged), String> {
    let photo = Photo::open(path)?;
    let beside = marks_beside(path);
    if marks.is_none() && !beside.exists() {
        let known = Box::new(Unposed::of(studio, &photo, typed));
        let why = format!(
            "no points are marked in it, so nobody knows where its camera stood ({} is not there)",
            beside.display()
        );
        return Ok((photo, Judged::Unposed(known, why)));
    }
    let scene = &studio.scene;
    let given = marks::load(
        marks.unwrap_or(&beside),
        &scene.machine.shut,
        &scene.place.zone,
    )
    .map_err(|problems| render(&problems, color()).trim_end().to_string())?;
    let given = given.with(typed.clone());
    let judged = match take(studio, &photo, &given) {
        Ok(take) => Judged::Posed(Box::new(take)),
        // What can be said without a pose is said all the same.
        Err(why) => Judged::Unposed(Box::new(Unposed::of(studio, &photo, &given)), why),
    };
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
    saved.map(|_| ()).map_err(|unsaved| match unsaved {
        Unsaved::Exists(path) => miette!("--save-as: {} exists; give another name", path.display()),
        unsaved => miette!("{unsaved}"),
    })
}
