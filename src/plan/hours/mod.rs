//! The year as hours won: for both facings, week by week, morning and afternoon, how long some allowed spot, lens and
//! height gives a good or a fair frame, what binds in the rest, and the best stand. May not enter: proofs, drawing.

mod facing; // one facing: its eyes drawn once, its weeks graded
mod weeks; // the year's weeks, and in which order they are looked at

pub use weeks::{WeekOfYear, order, weeks};

use super::request::{Cancelled, Watch};
use super::search::Best;
use crate::grade::{Stand, Studio, Verdict};
use crate::scene::machine::HeadEnd;
use crate::sighting::shown::Side;
use chrono::{DateTime, Utc};
use facing::Facing;

/// A stand and a minute worth going to, as the search has it; a proof may say otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Won {
    /// Where and how.
    pub stand: Stand,
    /// Index of its piece of ground.
    pub area: usize,
    /// The side shown.
    pub side: Side,
    /// When.
    pub at: DateTime<Utc>,
    /// The search's verdict.
    pub verdict: Verdict,
    /// The search's score.
    pub score: f64,
}

/// Half of a week's days: before local solar noon, or after it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Half {
    /// Hours of sun over a level horizon.
    pub sun_h: f64,
    /// Hours in which some stand is fine.
    pub fine_h: f64,
    /// Hours in which some stand is good or better.
    pub good_h: f64,
    /// Hours in which some stand is fair or better.
    pub fair_h: f64,
    /// Index of the rulebook's fault that binds in most of the hours that are not good; none where all are, or where
    /// no lens of the kit frames the machine from anywhere.
    pub binds: Option<usize>,
    /// In how many.
    pub binds_h: f64,
    /// The best stand and minute; none where every one is lost.
    pub best: Option<Won>,
}

/// A week: for each of [`Hours::head_ends`] its morning and its afternoon.
#[derive(Clone, Debug, PartialEq)]
pub struct Week {
    /// Its dates, and the one that was looked at.
    pub of: WeekOfYear,
    /// By facing; morning, then afternoon.
    pub halves: [[Half; 2]; 2],
}

/// The year.
#[derive(Clone, Debug, PartialEq)]
pub struct Hours {
    /// Which end leads: the scene's own (the second where it does not know), then the other.
    pub head_ends: [HeadEnd; 2],
    /// Bearings of the machine's nose, likewise.
    pub nose_bearings_deg: [f64; 2],
    /// All weeks, in order.
    pub weeks: Vec<Week>,
}

impl Hours {
    /// Hours of the year in which a facing is so good or better, of fair, good and fine.
    pub fn of_facing(&self, facing: usize, least: Verdict) -> f64 {
        won_h(&self.weeks, facing, least)
    }
}

/// Hours of some weeks in which a facing is so good or better, of fair, good and fine.
pub fn won_h<'a>(weeks: impl IntoIterator<Item = &'a Week>, facing: usize, least: Verdict) -> f64 {
    let halves = weeks.into_iter().flat_map(|week| &week.halves[facing]);
    halves.map(|half| half.at_least(least)).sum::<f64>() + 0.0
}

impl Half {
    /// Of instants of sun by their best, each of which stands for so many hours.
    pub(super) fn counted<'a>(
        best: impl Iterator<Item = &'a Best> + Clone,
        faults: usize,
        hours_each: f64,
    ) -> Half {
        let hours = |count: usize| count as f64 * hours_each;
        let at_least = |least| hours(best.clone().filter(|best| best.verdict >= least).count());
        let spoilt = |fault: usize| {
            let spoils = |best: &&Best| best.verdict < Verdict::Good && best.is_bound_by(fault);
            best.clone().filter(spoils).count()
        };
        let faults = (0..faults).map(|fault| (fault, spoilt(fault)));
        // Of equals the rulebook's first.
        let binds = faults.reduce(|most, next| if next.1 > most.1 { next } else { most });
        let binds = binds.filter(|(_, instants)| *instants > 0);
        Half {
            sun_h: hours(best.clone().count()),
            fine_h: at_least(Verdict::Fine),
            good_h: at_least(Verdict::Good),
            fair_h: at_least(Verdict::Fair),
            binds: binds.map(|(fault, _)| fault),
            binds_h: hours(binds.map_or(0, |(_, instants)| instants)),
            best: None,
        }
    }

    /// Hours in which some stand is so good or better: of fair, good and fine.
    pub fn at_least(&self, least: Verdict) -> f64 {
        match least {
            Verdict::Fine => self.fine_h,
            Verdict::Good => self.good_h,
            _ => self.fair_h,
        }
    }
}

/// Surveys a year, `every_min` minutes between the suns of the day that stands for each week. `on_week` is handed every
/// week as soon as it is known, in an order that shows the year's shape soon.
pub fn hours(
    studio: &Studio,
    year: i32,
    every_min: u32,
    watch: &Watch,
    on_week: &mut dyn FnMut(&Week),
) -> Result<Hours, Cancelled> {
    watch.step("preparing the machine", 0.0)?;
    let scene = &studio.scene;
    let [own, other] = scene.machine.head_end.and_other();
    let led = |head_end| {
        let scene = scene.with_head_end(head_end);
        Studio::new(scene, studio.rulebook, studio.rasterizer, Some(studio))
    };
    let known = (scene.machine.head_end == HeadEnd::Unknown).then(|| led(own));
    let turned = led(other);
    let studios = [known.as_ref().unwrap_or(studio), &turned];
    let all = weeks(&scene.place.zone, year);
    let mut facings = Vec::new();
    for (n, studio) in studios.into_iter().enumerate() {
        watch.step("looking from every allowed spot", 0.02 + 0.1 * n as f64)?;
        facings.push(Facing::of(studio, &all, every_min, watch)?);
    }
    let mut found: Vec<Option<Week>> = vec![None; all.len()];
    for (done, n) in order(all.len()).into_iter().enumerate() {
        let share = 0.22 + 0.78 * done as f64 / all.len() as f64;
        watch.step("looking from the suns of the year", share)?;
        let mut halves = [[Half::default(); 2]; 2];
        for (halves, facing) in halves.iter_mut().zip(&facings) {
            *halves = facing.week(n, watch)?;
        }
        let week = Week { of: all[n], halves };
        on_week(&week);
        found[n] = Some(week);
    }
    watch.step("done", 1.0)?;
    Ok(Hours {
        head_ends: [own, other],
        nose_bearings_deg: studios.map(|studio| studio.scene.machine.forward_bearing_deg()),
        weeks: found.into_iter().flatten().collect(),
    })
}
