//! The plan: where to stand, with which lens, from which minute to which. W·L proposes, the exact pair
//! proves. May not enter: pixels of a picture, screens, files.

mod ahead;
pub mod answer;
pub mod answering;
pub mod day;
pub mod eyes;
pub mod here;
pub mod hope;
pub mod hours;
pub mod instants;
pub mod ladder;
pub mod probe;
pub mod refine;
pub mod request;
pub mod search;
pub mod slack;
pub mod spots;
mod sun_grid;
pub mod suns;
pub mod survey;
pub mod trade_offs;
pub mod what_if;
pub mod why;
pub mod windows;
pub mod year;

use crate::grade::{Rulebook, Studio, Verdict};
use crate::scene::Scene;
use crate::scene::machine::HeadEnd;
use crate::sighting::rasterizer::Rasterizer;
use answer::{Answer, Side};
use answering::Answered;
use request::{Cancelled, Rank, Request, Watch};
use survey::{Effort, Look, Survey, calendar, survey, survey_over};
use what_if::Freeing;
use why::{Why, why};

/// What one facing gives in the range of dates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facing {
    /// Which end leads.
    pub head_end: HeadEnd,
    /// Bearing of the machine's nose, degrees.
    pub nose_bearing_deg: f64,
    /// The side with more good hours.
    pub side: Side,
    /// Hours in which some stand is good or better, of any side.
    pub good_h: f64,
    /// Hours in which some stand is fair or better.
    pub fair_h: f64,
    /// Whether the scene has it so (or does not know).
    pub asked: bool,
}

/// The whole answer.
pub struct Plan {
    /// Both facings, the asked one first.
    pub facings: Vec<Facing>,
    /// Answers of fair or better, best first; for an unknown facing those of both.
    pub answers: Vec<Answer>,
    /// The least bad frame, where no answer is fair.
    pub least_bad: Option<Answer>,
    /// What stands in the way on either side of the asked facing, where no answer is fair.
    pub why: Vec<Why>,
    /// What would free it, where no answer is fair.
    pub freeing: Vec<Freeing>,
    /// What was looked at, for the asked facing.
    pub effort: Effort,
    /// Pairs of stand and instant that were graded exactly, each by views of its own.
    pub exact: usize,
}

/// Plans a visit.
pub fn plan(
    scene: &Scene,
    rulebook: &Rulebook,
    rasterizer: &dyn Rasterizer,
    request: &Request,
    watch: &Watch,
) -> Result<Plan, Cancelled> {
    let unknown = scene.machine.head_end == HeadEnd::Unknown;
    let [asked, other] = scene.machine.head_end.and_other();
    watch.step("preparing the machine", 0.0)?;
    let (studio, calendar) = rayon::join(
        || Studio::new(scene.with_head_end(asked), rulebook, rasterizer, None),
        || calendar(&scene.place, request),
    );
    let mut plan = Plan {
        facings: vec![],
        answers: vec![],
        least_bad: None,
        why: vec![],
        freeing: vec![],
        effort: Effort::default(),
        exact: 0,
    };
    let mut nothing = true;
    let mut asked_survey = None;
    for head_end in [asked, other] {
        let turned;
        let studio = if head_end == asked {
            &studio
        } else {
            let scene = scene.with_head_end(head_end);
            turned = Studio::new(scene, rulebook, rasterizer, Some(&studio));
            &turned
        };
        let is_asked = unknown || head_end == asked;
        // Of a facing that is not asked only the hours are told, and those are about right anyway.
        let look = if is_asked { Look::ANSWERS } else { Look::TRY };
        let survey = survey_over(studio, &calendar, request, look, watch)?;
        plan.facings.push(Facing {
            head_end,
            nose_bearing_deg: studio.scene.machine.forward_bearing_deg(),
            side: survey.better_side(),
            good_h: survey.good_min[2] as f64 / 60.0,
            fair_h: survey.fair_min[2] as f64 / 60.0,
            asked: is_asked,
        });
        if is_asked {
            let found = weighed(studio, &survey, request, watch)?;
            if head_end == asked {
                plan.effort = Effort {
                    proposed: found.proposed,
                    passed: found.passed,
                    ..survey.effort
                };
            }
            nothing &= found.answers.is_empty();
            plan.answers.extend(found.answers);
            plan.exact += studio.graded();
            asked_survey.get_or_insert(survey);
        }
    }
    if let Some(hopeful) = asked_survey.filter(|_| nothing) {
        let lost = lost(request);
        let every_min = lost.every_min;
        let whole = survey(&studio, &lost, Look::LEAST_BAD, watch)?;
        plan.why = why(&studio, &whole, every_min);
        plan.least_bad = least_bad(&studio, [&hopeful, &whole], &lost, watch)?;
        plan.freeing = what_if::what_would_free(&studio, request, unknown, watch)?;
    }
    watch.step("done", 1.0)?;
    Ok(plan)
}

/// So many more answers are weighed than wanted where they are ranked by their chances: the likeliest need not be among
/// the best.
const MORE_WEIGHED: usize = 2;

/// Answers of fair or better, with their slack where that is asked.
fn weighed(
    studio: &Studio,
    survey: &Survey,
    request: &Request,
    watch: &Watch,
) -> Result<Answered, Cancelled> {
    let mut more = request.clone();
    if request.rank == Rank::Chance {
        more.top *= MORE_WEIGHED;
    }
    let mut found = answering::answers(studio, survey, &more, Verdict::Fair, watch)?;
    if let Some(spread) = &request.slack {
        slack::weigh(studio, &mut found.answers, spread, watch)?;
        if request.rank == Rank::Chance {
            slack::rank_by_chance(&mut found.answers);
            found.answers.truncate(request.top);
        }
    }
    Ok(found)
}

/// The request for what is lost: one answer, and no more instants than it takes to tell why.
fn lost(request: &Request) -> Request {
    Request {
        top: 1,
        every_min: request.every_min.max(30),
        ..request.clone()
    }
}

/// The best of what is not even fair: from the survey that found nothing better, or from the one that kept
/// what is lost.
fn least_bad(
    studio: &Studio,
    [hopeful, whole]: [&Survey; 2],
    request: &Request,
    watch: &Watch,
) -> Result<Option<Answer>, Cancelled> {
    for (survey, least) in [(hopeful, Verdict::Poor), (whole, Verdict::Lost)] {
        let found = answering::answers(studio, survey, request, least, watch)?;
        if let Some(answer) = found.answers.into_iter().next() {
            return Ok(Some(answer));
        }
    }
    Ok(None)
}
