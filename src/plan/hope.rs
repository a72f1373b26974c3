//! Hope: what sun, machine and geometry decide in closed form, before anything is drawn. May not enter: what is seen.

use super::eyes::Post;
use super::instants::Instant;
use super::search::{Best, binding};
use crate::grade::measure::light::{ShadowLine, handrail_shadow_m};
use crate::grade::{Grade, MeasureId, Studio, Tally, Verdict};
use crate::sighting::closed_form::profile_angle_deg;
use crate::sighting::shown::{Shown, Side};
use glam::DVec3;
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, Ordering};

/// Measures that sun and machine alone decide, for one instant: the same for every eye on a side.
#[derive(Clone)]
pub struct SunLight {
    /// Where its shadows point, as [`ShadowLine`] has it.
    pub(super) shadow_deg: f64,
    /// Tally for the left and the right side.
    pub(super) sides: [Tally; 2],
}

/// Grades what closed form decides for every instant.
pub fn sun_light(studio: &Studio, instants: &[Instant]) -> Vec<SunLight> {
    let horizon = &studio.scene.place.horizon;
    let model = &studio.scene.machine.model;
    let book = studio.rulebook;
    let rails = model.handrail.is_some() && model.doors.is_some();
    instants
        .par_iter()
        .map(|instant| {
            let sun = &instant.sun;
            let toward = studio.frame.direction_to_machine(sun.toward());
            let sides = [Side::Left, Side::Right].map(|side| {
                let mut tally = Tally::new(book.faults.len());
                let mut add = |id: MeasureId, value: f64| {
                    if let Some(rule) = book.rule(id) {
                        tally.add(rule, value);
                    }
                };
                add(MeasureId::SunElevation, sun.elevation_deg);
                let hidden = horizon.hides(sun.azimuth_deg, sun.elevation_deg);
                add(MeasureId::SunBehindTerrain, f64::from(u8::from(hidden)));
                add(MeasureId::BeamStrength, studio.scene.sky.beam_strength());
                let shown = Shown { head: true, side };
                if rails {
                    if let Ok(value) = handrail_shadow_m(model, shown, toward) {
                        add(MeasureId::HandrailShadow, value);
                    }
                } else if let Some(angle) = profile_angle_deg(toward, side.sign()) {
                    add(MeasureId::ProfileAngle, angle);
                }
                tally
            });
            SunLight {
                shadow_deg: ShadowLine::shadow_deg(toward),
                sides,
            }
        })
        .collect()
}

/// What closed form does not lose beforehand: only these are drawn.
pub struct Hope {
    /// For each post, whether some instant could serve it.
    pub posts: Vec<bool>,
    /// For each instant, whether it could serve some post.
    pub instants: Vec<bool>,
}

/// Which pairs of post and instant closed form loses; what has no other pair is not worth drawing.
pub fn hope(studio: &Studio, posts: &[Post], light: &[SunLight]) -> Hope {
    let model = &studio.scene.machine.model;
    let rule = studio.rulebook.rule(MeasureId::ShadowLine);
    let instants: Vec<AtomicBool> = light.iter().map(|_| AtomicBool::new(false)).collect();
    let alive = |tally: &Tally| tally.verdict() > Verdict::Lost;
    // Most of the year's suns are too high, too low or behind a side: told once for all eyes on it.
    let lit_sides = [0, 1].map(|side| -> Vec<usize> {
        let all = 0..light.len();
        all.filter(|k| alive(&light[*k].sides[side])).collect()
    });
    let of_post = |post: &Post| {
        let side = usize::from(post.shown.side == Side::Right);
        let (mut sun, mut whole) = (Tally::default(), Tally::default());
        let line = ShadowLine::of(model, post.eye, DVec3::X);
        let mut any = false;
        for k in &lit_sides[side] {
            let (light, instant) = (&light[*k], &instants[*k]);
            if any && instant.load(Ordering::Relaxed) {
                continue;
            }
            let line_deg = line.under(light.shadow_deg).off_deg().abs();
            if rule.is_some_and(|rule| rule.penalty(line_deg).0 == Grade::Ruinous) {
                continue;
            }
            sun.clone_from(&light.sides[side]);
            if let Some(rule) = rule {
                sun.add(rule, line_deg);
            }
            let hopeful = alive(&sun)
                && post.framings.iter().any(|framing| {
                    whole.clone_from(&framing.tally);
                    join(&mut whole, &sun);
                    alive(&whole)
                });
            if hopeful {
                any = true;
                instant.store(true, Ordering::Relaxed);
            }
        }
        any
    };
    Hope {
        posts: posts.par_iter().map(of_post).collect(),
        instants: instants.into_iter().map(AtomicBool::into_inner).collect(),
    }
}

/// Puts one tally's faults into another's: the worse grade, the larger penalty.
pub(super) fn join(into: &mut Tally, other: &Tally) {
    for (fault, other) in into.faults.iter_mut().zip(&other.faults) {
        *fault = (fault.0.max(other.0), fault.1.max(other.1));
    }
    into.headroom = into.headroom.min(other.headroom);
    into.unknown |= other.unknown;
}

/// For each instant and side (left, right) the best that closed form lets hope of: no stand gives more, and what
/// binds there is what no stand escapes.
pub fn bounds(studio: &Studio, posts: &[Post], light: &[SunLight]) -> Vec<[Best; 2]> {
    let model = &studio.scene.machine.model;
    let rule = studio.rulebook.rule(MeasureId::ShadowLine);
    let lines: Vec<ShadowLine> = (posts.iter())
        .map(|post| ShadowLine::of(model, post.eye, DVec3::X))
        .collect();
    let of_instant = |light: &SunLight| {
        let mut best = [Best::NONE; 2];
        let (mut sun, mut whole) = (Tally::default(), Tally::default());
        for (post, line) in posts.iter().zip(&lines) {
            let side = usize::from(post.shown.side == Side::Right);
            sun.clone_from(&light.sides[side]);
            if let Some(rule) = rule {
                sun.add(rule, line.under(light.shadow_deg).off_deg().abs());
            }
            for framing in &post.framings {
                whole.clone_from(&framing.tally);
                join(&mut whole, &sun);
                best[side] = best[side].or(Best {
                    verdict: whole.verdict(),
                    score: whole.score(),
                    binding: binding(&whole),
                });
            }
        }
        best
    };
    light.par_iter().map(of_instant).collect()
}
