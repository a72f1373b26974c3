//! What the search reads between the suns of its grid, against suns that are drawn directly, one for each instant.
//! May not enter: which suns the grid has (`plan::sun_grid`).

use super::plan_site::{Site, request};
use std::sync::atomic::AtomicBool;
use sunside::grade::{Rulebook, Studio};
use sunside::plan::eyes::{draw, posts};
use sunside::plan::instants::instants;
use sunside::plan::probe::probe;
use sunside::plan::request::Watch;
use sunside::plan::search::{mix, node_shares};
use sunside::plan::spots::spots;
use sunside::plan::suns::{Nodes, Suns};
use sunside::sighting::cpu::Cpu;

/// Lit shares within 0.01 in the median and 0.03 at the 99th percentile, with a pole whose shadow walks along the side.
#[test]
fn lit_shares_between_suns_of_the_grid_are_those_of_the_very_suns() {
    let site = Site {
        more: "[[pole]]\nname = \"pole\"\nposition_m = [9.0, 2.0]\nheight_m = 9\ndiameter_m = 0.4",
        ..Site::default()
    };
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(site.scene(), &book, &cpu, None);
    let watch = Watch {
        cancel: &AtomicBool::new(false),
        told: &|_, _| {},
    };
    let posts = posts(&studio, &spots(&studio, 2.0), &[50.0], true);
    let eyes = draw(&studio, posts, 64, &watch).unwrap();
    assert!(!eyes.is_empty());
    let shown = [eyes[0].post.shown];
    let asked = request("2027-04-03", "2027-04-08", 4);
    let all = instants(
        &studio.scene.place,
        asked.from,
        asked.to,
        asked.every_min,
        8.0,
    );
    let probe = probe(&studio, &eyes);
    let suns = Suns::draw(&studio, &all, &shown, Nodes::Grid(&probe), 64, &watch).unwrap();
    assert!(
        suns.nodes.len() * 2 < all.len(),
        "{} of {}",
        suns.nodes.len(),
        all.len()
    );
    // The golden section of them prefers no hour.
    let turn = |k: usize| ((k as f64 * 0.618_034).fract() * all.len() as f64) as usize;
    let chosen: Vec<usize> = (0..60).map(turn).collect();
    let some: Vec<_> = chosen.iter().map(|k| all[*k]).collect();
    let exact = Suns::draw(&studio, &some, &shown, Nodes::Own, 64, &watch).unwrap();
    let mut errors = Vec::new();
    for eye in &eyes {
        let at_nodes = node_shares(&studio, eye, &suns);
        for (k, exact) in chosen.iter().zip(node_shares(&studio, eye, &exact)) {
            let mixed = mix(&at_nodes, &suns.corners[*k]);
            for row in (0..3).filter(|row| exact.weight[*row] > 0.0) {
                let pairs = [
                    (mixed.lit_alone[row], exact.lit_alone[row]),
                    (mixed.lit[row], exact.lit[row]),
                ];
                // Of nose and side the search asks nothing with everything.
                let pairs = pairs.into_iter().take(if row < 2 { 1 } else { 2 });
                errors.extend(pairs.map(|(a, b)| (a - b).abs() / exact.weight[row]));
            }
        }
    }
    errors.sort_by(f64::total_cmp);
    let at = |share: f64| errors[(errors.len() as f64 * share) as usize];
    assert!(
        at(0.5) < 0.01 && at(0.99) < 0.03,
        "{} {}",
        at(0.5),
        at(0.99)
    );
}
