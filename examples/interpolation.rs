//! How far the search's lit shares, interpolated between suns of the grid, lie from those of the very suns, each drawn
//! directly, at the search's own size: `interpolation SCENE [EVERY_MIN [SPACING_M [SUNS]]]` prints a table over a year.
//! May not enter: what the search makes of it.

use chrono::NaiveDate;
use rayon::prelude::*;
use std::path::Path;
use std::sync::atomic::AtomicBool;
use sunside::grade::{Rulebook, Studio};
use sunside::plan::eyes::{draw, posts};
use sunside::plan::hope::{hope, sun_light};
use sunside::plan::instants::{Instant, instants};
use sunside::plan::probe::probe;
use sunside::plan::request::Watch;
use sunside::plan::search::{foreign, mix, node_shares};
use sunside::plan::spots::spots;
use sunside::plan::suns::{Node, Nodes, Probe, Suns};
use sunside::plan::survey::keep;
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

const BATCH: usize = 256;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |k: usize, other: f64| match arguments.get(k) {
        Some(text) => text.parse().unwrap(),
        None => other,
    };
    let scene = Scene::load(Path::new(&arguments[0])).unwrap();
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &book, &cpu, None);
    let watch = Watch {
        cancel: &AtomicBool::new(false),
        told: &|_, _| {},
    };
    let spots = spots(&studio, number(2, 1.0));
    let mut posts = posts(&studio, &spots, &studio.scene.kit.lenses_mm, false);
    let date = |month: u32, day: u32| NaiveDate::from_ymd_opt(2027, month, day).unwrap();
    let every_min = number(1, 10.0) as u32;
    let mut all = instants(
        &studio.scene.place,
        date(1, 1),
        date(12, 31),
        every_min,
        0.0,
    );
    let hope = hope(&studio, &posts, &sun_light(&studio, &all));
    keep(&mut posts, &hope.posts);
    keep(&mut all, &hope.instants);
    let eyes = draw(&studio, posts, BATCH, &watch).unwrap();
    let mut shown: Vec<_> = eyes.iter().map(|eye| eye.post.shown).collect();
    shown.sort_unstable();
    shown.dedup();
    // By the golden section, so that no hour and no season is preferred.
    let wanted = (number(3, 400.0) as usize).min(all.len());
    let turn = |k: usize| ((k as f64 * 0.618_033_988_75).fract() * all.len() as f64) as usize;
    let chosen: Vec<usize> = (0..wanted).map(turn).collect();
    let some: Vec<Instant> = chosen.iter().map(|k| all[*k]).collect();
    let drawn = |instants: &[Instant], nodes: Nodes| {
        Suns::draw(&studio, instants, &shown, nodes, BATCH, &watch).unwrap()
    };
    let exact = drawn(&some, Nodes::Own);
    println!(
        "{}: {} instants, {} eyes, {wanted} suns drawn directly",
        studio.scene.name,
        all.len(),
        eyes.len()
    );
    println!("| grid | suns | part | median | 90 % | 99 % | worst |");
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    let probed = probe(&studio, &eyes);
    let straight = |_: &Node, _: &[u8], _: &[u8]| vec![0.0];
    let grids: [(&str, &Probe); 2] = [("2°", &straight), ("2°, finer where it bends", &probed)];
    for (name, probe) in grids {
        let suns = drawn(&all, Nodes::Grid(probe));
        let of_eye = |eye| {
            let at_nodes = node_shares(&studio, eye, &suns);
            let at_suns = node_shares(&studio, eye, &exact);
            let mut errors = vec![Vec::new(); PARTS.len()];
            for (k, exact) in chosen.iter().zip(&at_suns) {
                let mixed = mix(&at_nodes, &suns.corners[*k]);
                for (part, errors) in errors.iter_mut().enumerate() {
                    let [row, with_all] = [part % 4, part / 4];
                    let [one, other] = [&mixed, exact].map(|shares| match with_all {
                        0 => shares.lit_alone[row],
                        _ => shares.lit[row],
                    });
                    if exact.weight[row] > 0.0 {
                        errors.push((one - other).abs() / exact.weight[row]);
                    }
                }
            }
            errors
        };
        let errors: Vec<Vec<Vec<f64>>> = eyes.par_iter().map(of_eye).collect();
        let count = suns.nodes.len();
        for (part, what) in PARTS
            .iter()
            .enumerate()
            .filter(|(_, what)| !what.is_empty())
        {
            let errors = errors.iter().flat_map(|parts| parts[part].iter().copied());
            tell(&format!("| {name} | {count} | {what}"), errors.collect());
        }
        let foreign_of = |(n, k): (usize, &usize)| {
            let exact = exact.nodes[n].foreign.iter();
            let found = exact.enumerate().map(|(slot, exact)| {
                let (area, core) = foreign(&suns, &suns.corners[*k], slot);
                ((area - exact.0).abs(), core != exact.1)
            });
            found.collect::<Vec<_>>()
        };
        let shadows: Vec<(f64, bool)> = chosen.iter().enumerate().flat_map(foreign_of).collect();
        let areas = shadows.iter().map(|(area, _)| *area);
        tell(
            &format!("| {name} | {count} | other shadows, m²"),
            areas.collect(),
        );
        let wrong = shadows.iter().filter(|(_, wrong)| *wrong).count();
        println!("{name}: {wrong} of {} cores told wrong", shadows.len());
    }
}

/// Parts by the row of their shares, alone and with everything; what the search does not ask has no name.
const PARTS: [&str; 8] = [
    "nose",
    "side",
    "running gear",
    "",
    "",
    "",
    "running gear, all shadows",
    "lettering, all shadows",
];

fn tell(what: &str, mut all: Vec<f64>) {
    all.sort_by(f64::total_cmp);
    let at = |share: f64| all[((all.len() - 1) as f64 * share) as usize];
    let [median, nine, most, worst] = [0.5, 0.9, 0.99, 1.0].map(at);
    println!("{what} | {median:.4} | {nine:.4} | {most:.4} | {worst:.3} |");
}
