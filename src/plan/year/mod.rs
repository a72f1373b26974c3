//! The whole year: for both facings and both sides, at every instant of sun, the best that any allowed spot, lens and
//! height gives; what that comes to by weeks, months and seasons. May not enter: proofs, drawing, words.

mod calendar; // what sun and clock do through the year
mod season; // runs of dates that are worth a visit

pub use calendar::{Calendar, Span};
pub use season::{BRIDGED_DAYS, LEAST_A_DAY_MIN, Season, seasons};

use super::eyes::posts;
use super::hope::{bounds, sun_light};
use super::hours::{Half, WeekOfYear, weeks};
use super::instants::Instant;
use super::request::{Cancelled, Rank, Request, Watch};
use super::search::Best;
use super::spots::first_look;
use super::survey::{Effort, Look, calendar, survey_over};
use crate::grade::{Studio, Verdict};
use crate::scene::machine::HeadEnd;
use crate::sighting::shown::Side;
use crate::units::wrap_360;
use chrono::{Datelike, NaiveDate};

/// What is asked of a year.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// The civil year.
    pub year: i32,
    /// Minutes between the instants that are looked at.
    pub every_min: u32,
    /// Focal lengths to search; empty for the scene's kit.
    pub lenses_mm: Vec<f64>,
}

/// The year.
pub struct Year {
    /// What was asked.
    pub asked: Asked,
    /// What sun and clock do.
    pub calendar: Calendar,
    /// Its weeks, counted from 1 January.
    pub weeks: Vec<WeekOfYear>,
    /// Every instant of sun over a level horizon.
    pub instants: Vec<Instant>,
    /// Both facings, the scene's own first (with its second end leading, where it does not know).
    pub facings: [Facing; 2],
    /// How many faults the rulebook has.
    faults: usize,
}

/// One facing.
pub struct Facing {
    /// Which end leads.
    pub head_end: HeadEnd,
    /// Bearing of the machine's nose, degrees.
    pub nose_bearing_deg: f64,
    /// Whether the scene has it so, or does not know.
    pub asked: bool,
    /// For each of the year's instants the best on the left and on the right side. What closed form rules out is lost,
    /// and bound by what no stand escapes.
    pub best: Vec<[Best; 2]>,
    /// How much was looked at.
    pub effort: Effort,
}

/// A facing's side through the year.
#[derive(Clone, Copy)]
pub struct Lane<'a> {
    /// The year.
    pub year: &'a Year,
    /// The facing.
    pub facing: &'a Facing,
    /// The side shown.
    pub side: Side,
}

/// Surveys a year: both facings by the very survey that a plan's answers come from. Nothing is proved.
pub fn year(studio: &Studio, asked: &Asked, watch: &Watch) -> Result<Year, Cancelled> {
    watch.step("preparing the machine", 0.0)?;
    let scene = &studio.scene;
    let known = scene.machine.head_end;
    let day = |month, day| NaiveDate::from_ymd_opt(asked.year, month, day).unwrap_or_default();
    let request = Request {
        from: day(1, 1),
        to: day(12, 31),
        every_min: asked.every_min,
        lenses_mm: asked.lenses_mm.clone(),
        spacing_m: None,
        top: 0,
        slack: None,
        rank: Rank::Score,
    };
    let all = calendar(&scene.place, &request);
    let of_facing = |n: usize, head_end: HeadEnd| -> Result<Facing, Cancelled> {
        let told = |what: &str, share: f64| (watch.told)(what, (n as f64 + share) / 2.0);
        let watch = Watch {
            cancel: watch.cancel,
            told: &told,
        };
        let turned;
        let studio = if head_end == known {
            studio
        } else {
            let scene = scene.with_head_end(head_end);
            turned = Studio::new(scene, studio.rulebook, studio.rasterizer, Some(studio));
            &turned
        };
        let (best, effort) = best_of(studio, &all, &request, &watch)?;
        Ok(Facing {
            head_end,
            nose_bearing_deg: studio.scene.machine.forward_bearing_deg(),
            asked: known == HeadEnd::Unknown || known == head_end,
            best,
            effort,
        })
    };
    let [own, other] = known.and_other();
    let facings = [of_facing(0, own)?, of_facing(1, other)?];
    watch.step("what sun and clock do", 1.0)?;
    Ok(Year {
        asked: asked.clone(),
        calendar: Calendar::of(&scene.place, asked.year),
        weeks: weeks(&scene.place.zone, asked.year),
        instants: all,
        facings,
        faults: studio.rulebook.faults.len(),
    })
}

/// One facing's best at every instant.
fn best_of(
    studio: &Studio,
    all: &[Instant],
    request: &Request,
    watch: &Watch,
) -> Result<(Vec<[Best; 2]>, Effort), Cancelled> {
    let found = survey_over(studio, all, request, Look::ANSWERS, watch)?;
    let mut best = vec![[Best::NONE; 2]; all.len()];
    let mut kept = found.instants.iter().zip(&found.best).peekable();
    for (instant, best) in all.iter().zip(&mut best) {
        if let Some((_, surveyed)) = kept.next_if(|(kept, _)| kept.at == instant.at) {
            *best = *surveyed;
        }
    }
    // What the survey did not look at is lost by closed form: as in the window's year, few spots tell what binds.
    watch.step("what binds in the rest", 1.0)?;
    let spots = first_look(studio, Look::TRY.most_spots);
    let lenses = match request.lenses_mm.is_empty() {
        true => &studio.scene.kit.lenses_mm,
        false => &request.lenses_mm,
    };
    let posts = posts(studio, &spots, lenses, false);
    let is_open = |best: &[Best; 2]| best.iter().any(|side| side.score < 0.0);
    let open: Vec<usize> = (0..all.len()).filter(|k| is_open(&best[*k])).collect();
    // A day's worth at a time, so that it stops soon when it is asked to.
    for some in open.chunks(256) {
        watch.alive()?;
        let instants: Vec<Instant> = some.iter().map(|k| all[*k]).collect();
        let bounds = bounds(studio, &posts, &sun_light(studio, &instants));
        for (k, bounds) in some.iter().zip(bounds) {
            for (best, bound) in best[*k].iter_mut().zip(bounds) {
                if best.score < 0.0 {
                    *best = Best {
                        verdict: Verdict::Lost,
                        ..bound
                    };
                }
            }
        }
    }
    Ok((best, found.effort))
}

impl Year {
    /// All four lanes: for each facing its left and its right side.
    pub fn lanes(&self) -> Vec<Lane<'_>> {
        let sides = |facing| {
            [Side::Left, Side::Right].map(|side| Lane {
                year: self,
                facing,
                side,
            })
        };
        self.facings.iter().flat_map(sides).collect()
    }
}

impl<'a> Lane<'a> {
    /// Bearing of the side's normal, degrees.
    pub fn side_bearing_deg(&self) -> f64 {
        wrap_360(self.facing.nose_bearing_deg - 90.0 * self.side.sign())
    }

    /// Every instant of sun with the best that it gives.
    pub fn looks(&self) -> impl Iterator<Item = (&'a Instant, &'a Best)> + Clone + use<'a> {
        let side = usize::from(self.side == Side::Right);
        let best = self.facing.best.iter().map(move |best| &best[side]);
        self.year.instants.iter().zip(best)
    }

    /// Hours of some dates.
    pub fn won(&self, holds: impl Fn(NaiveDate) -> bool + Clone) -> Half {
        let looks = self.looks().filter(move |(instant, _)| holds(instant.date));
        let hours_each = f64::from(self.year.asked.every_min) / 60.0;
        Half::counted(looks.map(|(_, best)| best), self.year.faults, hours_each)
    }

    /// Hours of the whole year.
    pub fn in_year(&self) -> Half {
        self.won(|_| true)
    }

    /// Hours of each week.
    pub fn by_week(&self) -> Vec<(WeekOfYear, Half)> {
        let of_week = |week: &WeekOfYear| {
            let dates = week.first..=week.last();
            (*week, self.won(|date| dates.contains(&date)))
        };
        self.year.weeks.iter().map(of_week).collect()
    }

    /// Hours of each month.
    pub fn by_month(&self) -> [Half; 12] {
        std::array::from_fn(|n| self.won(|date| date.month0() as usize == n))
    }

    /// The hours in which each fault binds on some dates where nothing is good, most first; those in which none does
    /// are left out.
    pub fn bound_h(&self, holds: impl Fn(NaiveDate) -> bool) -> Vec<(usize, f64)> {
        let hours_each = f64::from(self.year.asked.every_min) / 60.0;
        let mut hours: Vec<(usize, f64)> = (0..self.year.faults).map(|n| (n, 0.0)).collect();
        let is_told = |(instant, best): &(&Instant, &Best)| {
            best.verdict < Verdict::Good && holds(instant.date)
        };
        for (_, best) in self.looks().filter(is_told) {
            for (fault, hours) in &mut hours {
                *hours += f64::from(u8::from(best.is_bound_by(*fault))) * hours_each;
            }
        }
        hours.retain(|(_, hours)| *hours > 0.0);
        // Stable: faults of equal hours keep the rulebook's order.
        hours.sort_by(|a, b| b.1.total_cmp(&a.1));
        hours
    }

    /// Runs of dates with enough that is so good or better.
    pub fn seasons(&self, least: Verdict) -> Vec<Season> {
        let every_min = self.year.asked.every_min;
        let won = self.looks().filter(|(_, best)| best.verdict >= least);
        let won = won.map(|(instant, _)| (instant.date, instant.sun.hour_angle_deg > 0.0));
        seasons(won, every_min)
    }
}
