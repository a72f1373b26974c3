//! The search: W·L proposes. Every eye, lens and instant is graded from the grid; the best are kept for
//! proof, and every instant learns the best verdict that any stand gives it. May not enter: proofs.

use super::eyes::SearchEye;
use super::hope::{SunLight, join};
use super::instants::Instant;
use super::request::{Cancelled, Watch};
use super::suns::{Corners, Suns};
use crate::grade::measure::light::{GROUND_ALBEDO, ShadowLine, Shares};
use crate::grade::{Grade, MeasureId, Stand, Studio, Tally, Verdict};
use crate::sighting::shown::Side;
use crate::sky::daylight::plane_illuminance_lx;
use glam::DVec3;
use rayon::prelude::*;

/// A stand and an instant that may be worth proving.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Where and how.
    pub stand: Stand,
    /// Index of its piece of ground.
    pub area: usize,
    /// The side shown.
    pub side: Side,
    /// Index of the instant.
    pub instant: usize,
    /// What the grid says of it.
    pub verdict: Verdict,
    /// Its score on the grid.
    pub score: f64,
}

/// The best that an instant gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Best {
    /// The verdict of its best stand.
    pub verdict: Verdict,
    /// That stand's score; below 0 where there is none.
    pub score: f64,
    /// The rulebook's faults that are as bad there as any, one bit each; none where all is clean.
    pub binding: u64,
}

impl Best {
    /// No stand at all.
    pub const NONE: Best = Best {
        verdict: Verdict::Lost,
        score: -1.0,
        binding: 0,
    };

    /// Whether one of the rulebook's faults is as bad there as any.
    pub fn is_bound_by(&self, fault: usize) -> bool {
        self.binding.unbounded_shr(fault as u32) & 1 == 1
    }

    /// The better of two; of equals this one.
    pub(super) fn or(self, other: Best) -> Best {
        if other.score > self.score {
            other
        } else {
            self
        }
    }
}

/// The faults that are as bad as any.
pub(super) fn binding(tally: &Tally) -> u64 {
    let grades = || tally.faults.iter().map(|fault| fault.0);
    let worst = grades().max().unwrap_or(Grade::Clean);
    let bits = grades().enumerate();
    let bits = bits.filter(|(_, grade)| *grade == worst && worst > Grade::Clean);
    bits.fold(0, |all, (fault, _)| all | 1u64.unbounded_shl(fault as u32))
}

/// What a search found.
pub struct Found {
    /// The best instant of each stand and half of the day, best first.
    pub candidates: Vec<Candidate>,
    /// For each instant and side (left, right) the best that any stand gives.
    pub best: Vec<[Best; 2]>,
    /// Pairs of stand and instant that were graded.
    pub graded: usize,
}

/// Grades every eye, lens and instant.
pub fn search(
    studio: &Studio,
    eyes: &[SearchEye],
    instants: &[Instant],
    light: &[SunLight],
    suns: &Suns,
    watch: &Watch,
) -> Result<Found, Cancelled> {
    let per_eye: Vec<(Vec<Candidate>, Vec<Best>, usize)> = eyes
        .par_iter()
        .map(|eye| match watch.alive() {
            Ok(()) => search_eye(studio, eye, instants, light, suns),
            Err(Cancelled) => (vec![], vec![], 0),
        })
        .collect();
    watch.alive()?;
    let mut found = Found {
        candidates: Vec::new(),
        best: vec![[Best::NONE; 2]; instants.len()],
        graded: 0,
    };
    for (eye, (candidates, best, graded)) in eyes.iter().zip(per_eye) {
        found.candidates.extend(candidates);
        found.graded += graded;
        let side = usize::from(eye.post.shown.side == Side::Right);
        for (slot, best) in found.best.iter_mut().zip(best) {
            slot[side] = slot[side].or(best);
        }
    }
    found.candidates.sort_by(|a, b| {
        b.score
            .total_cmp(&a.score)
            .then(a.instant.cmp(&b.instant))
            .then(a.stand.spot_m.x.total_cmp(&b.stand.spot_m.x))
            .then(a.stand.spot_m.y.total_cmp(&b.stand.spot_m.y))
            .then(a.stand.lens_mm.total_cmp(&b.stand.lens_mm))
            .then(a.stand.height_m.total_cmp(&b.stand.height_m))
    });
    Ok(found)
}

fn search_eye(
    studio: &Studio,
    eye: &SearchEye,
    instants: &[Instant],
    light: &[SunLight],
    suns: &Suns,
) -> (Vec<Candidate>, Vec<Best>, usize) {
    let shares = node_shares(studio, eye, suns);
    let side = usize::from(eye.post.shown.side == Side::Right);
    let slot = suns.shown.iter().position(|shown| *shown == eye.post.shown);
    let book = studio.rulebook;
    let model = &studio.scene.machine.model;
    let line = ShadowLine::of(model, eye.post.eye, DVec3::X);
    let mut best_at = vec![Best::NONE; instants.len()];
    // Best instant of each lens, before and after solar noon.
    let mut best: Vec<[Option<Candidate>; 2]> = vec![[None; 2]; eye.post.framings.len()];
    let mut tally = Tally::new(book.faults.len());
    let mut whole = tally.clone();
    let mut graded = 0;
    for (k, instant) in instants.iter().enumerate() {
        tally.clone_from(&light[k].sides[side]);
        let mut add = |id: MeasureId, value: f64| {
            if let Some(rule) = book.rule(id).filter(|_| !value.is_nan()) {
                tally.add(rule, value);
            }
        };
        add(
            MeasureId::ShadowLine,
            line.under(light[k].shadow_deg).off_deg().abs(),
        );
        mix(&shares, &suns.corners[k]).measures(&mut add);
        if let Some(slot) = slot {
            let (area, core) = foreign(suns, &suns.corners[k], slot);
            add(MeasureId::ForeignBody, area);
            add(MeasureId::ForeignCore, f64::from(u8::from(core)));
        }
        for (framing, best) in eye.post.framings.iter().zip(&mut best) {
            whole.clone_from(&framing.tally);
            join(&mut whole, &tally);
            graded += 1;
            let (verdict, score) = (whole.verdict(), whole.score());
            if score > best_at[k].score {
                best_at[k] = Best {
                    verdict,
                    score,
                    binding: binding(&whole),
                };
            }
            let half = usize::from(instant.sun.hour_angle_deg > 0.0);
            if best[half].is_none_or(|best| score > best.score) {
                best[half] = Some(Candidate {
                    stand: framing.stand,
                    area: eye.post.area,
                    side: eye.post.shown.side,
                    instant: k,
                    verdict,
                    score,
                });
            }
        }
    }
    (
        best.into_iter().flatten().flatten().collect(),
        best_at,
        graded,
    )
}

/// W·L for one eye: shares at every node.
pub fn node_shares(studio: &Studio, eye: &SearchEye, suns: &Suns) -> Vec<Shares> {
    let count = suns.nodes.len();
    let mut alone = vec![[0f32; 4]; count];
    let mut all = vec![[0f32; 4]; count];
    let mut cosine_lit = vec![[0f32; 2]; count];
    // Sky and bounce do not depend on what the sun sees: Σ w·openness and Σ w·(1 − n.z)/2.
    let (mut open, mut low) = ([0f64; 2], [0f64; 2]);
    let patches = &studio.stage.patches;
    for (patch, row, weight) in &eye.weights {
        let (n, row) = (*patch as usize, *row as usize);
        let normal = patches.normal[n];
        let lit = &suns.alone[n * count..(n + 1) * count];
        let with = &suns.all[n * count..(n + 1) * count];
        let scale = weight / 255.0;
        if row < 2 {
            open[row] += (*weight * studio.openness.sky[n]) as f64;
            low[row] += *weight as f64 * (1.0 - normal.z) / 2.0;
            let normal = normal.as_vec3();
            for k in 0..count {
                let share = lit[k] as f32 * scale;
                alone[k][row] += share;
                let cosine = normal.dot(suns.nodes[k].toward.as_vec3()).max(0.0);
                cosine_lit[k][row] += share * cosine;
            }
        } else {
            for k in 0..count {
                alone[k][row] += lit[k] as f32 * scale;
                all[k][row] += with[k] as f32 * scale;
            }
        }
    }
    (0..count)
        .map(|k| {
            let node = &suns.nodes[k];
            let lux = |row: usize| {
                // The sums stand in for one surface: direct light by Σ w·L·cos, the rest by their own means.
                let level = plane_illuminance_lx(
                    &node.daylight,
                    node.toward,
                    DVec3::NEG_Z,
                    0.0,
                    1.0,
                    GROUND_ALBEDO,
                );
                cosine_lit[k][row] as f64 * node.daylight.beam_normal_lx
                    + open[row] * level.sky
                    + low[row] * level.bounce
            };
            Shares {
                weight: eye.totals,
                lit_alone: alone[k].map(f64::from),
                lit: all[k].map(f64::from),
                lux: [lux(0), lux(1)],
            }
        })
        .collect()
}

/// Shares between the nodes.
pub fn mix(shares: &[Shares], corners: &Corners) -> Shares {
    let mut mixed = Shares {
        weight: shares[corners[0].0 as usize].weight,
        ..Shares::default()
    };
    for (node, weight) in corners {
        let (at, weight) = (&shares[*node as usize], *weight as f64);
        for row in 0..4 {
            mixed.lit_alone[row] += weight * at.lit_alone[row];
            mixed.lit[row] += weight * at.lit[row];
        }
        for row in 0..2 {
            mixed.lux[row] += weight * at.lux[row];
        }
    }
    mixed
}

/// Foreign shadow between the nodes: the mean area, and a core only where every corner has one, so that the
/// search errs toward hope.
pub fn foreign(suns: &Suns, corners: &Corners, slot: usize) -> (f64, bool) {
    let mut area = 0.0;
    let mut core = true;
    for (node, weight) in corners.iter().filter(|(_, weight)| *weight > 0.0) {
        let (at, cores) = suns.nodes[*node as usize].foreign[slot];
        area += at * *weight as f64;
        core &= cores;
    }
    (area, core)
}
