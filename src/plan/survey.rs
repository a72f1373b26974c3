//! A survey: one facing of the machine, all ground, lenses and instants, graded from the grid. May not
//! enter: proofs.

use super::eyes::{draw, posts};
use super::hope::{hope, sun_light};
use super::instants::{Instant, instants};
use super::probe::probe;
use super::request::{Cancelled, Request, Watch};
use super::search::{Best, Candidate, Found, search};
use super::spots::{first_look, spots};
use super::suns::{Nodes, Suns};
use crate::grade::{Studio, Verdict};
use crate::scene::place::Place;
use crate::sighting::shown::Side;
use rayon::prelude::*;

/// Eyes and suns that are drawn in one go: enough that neither many threads nor a GPU's batches wait long for the last of
/// them, few enough that a plan stops when it is asked to.
const BATCH: usize = 512;

/// What one facing allows.
pub struct Survey {
    /// Instants that closed form does not rule out.
    pub instants: Vec<Instant>,
    /// Stands and minutes worth proving, best first.
    pub candidates: Vec<Candidate>,
    /// Minutes at which some stand is good or better: left side shown, right side shown, either.
    pub good_min: [u32; 3],
    /// Minutes at which some stand is fair or better, likewise.
    pub fair_min: [u32; 3],
    /// For each instant and side (left, right) the best that any stand gives.
    pub best: Vec<[Best; 2]>,
    /// What was looked at.
    pub effort: Effort,
}

/// How much was looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Effort {
    /// Spots on allowed ground.
    pub spots: usize,
    /// Eyes from which the machine fits some lens.
    pub eyes: usize,
    /// Instants of daylight.
    pub instants: usize,
    /// Directions of the sun that were drawn.
    pub suns: usize,
    /// Pairs of stand (spot, height, lens) and instant that were asked about.
    pub asked: usize,
    /// Those of them that were graded from the grid; geometry and closed form lose the others.
    pub pairs: usize,
    /// Distinct stands that were proposed for proof.
    pub proposed: usize,
    /// Those of them that were not refined: closed form says that none of them could beat the last answer.
    pub passed: usize,
}

/// How thoroughly is looked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Wide ground is looked at in about so many spots; what lies between them the refinement finds.
    pub(super) most_spots: f64,
    /// Keeps what is lost beforehand.
    hopeless: bool,
}

impl Look {
    /// For answers.
    pub const ANSWERS: Look = Look {
        most_spots: 2000.0,
        hopeless: false,
    };
    /// For the least bad frame where every one is lost.
    pub const LEAST_BAD: Look = Look {
        hopeless: true,
        most_spots: 500.0,
    };
    /// For whether anything would do: a tenth of the cost, so that many changes can be tried.
    pub const TRY: Look = Look {
        hopeless: false,
        most_spots: 250.0,
    };
}

/// The instants of daylight that a request asks about: the same for every facing of the machine.
pub fn calendar(place: &Place, request: &Request) -> Vec<Instant> {
    instants(place, request.from, request.to, request.every_min, 0.0)
}

/// Surveys a studio's scene.
pub fn survey(
    studio: &Studio,
    request: &Request,
    look: Look,
    watch: &Watch,
) -> Result<Survey, Cancelled> {
    let calendar = calendar(&studio.scene.place, request);
    survey_over(studio, &calendar, request, look, watch)
}

/// Surveys it over instants that are known.
pub fn survey_over(
    studio: &Studio,
    calendar: &[Instant],
    request: &Request,
    look: Look,
    watch: &Watch,
) -> Result<Survey, Cancelled> {
    let lenses = match request.lenses_mm.is_empty() {
        true => &studio.scene.kit.lenses_mm,
        false => &request.lenses_mm,
    };
    let spots = match request.spacing_m.filter(|_| look != Look::TRY) {
        Some(spacing_m) => spots(studio, spacing_m),
        None => first_look(studio, look.most_spots),
    };
    watch.step("what geometry rules out", 0.02)?;
    let mut posts = posts(studio, &spots, lenses, look.hopeless);
    let mut instants = calendar.to_vec();
    let mut effort = Effort {
        spots: spots.len(),
        instants: instants.len(),
        asked: spots.len() * studio.scene.kit.heights_m.len() * lenses.len() * instants.len(),
        ..Effort::default()
    };
    let mut light = sun_light(studio, &instants);
    if !look.hopeless {
        let hope = hope(studio, &posts, &light);
        keep(&mut posts, &hope.posts);
        keep(&mut instants, &hope.instants);
        keep(&mut light, &hope.instants);
    }
    watch.step("looking from every allowed spot", 0.05)?;
    let eyes = draw(studio, posts, BATCH, watch)?;
    effort.eyes = eyes.len();
    let mut shown: Vec<_> = eyes.iter().map(|eye| eye.post.shown).collect();
    shown.sort_unstable();
    shown.dedup();
    // Coarse elevations, for other things' shadows from every sun.
    shown.par_iter().for_each(|shown| {
        studio.search_faces(*shown);
    });
    watch.step("looking from every sun", 0.3)?;
    let none = eyes.is_empty();
    let drawn = if none { &[] } else { &instants[..] };
    let probe = probe(studio, &eyes);
    let suns = Suns::draw(studio, drawn, &shown, Nodes::Grid(&probe), BATCH, watch)?;
    effort.suns = suns.nodes.len();
    watch.step("grading every stand at every minute", 0.7)?;
    let found: Found = if none {
        Found {
            candidates: vec![],
            best: vec![[Best::NONE; 2]; instants.len()],
            graded: 0,
        }
    } else {
        search(studio, &eyes, &instants, &light, &suns, watch)?
    };
    effort.pairs = found.graded;
    let minutes = |least: Verdict| {
        let count = |test: &dyn Fn(bool, bool) -> bool| {
            let serves = |best: &Best| best.verdict >= least;
            let instants = found.best.iter();
            let count = instants.filter(|[left, right]| test(serves(left), serves(right)));
            count.count() as u32 * request.every_min
        };
        [
            count(&|left, _| left),
            count(&|_, right| right),
            count(&|left, right| left || right),
        ]
    };
    Ok(Survey {
        good_min: minutes(Verdict::Good),
        fair_min: minutes(Verdict::Fair),
        instants,
        candidates: found.candidates,
        best: found.best,
        effort,
    })
}

/// Keeps what is flagged.
pub fn keep<T>(all: &mut Vec<T>, flags: &[bool]) {
    let mut flags = flags.iter();
    all.retain(|_| *flags.next().unwrap_or(&false));
}

impl Survey {
    /// The side with more good minutes, or with more fair ones.
    pub fn better_side(&self) -> Side {
        let of = |side: usize| (self.good_min[side], self.fair_min[side]);
        if of(1) > of(0) {
            Side::Right
        } else {
            Side::Left
        }
    }
}
