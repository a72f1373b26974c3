//! One facing through the year: W is drawn once, the suns of each week when it is asked for. May not enter: the other
//! facing.

use super::{Half, WeekOfYear, Won};
use crate::grade::{Studio, Verdict};
use crate::plan::eyes::{Post, SearchEye, draw, posts};
use crate::plan::hope::{SunLight, bounds, hope, sun_light};
use crate::plan::instants::{Instant, instants};
use crate::plan::request::{Cancelled, Watch};
use crate::plan::search::{Best, Candidate, search};
use crate::plan::spots::first_look;
use crate::plan::suns::{Nodes, Suns};
use crate::plan::survey::{Look, keep};
use crate::sighting::shown::Shown;

/// Eyes and suns drawn between two looks at the watch: a fifth of a second's on two cores.
const BATCH: usize = 24;

/// One facing, its eyes drawn.
pub struct Facing<'a, 'b> {
    studio: &'a Studio<'b>,
    eyes: Vec<SearchEye>,
    shown: Vec<Shown>,
    /// For each week its instants of sun.
    weeks: Vec<OfWeek>,
    every_min: u32,
}

struct OfWeek {
    days: u32,
    instants: Vec<Instant>,
    light: Vec<SunLight>,
    /// Which of them closed form does not lose.
    hopeful: Vec<bool>,
    /// What closed form lets each hope of at most.
    bounds: Vec<[Best; 2]>,
}

impl<'a, 'b> Facing<'a, 'b> {
    /// Draws every eye that some minute of the year may serve.
    pub fn of(
        studio: &'a Studio<'b>,
        weeks: &[WeekOfYear],
        every_min: u32,
        watch: &Watch,
    ) -> Result<Facing<'a, 'b>, Cancelled> {
        let place = &studio.scene.place;
        let spots = first_look(studio, Look::TRY.most_spots);
        watch.alive()?;
        let mut posts = posts(studio, &spots, &studio.scene.kit.lenses_mm, false);
        watch.alive()?;
        let mut served = vec![false; posts.len()];
        let of_week = |week: &WeekOfYear| -> Result<OfWeek, Cancelled> {
            watch.alive()?;
            let instants = instants(place, week.day, week.day, every_min, 0.0);
            let light = sun_light(studio, &instants);
            let hope = hope(studio, &posts, &light);
            for (served, hopeful) in served.iter_mut().zip(&hope.posts) {
                *served |= hopeful;
            }
            Ok(OfWeek {
                days: week.days,
                bounds: bounds(studio, &posts, &light),
                hopeful: hope.instants,
                instants,
                light,
            })
        };
        let weeks = weeks.iter().map(of_week).collect::<Result<Vec<_>, _>>()?;
        keep::<Post>(&mut posts, &served);
        let eyes = draw(studio, posts, BATCH, watch)?;
        let mut shown: Vec<Shown> = eyes.iter().map(|eye| eye.post.shown).collect();
        shown.sort_unstable();
        shown.dedup();
        Ok(Facing {
            studio,
            eyes,
            shown,
            weeks,
            every_min,
        })
    }

    /// A week's morning and afternoon.
    pub fn week(&self, n: usize, watch: &Watch) -> Result<[Half; 2], Cancelled> {
        let week = &self.weeks[n];
        let chosen = |k: &usize| week.hopeful[*k] && !self.eyes.is_empty();
        let chosen: Vec<usize> = (0..week.instants.len()).filter(chosen).collect();
        let instants: Vec<Instant> = chosen.iter().map(|k| week.instants[*k]).collect();
        let light: Vec<SunLight> = chosen.iter().map(|k| week.light[*k].clone()).collect();
        let suns = Suns::draw(
            self.studio,
            &instants,
            &self.shown,
            Nodes::Own,
            BATCH,
            watch,
        )?;
        let found = search(self.studio, &self.eyes, &instants, &light, &suns, watch)?;
        let mut best: Vec<Best> = (week.bounds.iter())
            .map(|[left, right]| Best {
                verdict: Verdict::Lost,
                ..left.or(*right)
            })
            .collect();
        for (k, [left, right]) in chosen.iter().zip(&found.best) {
            best[*k] = left.or(*right);
        }
        Ok([false, true].map(|after| self.half(week, after, &best, &instants, &found.candidates)))
    }

    fn half(
        &self,
        week: &OfWeek,
        after: bool,
        best: &[Best],
        graded: &[Instant],
        candidates: &[Candidate],
    ) -> Half {
        let is_in = |instant: &Instant| (instant.sun.hour_angle_deg > 0.0) == after;
        let within = (week.instants.iter().zip(best)).filter(|(instant, _)| is_in(instant));
        let hours_each = f64::from(self.every_min * week.days) / 60.0;
        let faults = self.studio.rulebook.faults.len();
        let first = candidates.iter().find(|candidate| {
            candidate.verdict > Verdict::Lost && is_in(&graded[candidate.instant])
        });
        Half {
            best: first.map(|one| Won {
                stand: one.stand,
                area: one.area,
                side: one.side,
                at: graded[one.instant].at,
                verdict: one.verdict,
                score: one.score,
            }),
            ..Half::counted(within.map(|(_, best)| best), faults, hours_each)
        }
    }
}
