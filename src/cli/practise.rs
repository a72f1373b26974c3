//! `sunside practise`: trains the eye in the window; tells, exports or erases what is kept. May not enter: what a drill
//! asks.

use super::args::PractiseArgs;
use crate::gpu::choice::Choice;
use crate::practise::store::Store;
use crate::practise::{tutor, words};
use crate::rehearsal::gallery::shipped;
use crate::rehearsal::remembered::Remembered;
use crate::units::Units;
use crate::window::app::{App, Means};
use crate::window::practising::{Practice, WIDTH_PX};
use crate::window::{shell, theme};
use miette::miette;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

/// Does what is asked; returns when the window is closed.
pub fn run(args: &PractiseArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    let store = Store::usual();
    let rulebook = super::load_rulebook(args.judged.rules.as_deref())?;
    let kept = store.file().map(Path::to_path_buf);
    let inputs: Vec<PathBuf> = kept.into_iter().chain(args.judged.rules.clone()).collect();
    super::files::hold_apart_from(&inputs, &[("--export", args.export.as_deref())])?;
    let tells = args.progress || args.erase || args.export.is_some();
    if args.progress {
        let (progress, told) = store.load();
        say(&words::progress(&rulebook, &progress, Units::Metric));
        if let Some(told) = told {
            return Err(miette!("{told}"));
        }
    }
    if let Some(to) = &args.export {
        if to == Path::new("-") {
            let (text, _, told) = store.exported().map_err(|why| miette!("{why}"))?;
            say(&text);
            told.iter().for_each(|why| super::note(&format!("{why}\n")));
        } else {
            let told = store.export(to).map_err(|why| miette!("{why}"))?;
            say(&format!("{told}\n"));
        }
    }
    if args.erase {
        let told = store.erase().map_err(|why| miette!("{why}"))?;
        say(&format!("{told}\n"));
    }
    if tells {
        return Ok(0);
    }
    // Every problem of a scene that was named comes at once, before a window opens; those that ship are left out
    // where they are broken.
    for scene in &args.scenes {
        super::load_scene(scene)?;
    }
    let scenes = match args.scenes.is_empty() {
        true => shipped(),
        false => args.scenes.clone(),
    };
    if scenes.is_empty() {
        return Err(miette!(
            "no scenes lie in a folder \"scenes\" here: name a scene file"
        ));
    }
    // What background work reads lives as long as the program.
    let rulebook = Box::leak(Box::new(rulebook));
    let drawing = Box::leak(Box::new(args.judged.rasterized.open()?));
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let context = egui::Context::default();
    theme::dress(&context);
    let opened = shell::run(&context, |waker| {
        let means = Means {
            rulebook,
            rasterizer: drawing.rasterizer(),
            waker,
            today: SystemTime::now().into(),
        };
        let practice = Practice {
            means: tutor::Means {
                scenes,
                rulebook,
                rasterizer: means.rasterizer,
                painter: Choice::Auto,
                width_px: WIDTH_PX,
                seed: args
                    .seed
                    .unwrap_or(since.map_or(0, |since| since.as_secs())),
                today: means.today,
            },
            drill: args.drill.map(|drill| drill.drill()),
            rounds: args.rounds,
            store,
        };
        App::practising(means, practice, Remembered::load())
    });
    opened.map_err(|error| miette!("{error}"))?;
    Ok(0)
}
