//! Draws one scene's frame on the graphics adapter and prints what each step takes: moving (always 480 and 640 pixels
//! wide), live, still, and a still in steps. Carried to another machine as a binary, it times that machine. May not
//! enter: grades.

use std::error::Error;
use std::path::Path;
use std::time::Instant;
use sunside::grade::{Rulebook, Studio};
use sunside::picture::lit::{Lit, Options, Quality};
use sunside::picture::{Light, plain, png};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::view::View;

/// Runs of which the fastest counts: others may want the machine meanwhile.
const RUNS: usize = 5;
/// The same of what takes little.
const MANY: usize = 40;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [scene, width, rest @ ..] = arguments.as_slice() else {
        return Err("wanted: SCENE WIDTH [STILL.png [MOVING.png]]".into());
    };
    let scene = Scene::load(Path::new(scene))
        .map_err(|_| "the scene cannot be read: see `sunside check`")?;
    let at = scene
        .frame
        .at
        .ok_or("the scene names no time for its frame")?;
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let view = plain::view_of(&studio.camera(&studio.default_stand()), width.parse()?);
    let light = Light::at(&studio.scene, at);
    let other = Light::at(&studio.scene, at + chrono::TimeDelta::minutes(1));
    let start = Instant::now();
    let mut lit = Lit::open()?;
    let open_ms = ms(start);
    println!("{}: opened in {open_ms:.0} ms", lit.gpu().name);
    let start = Instant::now();
    let stage = lit.prepare(&cpu, &studio.stage)?;
    lit.gpu().wait()?;
    println!("stage prepared in {:.0} ms", ms(start));
    lit.set_stage(&stage);
    let of_width = |width| plain::view_of(&studio.camera(&studio.default_stand()), width);
    for (quality, view) in [
        (Quality::Moving, &of_width(480)),
        (Quality::Moving, &of_width(640)),
        (Quality::Live, &view),
        (Quality::Still, &view),
        (Quality::Fine, &view),
    ] {
        let options = Options {
            quality,
            exposed_for_lx: plain::exposed_for_lx(&light),
            largest_tile: 4096,
        };
        let mut best = [f64::INFINITY; 3];
        let runs = if quality == Quality::Moving {
            MANY
        } else {
            RUNS
        };
        for _ in 0..runs {
            // What lies there already would not be drawn again.
            lit.set_stage(&stage);
            lit.set_light(&other, quality)?;
            lit.gpu().wait()?;
            let start = Instant::now();
            lit.set_light(&light, quality)?;
            lit.gpu().wait()?;
            best[0] = best[0].min(ms(start));
            let start = Instant::now();
            lit.show(view, &options)?;
            lit.gpu().wait()?;
            best[1] = best[1].min(ms(start));
            let start = Instant::now();
            let picture = lit.draw(view, &options)?;
            best[2] = best[2].min(ms(start));
            let path = match quality {
                Quality::Still => rest.first(),
                Quality::Moving => rest.get(1),
                _ => None,
            };
            if let Some(path) = path {
                std::fs::write(path, png::encode(&picture, &studio.scene.name, ""))?;
            }
        }
        let [maps, picture, with_bytes] = best;
        println!(
            "{quality:?} {}x{}: sun maps {}² x 3 {maps:.1} ms, picture {picture:.1} ms, with its bytes back \
             {with_bytes:.1} ms",
            view.width,
            view.height,
            quality.sun_texels(),
        );
    }
    in_steps(&mut lit, &view, [&other, &light])
}

/// A still in steps: how many there are, and the longest, first of all kinds, then of those that draw no sun map.
fn in_steps(lit: &mut Lit, view: &View, lights: [&Light; 2]) -> Result<(), Box<dyn Error>> {
    for round in 0..RUNS {
        let light = lights[round % 2];
        let options = Options {
            quality: Quality::Still,
            exposed_for_lx: plain::exposed_for_lx(light),
            largest_tile: 4096,
        };
        let (start, mut steps) = (Instant::now(), vec![]);
        let mut still = lit.begin_still(view, light, &options)?;
        loop {
            let start = Instant::now();
            let finished = still.step(lit)?;
            steps.push(ms(start));
            if finished {
                break;
            }
        }
        let longest = |steps: &[f64]| steps.iter().copied().fold(0.0, f64::max);
        println!(
            "still in {} steps: longest {:.1} ms, of the three maps {:.1} ms, all {:.0} ms",
            steps.len(),
            longest(&steps[3..]),
            longest(&steps[..3]),
            ms(start),
        );
    }
    Ok(())
}

fn ms(since: Instant) -> f64 {
    since.elapsed().as_secs_f64() * 1e3
}
