//! Answering: proposals are refined, proved, given their windows and dates, and ranked. May not enter: the
//! grid.

use super::ahead::look_ahead;
use super::answer::{Answer, Day, Window};
use super::refine::{self, Held, refine};
use super::request::{Cancelled, Rank, Request, Watch};
use super::search::Candidate;
use super::spots::roomy;
use super::survey::Survey;
use super::trade_offs::trade_offs;
use super::windows::Prover;
use crate::grade::{Sheet, Stand, Studio, Verdict};
use crate::sighting::shown::Shown;
use chrono::{DateTime, Duration, Utc};
use rayon::prelude::*;
use std::cmp::Ordering;

/// Stands this near to one another are one answer.
const SAME_SPOT_M: f64 = 5.0;
/// So many more proposals than answers are proved: some fall at the proof.
const SPARE: usize = 3;

/// A refined and proved proposal.
struct Proved {
    candidate: Candidate,
    stand: Stand,
    at: DateTime<Utc>,
    sheet: Sheet,
}

impl Proved {
    /// Best first; of equals the earlier, then the shorter lens.
    fn order(&self, other: &Proved) -> Ordering {
        (other.sheet.rank(&self.sheet))
            .then(self.at.cmp(&other.at))
            .then(self.stand.lens_mm.total_cmp(&other.stand.lens_mm))
    }
}

/// Answers of at least `least`, best first, at most `request.top`.
pub fn answers(
    studio: &Studio,
    survey: &Survey,
    request: &Request,
    least: Verdict,
    watch: &Watch,
) -> Result<Vec<Answer>, Cancelled> {
    let proposals = proposals(survey, least, request.top + SPARE);
    watch.step("refining and proving the best", 0.75)?;
    let proved: Vec<Result<Proved, Cancelled>> = (proposals.par_iter())
        .map(|candidate| prove(studio, survey, request, candidate, watch))
        .collect();
    let mut proved = proved.into_iter().collect::<Result<Vec<_>, _>>()?;
    proved.retain(|proved| proved.sheet.verdict >= least);
    proved.sort_by(Proved::order);
    let mut kept: Vec<Proved> = Vec::new();
    for next in proved {
        let same = |one: &Proved| {
            one.candidate.side == next.candidate.side
                && one.stand.lens_mm == next.stand.lens_mm
                && one.stand.spot_m.distance(next.stand.spot_m) <= SAME_SPOT_M
                && half(survey, &one.candidate) == half(survey, &next.candidate)
        };
        if !kept.iter().any(same) && kept.len() < request.top {
            kept.push(next);
        }
    }
    watch.step("the last step at proof size", 0.8)?;
    (kept.par_iter_mut())
        .map(|proved| polish(studio, survey, request, proved, watch))
        .collect::<Result<(), _>>()?;
    kept.sort_by(Proved::order);
    watch.step("following each window to its ends", 0.85)?;
    (kept.into_par_iter())
        .map(|proved| answer(studio, request, proved, watch))
        .collect()
}

fn half(survey: &Survey, candidate: &Candidate) -> bool {
    survey.instants[candidate.instant].sun.hour_angle_deg > 0.0
}

/// Distinct candidates, best first.
fn proposals(survey: &Survey, least: Verdict, most: usize) -> Vec<Candidate> {
    let mut kept: Vec<Candidate> = Vec::new();
    for next in &survey.candidates {
        let same = |one: &Candidate| {
            one.side == next.side
                && one.stand.lens_mm == next.stand.lens_mm
                && one.stand.spot_m.distance(next.stand.spot_m) <= SAME_SPOT_M
                && half(survey, one) == half(survey, next)
        };
        if next.verdict >= least && !kept.iter().any(same) {
            kept.push(*next);
            if kept.len() == most {
                break;
            }
        }
    }
    kept
}

fn prove(
    studio: &Studio,
    survey: &Survey,
    request: &Request,
    candidate: &Candidate,
    watch: &Watch,
) -> Result<Proved, Cancelled> {
    let at = survey.instants[candidate.instant].at;
    let mut held = Held::new(studio, &studio.rulebook.search, candidate.stand, at);
    let bounds = bounds(studio, survey, request, candidate);
    refine(studio, &mut held, &refine::SEARCH, bounds, watch)?;
    let sheet = Prover::new(studio, *held.stand()).at(held.at).sheet;
    Ok(Proved {
        candidate: *candidate,
        stand: *held.stand(),
        at: held.at,
        sheet,
    })
}

/// Refines once more, by what the proof itself says.
fn polish(
    studio: &Studio,
    survey: &Survey,
    request: &Request,
    proved: &mut Proved,
    watch: &Watch,
) -> Result<(), Cancelled> {
    let mut held = Held::new(studio, &studio.rulebook.proof, proved.stand, proved.at);
    let bounds = bounds(studio, survey, request, &proved.candidate);
    refine(studio, &mut held, &refine::PROOF, bounds, watch)?;
    (proved.stand, proved.at) = (*held.stand(), held.at);
    proved.sheet = held.grade(studio).sheet;
    Ok(())
}

/// How far the minute may move: the best date is the grid's, the minute is free around it.
fn bounds(
    studio: &Studio,
    survey: &Survey,
    request: &Request,
    candidate: &Candidate,
) -> (DateTime<Utc>, DateTime<Utc>) {
    let at = survey.instants[candidate.instant].at;
    let zone = &studio.scene.place.zone;
    let (first, _) = zone.day(request.from);
    let (_, last) = zone.day(request.to);
    let reach = Duration::minutes(3 * i64::from(request.every_min).max(10));
    (first.max(at - reach), last.min(at + reach))
}

fn answer(
    studio: &Studio,
    request: &Request,
    proved: Proved,
    watch: &Watch,
) -> Result<Answer, Cancelled> {
    let prover = Prover::new(studio, proved.stand);
    let window = prover.window(proved.at, proved.sheet.verdict, true, watch)?;
    let days = days(studio, request, &proved, &prover, &window, watch)?;
    let sizes = [&studio.rulebook.search, &studio.rulebook.proof];
    let [rough, held] = sizes.map(|size| Held::new(studio, size, proved.stand, proved.at));
    let trade_offs = trade_offs(studio, &rough, &held);
    let scene = &studio.scene;
    let area = roomy(studio, proved.stand.spot_m).unwrap_or(proved.candidate.area);
    let area = scene.ground.areas[area].name.clone();
    Ok(Answer {
        head_end: scene.machine.head_end,
        side: proved.candidate.side,
        area,
        stand: proved.stand,
        window,
        days,
        sheet: proved.sheet,
        trade_offs,
        slack: None,
    })
}

/// The answer that a stand is at an instant of its own choosing: proved there, its window followed on that date.
pub fn standing(
    studio: &Studio,
    stand: Stand,
    at: DateTime<Utc>,
    watch: &Watch,
) -> Result<Answer, Cancelled> {
    let date = studio.scene.place.zone.local(at).naive.date();
    let request = Request {
        from: date,
        to: date,
        every_min: 10,
        lenses_mm: vec![stand.lens_mm],
        spacing_m: None,
        top: 1,
        slack: None,
        rank: Rank::Score,
    };
    let capture = studio.default_capture();
    let sheet = studio.grade(&stand, &capture, &studio.minute(at)).sheet;
    let area = studio.scene.ground.area_at(stand.spot_m);
    let areas = &studio.scene.ground.areas;
    let area = area.and_then(|area| areas.iter().position(|one| std::ptr::eq(one, area)));
    let candidate = Candidate {
        stand,
        area: area.unwrap_or_default(),
        side: Shown::to(studio.eye(&stand)).side,
        instant: 0,
        verdict: sheet.verdict,
        score: sheet.score,
    };
    let proved = Proved {
        candidate,
        stand,
        at,
        sheet,
    };
    answer(studio, &request, proved, watch)
}

/// The run of days round the best one on which the same stand is as good at the same solar time: looked for
/// at search size, its first and last day proved and followed to their windows' ends.
fn days(
    studio: &Studio,
    request: &Request,
    proved: &Proved,
    prover: &Prover,
    window: &Window,
    watch: &Watch,
) -> Result<Vec<Day>, Cancelled> {
    let zone = &studio.scene.place.zone;
    let date_of = |at: DateTime<Utc>| zone.local(at).naive.date();
    let best = Day {
        date: date_of(proved.at),
        window: window.clone(),
    };
    let verdict = proved.sheet.verdict;
    // What is lost may be lost on any day.
    if verdict == Verdict::Lost {
        return Ok(vec![best]);
    }
    let held = Held::new(studio, &studio.rulebook.search, proved.stand, proved.at);
    let end = |way: i64| -> Result<Option<Day>, Cancelled> {
        let mut run = Vec::new();
        look_ahead(
            1..,
            |day: i64| held.later(studio, way * day * 86_400),
            |(at, graded)| {
                watch.alive()?;
                let date = date_of(at);
                let ends = date < request.from || date > request.to;
                if ends || graded.sheet.verdict < verdict {
                    return Ok(false);
                }
                run.push((date, at));
                Ok(true)
            },
        )?;
        // Where the proof says otherwise the run is cut, by more days each time.
        let mut cut = 1;
        while let Some((date, at)) = run.pop() {
            let proof = prover.at(at).sheet.verdict;
            if proof >= verdict {
                let window = prover.window(at, proof, false, watch)?;
                return Ok(Some(Day { date, window }));
            }
            run.truncate(run.len().saturating_sub(cut));
            cut *= 2;
        }
        Ok(None)
    };
    let (first, last) = rayon::join(|| end(-1), || end(1));
    let (first, last) = (first?, last?);
    Ok(first.into_iter().chain([best]).chain(last).collect())
}
