//! Draws one frame with the graphics adapter and prints what each step took. May not enter: grades.

use std::path::Path;
use std::time::Instant;
use sunside::grade::{Rulebook, Studio};
use sunside::picture::lit::{Lit, Options, Quality};
use sunside::picture::{Light, plain, png};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [scene, at, width, out, ..] = arguments.as_slice() else {
        eprintln!("scene, local time (or \"-\"), width in pixels and a PNG's name are wanted");
        std::process::exit(2);
    };
    let scene = Scene::load(Path::new(scene)).expect("the scene is sound");
    let at = match at.as_str() {
        "-" => scene.frame.at.expect("the scene names a time"),
        text => scene.place.zone.parse_instant(text).expect("a local time"),
    };
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let view = plain::view_of(
        &studio.camera(&studio.default_stand()),
        width.parse().expect("a width"),
    );
    let light = Light::at(&studio.scene, at);
    let step = |what: &str, since: Instant| {
        println!("{what}: {:.0} ms", since.elapsed().as_secs_f64() * 1e3)
    };
    let start = Instant::now();
    let mut lit = Lit::open().expect("an adapter is there");
    step("open", start);
    println!("{}", lit.gpu().name);
    let start = Instant::now();
    let stage = lit.prepare(&cpu, &studio.stage).expect("the stage fits");
    lit.set_stage(&stage);
    lit.gpu().wait().expect("the device stays");
    step("prepare", start);
    let options = Options {
        quality: Quality::Still,
        exposed_for_lx: plain::exposed_for_lx(&light),
        largest_tile: 4096,
    };
    for _ in 0..2 {
        let start = Instant::now();
        lit.set_light(&light, options.quality)
            .expect("light is set");
        lit.gpu().wait().expect("the device stays");
        step("light", start);
        let start = Instant::now();
        let picture = lit.draw(&view, &options).expect("a picture is drawn");
        step("picture", start);
        std::fs::write(out, png::encode(&picture, "frame", "")).expect("the file can be written");
    }
}
