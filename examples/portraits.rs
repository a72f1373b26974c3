//! One sheet of portraits: each shipped machine on the open siding, at the siding's own minute, from as many
//! of its lengths away: `cargo run --release --example portraits OUT.png`. May not enter: verdicts of its own.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use sunside::document::{Document, write_whole};
use sunside::gpu::choice::Choice;
use sunside::grade::{Rulebook, Studio};
use sunside::picture::painter::Painter;
use sunside::picture::png;
use sunside::picture::predicted::predicted;
use sunside::picture::sheet::{Mount, Sheet};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

const SITE: &str = "scenes/open_siding.toml";
const MODEL: &str = "../models/hood_six_axle.toml";
const MODELS: [&str; 4] = [
    "hood_six_axle",
    "road_switcher",
    "end_cab_switcher",
    "carbody_unit",
];
/// Width of each frame, pixels.
const FRAME_PX: usize = 900;

fn main() -> ExitCode {
    let Some(out) = std::env::args_os().nth(1) else {
        eprintln!("a PNG's name is wanted");
        return ExitCode::from(2);
    };
    match sheet().and_then(|sheet| {
        let png = png::encode(&sheet.drawn(), &sheet.title, "");
        write_whole(&PathBuf::from(out), &png).map_err(|error| error.to_string())
    }) {
        Ok(()) => ExitCode::SUCCESS,
        Err(told) => {
            eprintln!("{told}");
            ExitCode::from(2)
        }
    }
}

/// The siding with another machine on it, seen from as many of its lengths away as the siding's own.
fn with_machine(text: &str, model: &str) -> Result<Scene, String> {
    let read = |text: &str| {
        let document = Document::parse(SITE, text.as_bytes());
        Scene::read(document, Path::new(SITE)).map_err(|problems| problems.to_string())
    };
    let own = read(text)?;
    let mut scene = read(&text.replace(MODEL, &format!("../models/{model}.toml")))?;
    let length_m = |scene: &Scene| scene.machine.model.length_over_couplers_m();
    let centre_m = scene.machine.centre_m;
    let back_m = own.frame.spot_m - centre_m;
    scene.frame.spot_m = centre_m + back_m * (length_m(&scene) / length_m(&own));
    Ok(scene)
}

fn sheet() -> Result<Sheet, String> {
    let text = std::fs::read_to_string(SITE).map_err(|error| format!("{SITE}: {error}"))?;
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let painter = Painter::open(Choice::Auto).map_err(|error| error.to_string())?;
    let mut mounts = Vec::new();
    for model in MODELS {
        let scene = with_machine(&text, model)?;
        let at = scene.frame.at.ok_or("the siding names no minute")?;
        let studio = Studio::new(scene, &rulebook, &cpu, None);
        let (stand, machine) = (studio.default_stand(), &studio.scene.machine);
        let graded = studio.grade(&stand, &studio.default_capture(), &studio.minute(at));
        let settings = graded.advice.as_ref();
        let settings = settings.map(|advice| (advice.aperture.value, advice.shutter.value));
        let painted = predicted(&painter, &studio, &stand, at, settings, FRAME_PX);
        if let Some(flaw) = painted.flaw {
            eprintln!("{flaw}");
        }
        let may_stand = studio.scene.may_stand(&studio.obstacles, stand.spot_m);
        let worst = graded.sheet.findings.first();
        mounts.push(Mount {
            frame: painted.picture.into(),
            left: machine.model.name.clone(),
            right: format!("{} mm", stand.lens_mm),
            figures: format!("{:.1} m back", stand.spot_m.distance(machine.centre_m)),
            verdict: Some(graded.sheet.verdict),
            open: None,
            at_best: false,
            worst: worst.map_or("Nothing to say against it".into(), |one| {
                one.sentence.clone()
            }),
            ground: may_stand
                .map(|area| format!("From the {}", area.name))
                .map_err(|refusal| refusal.to_string()),
        });
    }
    Ok(Sheet {
        title: "Portraits of four machines".into(),
        subtitle: "Invented, all of them; on one siding, in the light of one minute".into(),
        mounts,
    })
}
