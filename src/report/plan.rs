//! A plan as data: documented in README. May not enter: formulas, searching.

use super::{slack, stand};
use crate::grade::Rulebook;
use crate::plan::Plan;
use crate::plan::answer::{Answer, Day, Window, WindowEnd};
use crate::plan::request::Request;
use crate::scene::Scene;
use crate::scene::obstacles::Obstacles;
use chrono::{DateTime, Utc};
use serde_json::json;

/// The plan as data: documented in README.
pub fn data(
    scene: &Scene,
    rulebook: &Rulebook,
    request: &Request,
    plan: &Plan,
) -> serde_json::Value {
    let zone = &scene.place.zone;
    let obstacles = Obstacles::of(scene);
    let answer = |answer: &Answer| {
        let stand = &answer.stand;
        // Whole minutes that lie inside, as the text has them.
        let end = |at: DateTime<Utc>, end: &WindowEnd| {
            json!({
                "at": at.to_rfc3339(),
                "local": zone.local(at).to_string(),
                "ended_by": end.ended_by,
                "sentence": end.sentence,
            })
        };
        let ends = |window: &Window| {
            let [start, _, last] = window.whole_minutes();
            [end(start, &window.start), end(last, &window.end)]
        };
        let [window_start, window_end] = ends(&answer.window);
        let day = |day: &Day| {
            let [start, last] = ends(&day.window);
            json!({ "date": day.date.to_string(), "window_start": start, "window_end": last })
        };
        json!({
            "head_end": answer.head_end.word(),
            "side": answer.side.word(),
            "area": answer.area,
            "stand": stand::data(scene, &obstacles, stand),
            "best": answer.window.best.to_rfc3339(),
            "best_local": zone.local(answer.window.best).to_string(),
            "window_start": window_start,
            "window_end": window_end,
            "days": answer.days.iter().map(day).collect::<Vec<_>>(),
            "trade_offs": answer.trade_offs,
            "slack": answer.slack.as_ref().map(slack::data),
            "sheet": answer.sheet,
        })
    };
    json!({
        "scene": scene.name,
        "rulebook": rulebook.name,
        "from": request.from.to_string(),
        "to": request.to.to_string(),
        "every_min": request.every_min,
        "facings": plan.facings.iter().map(|facing| json!({
            "head_end": facing.head_end.word(),
            "nose_bearing_deg": facing.nose_bearing_deg,
            "lit_side": facing.side.word(),
            "good_h": facing.good_h,
            "fair_h": facing.fair_h,
            "asked": facing.asked,
        })).collect::<Vec<_>>(),
        "answers": plan.answers.iter().map(answer).collect::<Vec<_>>(),
        "why": plan.why.iter().map(|why| json!({
            "side": why.side.word(),
            "side_bearing_deg": why.side_bearing_deg,
            "sun_h": why.sun_h,
            "binds": why.binds.iter().map(|(fault, hours)| json!({ "fault": fault, "hours": hours }))
                .collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "least_bad": plan.least_bad.as_ref().map(answer),
        "effort": json!({
            "spots": plan.effort.spots,
            "eyes": plan.effort.eyes,
            "instants": plan.effort.instants,
            "suns": plan.effort.suns,
            "asked": plan.effort.asked,
            "pairs": plan.effort.pairs,
            "proposed": plan.effort.proposed,
            "passed": plan.effort.passed,
            "exact": plan.exact,
        }),
        "freeing": plan.freeing.iter().map(|freeing| json!({
            "change": freeing.change,
            "verdict": freeing.verdict.word(),
            "score": freeing.score,
            "sentence": freeing.sentence,
        })).collect::<Vec<_>>(),
    })
}
