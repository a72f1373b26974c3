//! `sunside export`: a scene, its camera and its sun for other renderers. May not enter: formulas.

use super::frame_args::ExportArgs;
use super::{files, stand};
use crate::document::write_whole;
use crate::export::{Container, Exposure, of_scene};
use crate::grade::{Rulebook, Studio};
use crate::report;
use crate::scene::machine::HeadEnd;
use crate::sighting::cpu::Cpu;
use crate::units::compass_word;
use miette::miette;

/// Writes the file; returns the exit status.
pub fn run(args: &ExportArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    files::hold_apart(&args.scene, None, &[("--gltf", Some(&args.gltf))])?;
    let scene = super::load_scene(&args.scene)?;
    let at = stand::instant(&scene, args.time.at.as_deref())?;
    let asked = args.led.of(&scene);
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene.with_head_end(asked), &rulebook, &cpu, None);
    let stand = args.stand.of(&studio);
    let graded = studio.grade(&stand, &studio.default_capture(), &studio.minute(at));
    let exposure = graded.advice.as_ref().map(|advice| Exposure {
        f_number: advice.aperture.value,
        exposure_s: advice.shutter.value,
    });
    let is_binary = args
        .gltf
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("glb"));
    let container = if is_binary {
        Container::Binary
    } else {
        Container::Embedded
    };
    let bytes = of_scene(&studio, &stand, at, exposure).bytes(container);
    write_whole(&args.gltf, &bytes).map_err(|e| miette!("{e}"))?;
    let mut text = format!("{} · {}\n", scene.name, scene.place.zone.local(at));
    text += &report::stand::line(&studio, &stand);
    text += &report::stand::refusal_line(&studio, &stand);
    if asked == HeadEnd::Unknown {
        let nose_deg = studio.scene.machine.forward_bearing_deg();
        let word = compass_word(nose_deg);
        text +=
            &format!("Nobody knows which end leads: it faces {word}; --head-end first turns it\n");
    }
    text += &format!(
        "Wrote {} ({} kB)\n",
        args.gltf.display(),
        bytes.len().div_ceil(1000)
    );
    say(&text);
    Ok(0)
}
