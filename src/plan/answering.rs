//! Answering: proposals are refined, proved, given their windows and dates, and ranked. May not enter: the
//! grid.

use super::ahead::{AHEAD, look_ahead};
use super::answer::{Answer, Day};
use super::refine::{self, Held, refine};
use super::request::{Cancelled, Rank, Request, Watch};
use super::search::Candidate;
use super::spots::roomy;
use super::survey::Survey;
use super::trade_offs::trade_offs;
use super::windows::Prover;
use crate::grade::{Sheet, Stand, Studio, Verdict, WIDEST_GRADED_DEG};
use crate::sighting::shown::Shown;
use chrono::{DateTime, Duration, Utc};
use rayon::prelude::*;
use std::cmp::Ordering;
use std::collections::BTreeSet;

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

/// What became of a survey's proposals.
pub struct Answered {
    /// The answers, best first.
    pub answers: Vec<Answer>,
    /// Distinct stands that were proposed.
    pub proposed: usize,
    /// Those of them that were not refined: they could not have beaten the last answer.
    pub passed: usize,
}

/// Answers of at least `least`, best first, at most `request.top`. As many proposals as are wanted are refined first; of
/// the spare ones only those that closed form lets hope to beat the last of these.
pub fn answers(
    studio: &Studio,
    survey: &Survey,
    request: &Request,
    least: Verdict,
    watch: &Watch,
) -> Result<Answered, Cancelled> {
    let proposals = proposals(survey, least, request.top + SPARE);
    watch.step("refining and proving the best", 0.75)?;
    let prove_all = |some: &[Candidate]| -> Result<Vec<Proved>, Cancelled> {
        let proved: Vec<Result<Proved, Cancelled>> = (some.par_iter())
            .map(|candidate| prove(studio, survey, request, candidate, watch))
            .collect();
        proved.into_iter().collect()
    };
    let (first, spare) = proposals.split_at(proposals.len().min(request.top));
    // Fine elevations, which every proof will ask for, are drawn meanwhile.
    let shown: BTreeSet<Shown> = (proposals.iter())
        .map(|one| Shown::to(studio.eye(&one.stand)))
        .collect();
    let faces = || {
        shown.par_iter().for_each(|shown| {
            studio.body_faces(*shown);
        })
    };
    let (proved, ()) = rayon::join(|| prove_all(first), faces);
    let mut proved = serving(proved?, least);
    let kept = distinct(survey, &proved, request.top);
    let last = kept.last().filter(|_| kept.len() == request.top);
    let to_beat = last.map(|last| proved[*last].sheet.score);
    let hopeful = |one: &&Candidate| {
        to_beat.is_none_or(|to_beat| studio.lens_bound(&one.stand).score() >= to_beat)
    };
    let hopeful: Vec<Candidate> = spare.iter().filter(hopeful).copied().collect();
    let passed = spare.len() - hopeful.len();
    proved.extend(prove_all(&hopeful)?);
    let proved = serving(proved, least);
    let kept = distinct(survey, &proved, request.top);
    let mut kept: Vec<Proved> = (proved.into_iter().enumerate())
        .filter_map(|(k, one)| kept.contains(&k).then_some(one))
        .collect();
    watch.step("the last step at proof size", 0.8)?;
    (kept.par_iter_mut())
        .map(|proved| polish(studio, survey, request, proved, watch))
        .collect::<Result<(), _>>()?;
    kept.sort_by(Proved::order);
    // Steps may have brought two of them together.
    let apart = distinct(survey, &kept, request.top);
    let mut places = 0..;
    kept.retain(|_| places.next().is_some_and(|k| apart.contains(&k)));
    watch.step("following each window to its ends", 0.85)?;
    let answers: Result<Vec<Answer>, Cancelled> = (kept.into_par_iter())
        .map(|proved| answer(studio, request, proved, watch))
        .collect();
    Ok(Answered {
        answers: answers?,
        proposed: proposals.len(),
        passed,
    })
}

/// What serves, best first.
fn serving(mut proved: Vec<Proved>, least: Verdict) -> Vec<Proved> {
    proved.retain(|proved| proved.sheet.verdict >= least);
    proved.sort_by(Proved::order);
    proved
}

/// The first of every few that are one answer, by index.
fn distinct(survey: &Survey, proved: &[Proved], most: usize) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::new();
    for (k, next) in proved.iter().enumerate() {
        let same = |one: &usize| {
            let one = &proved[*one];
            one.candidate.side == next.candidate.side
                && one.stand.lens_mm == next.stand.lens_mm
                && one.stand.spot_m.distance(next.stand.spot_m) <= SAME_SPOT_M
                && half(survey, &one.candidate) == half(survey, &next.candidate)
        };
        if !kept.iter().any(same) && kept.len() < most {
            kept.push(k);
        }
    }
    kept
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
    proved.sheet = held.unmended(studio).sheet;
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
    let verdict = proved.sheet.verdict;
    let prover = Prover::new(studio, proved.stand).knowing(proved.at, proved.sheet.clone());
    // What is told of an answer is found side by side; what would mend its findings only here, where it is told.
    let ((window, days), (trade_offs, sheet)) = rayon::join(
        || {
            let window = || prover.window(proved.at, verdict, true, watch);
            rayon::join(window, || days(studio, request, &proved, &prover, watch))
        },
        || {
            let trade_offs = || trade_offs(studio, &proved.stand, proved.at);
            rayon::join(trade_offs, || prover.mended_at(proved.at))
        },
    );
    let (window, [first, last]) = (window?, days?);
    let best = Day {
        date: studio.scene.place.zone.local(proved.at).naive.date(),
        window: window.clone(),
    };
    let days = first.into_iter().chain([best]).chain(last).collect();
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
        sheet,
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
    let (request, proved) = chosen(studio, stand, at);
    answer(studio, &request, proved, watch)
}

/// The same with its window alone: no other days, nothing that could be had otherwise, no remedies.
pub fn standing_window(
    studio: &Studio,
    stand: Stand,
    at: DateTime<Utc>,
    watch: &Watch,
) -> Result<Answer, Cancelled> {
    let (_, proved) = chosen(studio, stand, at);
    let prover = Prover::new(studio, stand).knowing(at, proved.sheet.clone());
    let window = prover.window(at, proved.sheet.verdict, true, watch)?;
    let scene = &studio.scene;
    Ok(Answer {
        head_end: scene.machine.head_end,
        side: proved.candidate.side,
        area: scene.ground.areas[proved.candidate.area].name.clone(),
        stand,
        window,
        days: vec![],
        sheet: proved.sheet,
        trade_offs: vec![],
        slack: None,
    })
}

/// A stand and minute that somebody chose, as a proposal that is proved.
fn chosen(studio: &Studio, stand: Stand, at: DateTime<Utc>) -> (Request, Proved) {
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
    let (proof, capture) = (&studio.rulebook.proof, studio.default_capture());
    let composed = studio.compose(&stand, &capture, proof, WIDEST_GRADED_DEG);
    let sheet = studio.grade_unmended(&composed, &studio.minute(at)).sheet;
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
    (request, proved)
}

/// The first and the last of the run of days round the best one on which the same stand is as good at the same solar
/// time: looked for at search size, then proved and followed to their windows' ends.
fn days(
    studio: &Studio,
    request: &Request,
    proved: &Proved,
    prover: &Prover,
    watch: &Watch,
) -> Result<[Option<Day>; 2], Cancelled> {
    let zone = &studio.scene.place.zone;
    let date_of = |at: DateTime<Utc>| zone.local(at).naive.date();
    let verdict = proved.sheet.verdict;
    // What is lost may be lost on any day.
    if verdict == Verdict::Lost {
        return Ok([None, None]);
    }
    let end = |way: i64| -> Result<Option<Day>, Cancelled> {
        let mut run = Vec::new();
        let at = |day: i64| proved.at + Duration::days(way * day);
        let asked = request.from..=request.to;
        look_ahead(
            AHEAD,
            (1..).map(at).take_while(|at| asked.contains(&date_of(*at))),
            |at| (at, prover.seems_at_least(at, verdict)),
            |(at, goes_on)| {
                watch.alive()?;
                if goes_on {
                    run.push(at);
                }
                Ok(goes_on)
            },
        )?;
        // Where the proof says otherwise the run is cut, by more days each time.
        let mut cut = 1;
        while let Some(at) = run.pop() {
            if let Some(proof) = prover.at_least(at, verdict) {
                let (date, window) = (date_of(at), prover.window(at, proof, false, watch)?);
                return Ok(Some(Day { date, window }));
            }
            watch.alive()?;
            run.truncate(run.len().saturating_sub(cut));
            cut *= 2;
        }
        Ok(None)
    };
    let (first, last) = rayon::join(|| end(-1), || end(1));
    Ok([first?, last?])
}
