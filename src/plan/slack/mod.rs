//! Slack: how far an answer bears being wrong before its verdict drops: the minute, the photographer's spot, where the
//! machine stops, how its track lies; and how likely it then still is. May not enter: searching for answers.

mod outward; // from the plan outward to where something no longer holds
mod slip; // one way of being wrong, graded
pub mod spread; // many slips at random, and the share of them that serve
pub mod words; // sentences

use super::answer::{Answer, Beyond, Window, WindowEnd};
use super::request::{Cancelled, Watch};
use crate::grade::wording::lower_first;
use crate::grade::{Grade, MeasureId, Sheet, Studio, Verdict};
use chrono::TimeDelta;
use glam::DVec2;
use outward::Outward;
use rayon::prelude::*;
use slip::{NoFrame, Rehearsed, Slip};
use spread::{Chance, Spread};

/// In which way something may come out otherwise than planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The shot is taken earlier.
    Earlier,
    /// The shot is taken later.
    Later,
    /// The photographer stands to the left of the spot, facing the machine.
    Left,
    /// To the right.
    Right,
    /// Nearer.
    Nearer,
    /// Farther back.
    Farther,
    /// The machine stops short of its place or past it, to the side of its nose.
    MachineAhead,
    /// To the side of its rear.
    MachineBack,
    /// The track, and all that was laid out by it, lies turned clockwise from what the scene says.
    TurnedRight,
    /// Turned counter-clockwise.
    TurnedLeft,
}

/// How far a [`Way`] is walked, in hundredths of its unit: a step, the finest, the farthest.
const TIME_HUNDREDTHS: [i64; 3] = [400, 25, 60_000];
const SPOT_CM: [i64; 3] = [25, 5, 1000];
const MACHINE_CM: [i64; 3] = [50, 10, 1500];
const TURN_HUNDREDTHS: [i64; 3] = [50, 10, 1500];

impl Way {
    /// Those that are always walked; earlier and later are mostly known from the answer's own window.
    const WALKED: [Way; 8] = [
        Way::Left,
        Way::Right,
        Way::Nearer,
        Way::Farther,
        Way::MachineAhead,
        Way::MachineBack,
        Way::TurnedRight,
        Way::TurnedLeft,
    ];

    /// The key used in data.
    pub fn word(self) -> &'static str {
        match self {
            Way::Earlier => "earlier",
            Way::Later => "later",
            Way::Left => "left",
            Way::Right => "right",
            Way::Nearer => "nearer",
            Way::Farther => "farther_back",
            Way::MachineAhead => "machine_ahead",
            Way::MachineBack => "machine_back",
            Way::TurnedRight => "track_clockwise",
            Way::TurnedLeft => "track_counterclockwise",
        }
    }

    /// The unit of its [`Reach`].
    pub fn unit(self) -> &'static str {
        match self {
            Way::Earlier | Way::Later => "min",
            Way::TurnedRight | Way::TurnedLeft => "deg",
            _ => "m",
        }
    }

    fn limits(self) -> [i64; 3] {
        match self {
            Way::MachineAhead | Way::MachineBack => MACHINE_CM,
            Way::TurnedRight | Way::TurnedLeft => TURN_HUNDREDTHS,
            Way::Earlier | Way::Later => TIME_HUNDREDTHS,
            Way::Left | Way::Right | Way::Nearer | Way::Farther => SPOT_CM,
        }
    }
}

/// What ends a [`Reach`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The verdict drops, by this measure above all.
    Verdict(Option<MeasureId>),
    /// Nobody may stand there.
    Ground,
    /// The machine would leave its track or run into other equipment.
    Track,
    /// Nothing, as far as was looked.
    Nothing,
}

/// How far one way holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    /// Which way.
    pub way: Way,
    /// How far the verdict, or a better one, holds; its end is proved, the way there looked at in steps: minutes,
    /// metres or degrees, by [`Way::unit`].
    pub holds: f64,
    /// What ends it.
    pub end: End,
    /// What ends it, in words.
    pub sentence: String,
}

/// How much an answer bears.
#[derive(Clone, Debug, PartialEq)]
pub struct Slack {
    /// Every way, in the order of [`Way`].
    pub reaches: Vec<Reach>,
    /// How likely the frame is good or better when stop, bearing and minute are uncertain at once.
    pub chance: Chance,
}

impl Slack {
    /// Of an answer of this studio, which the machine leads as the answer says.
    pub fn of(
        studio: &Studio,
        answer: &Answer,
        spread: &Spread,
        watch: &Watch,
    ) -> Result<Slack, Cancelled> {
        let best = answer.window.best;
        let book = studio.rulebook;
        let sizes = [&book.search, &book.proof];
        let [rough, exact] = sizes.map(|size| Rehearsed::new(studio, answer.stand, best, size));
        let walked = |way: Way| walk(studio, answer, [&rough, &exact], way, watch);
        // A window ends where its verdict changes; where that rises there, the frame still bears more.
        let in_time = |way: Way, end: &WindowEnd, held: TimeDelta| match end.beyond {
            Beyond::Better => walked(way),
            Beyond::Worse | Beyond::Same => Ok(in_time(way, end, held)),
        };
        let Window { start, end, .. } = &answer.window;
        let mut reaches = vec![
            in_time(Way::Earlier, start, best - start.at)?,
            in_time(Way::Later, end, end.at - best)?,
        ];
        let others: Result<Vec<Reach>, Cancelled> =
            Way::WALKED.par_iter().map(|way| walked(*way)).collect();
        reaches.extend(others?);
        // Draws are many, and drawn small; where that says another thing of the very plan, it is not to be trusted.
        let planned = rough.sheet(&Slip::default()).map(|sheet| sheet.verdict);
        let drawn = match planned == Ok(answer.verdict()) {
            true => &rough,
            false => &exact,
        };
        let chance = spread.chance(drawn, answer.verdict(), watch)?;
        Ok(Slack { reaches, chance })
    }

    /// The way in which least is borne, as a share of what `spread` says is common there.
    pub fn tightest(&self) -> Option<&Reach> {
        let usual = |reach: &Reach| self.chance.spread.usual(reach.way);
        let borne = |reach: &&Reach| reach.holds / usual(reach).max(1e-9);
        let ended = self.reaches.iter().filter(|one| one.end != End::Nothing);
        ended.min_by(|a, b| borne(a).total_cmp(&borne(b)))
    }
}

fn in_time(way: Way, end: &WindowEnd, held: TimeDelta) -> Reach {
    Reach {
        way,
        holds: held.num_seconds() as f64 / 60.0,
        end: match end.beyond {
            Beyond::Same => End::Nothing,
            Beyond::Worse | Beyond::Better => End::Verdict(end.ended_by),
        },
        sentence: lower_first(&end.sentence),
    }
}

/// The slip of so many hundredths one way.
fn slip(studio: &Studio, answer: &Answer, way: Way, hundredths: i64) -> Slip {
    let by = hundredths as f64 / 100.0;
    let ahead = (studio.frame.origin_m - answer.stand.spot_m).normalize_or(DVec2::Y);
    let right = DVec2::new(ahead.y, -ahead.x);
    let mut slip = Slip::default();
    match way {
        Way::Left => slip.step_m = right * -by,
        Way::Right => slip.step_m = right * by,
        Way::Nearer => slip.step_m = ahead * by,
        Way::Farther => slip.step_m = ahead * -by,
        Way::MachineAhead => slip.ahead_m = by,
        Way::MachineBack => slip.ahead_m = -by,
        Way::TurnedRight => slip.turned_deg = by,
        Way::TurnedLeft => slip.turned_deg = -by,
        Way::Earlier => slip.late_s = -by * 60.0,
        Way::Later => slip.late_s = by * 60.0,
    }
    slip
}

fn walk(
    studio: &Studio,
    answer: &Answer,
    [rough, exact]: [&Rehearsed; 2],
    way: Way,
    watch: &Watch,
) -> Result<Reach, Cancelled> {
    let verdict = answer.verdict();
    let graded = |who: &Rehearsed, by: i64| who.sheet(&slip(studio, answer, way, by));
    let holds = |who: &Rehearsed, by: i64| graded(who, by).is_ok_and(|one| one.verdict >= verdict);
    let [step, fine, farthest] = way.limits();
    let outward = Outward {
        step,
        fine,
        farthest,
    };
    let edge = outward.edge(watch, &|by| holds(rough, by), &|by| holds(exact, by))?;
    let (end, sentence) = match edge.outside.map(|by| graded(exact, by)) {
        None => (End::Nothing, "nothing as far as was looked".to_string()),
        Some(Err(NoFrame::Ground)) => (End::Ground, "nobody may stand beyond it".into()),
        Some(Err(NoFrame::Track)) => (
            End::Track,
            "beyond it the machine leaves its track or meets other equipment".into(),
        ),
        Some(Ok(sheet)) => worst(&answer.sheet, &sheet),
    };
    Ok(Reach {
        way,
        holds: edge.inside as f64 / 100.0,
        end,
        sentence,
    })
}

/// What of a sheet is worse than it was, the worst first.
fn worst(planned: &Sheet, slipped: &Sheet) -> (End, String) {
    let before = |id| planned.row(id).and_then(|row| row.grade);
    let worse = |one: &&crate::grade::Finding| before(one.measure) < Some(one.grade);
    match slipped.findings.iter().find(worse) {
        Some(finding) => {
            let what = lower_first(finding.what());
            // Beside slight faults that the plan has, one more counts by their number, not by its limit.
            let more = planned.verdict < Verdict::Fine && finding.grade == Grade::Slight;
            let told = match more {
                true => format!("{what}, one slight fault too many"),
                false => what,
            };
            (End::Verdict(Some(finding.measure)), told)
        }
        None => (
            End::Verdict(None),
            "several small faults come together".into(),
        ),
    }
}

/// Gives every answer of a studio its slack.
pub fn weigh(
    studio: &Studio,
    answers: &mut [Answer],
    spread: &Spread,
    watch: &Watch,
) -> Result<(), Cancelled> {
    let count = answers.len().max(1) as f64;
    for (k, answer) in answers.iter_mut().enumerate() {
        watch.step("how much each answer bears", 0.9 + 0.1 * k as f64 / count)?;
        answer.slack = Some(Slack::of(studio, answer, spread, watch)?);
    }
    Ok(())
}

/// Answers whose slack is known, the likeliest to be good first; of equals the likeliest to be as planned, then the better
/// score.
pub fn rank_by_chance(answers: &mut [Answer]) {
    let of = |answer: &Answer| {
        let chance = answer.slack.as_ref().map(|slack| slack.chance);
        chance.map_or([-1.0; 2], |chance| [chance.good, chance.as_planned])
    };
    answers.sort_by(|a, b| {
        let ([a_good, a_planned], [b_good, b_planned]) = (of(a), of(b));
        (b_good.total_cmp(&a_good))
            .then(b_planned.total_cmp(&a_planned))
            .then(b.sheet.score.total_cmp(&a.sheet.score))
    });
}

/// The least verdict that a chance counts.
pub const COUNTED: Verdict = Verdict::Good;
