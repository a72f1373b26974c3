//! What would free it: when nothing is fair, one thing is changed at a time and the search run again; only
//! what then holds at the proof is told. May not enter: guesses.

use super::answering::answers;
use super::request::{Cancelled, Request, Watch};
use super::survey::{Look, survey};
use crate::grade::{Studio, Verdict};
use crate::scene::Scene;
use crate::scene::ground::{Access, Area};
use crate::scene::machine::HeadEnd;
use crate::sky::daylight::SkyCondition;
use chrono::{Datelike, Days, NaiveDate};
use glam::DVec2;

/// A change that frees a frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Freeing {
    /// What would have to change ("the other end leading").
    pub change: String,
    /// What it then gives, proved.
    pub verdict: Verdict,
    /// Its score.
    pub score: f64,
    /// The stand and minute, in a sentence.
    pub sentence: String,
}

/// How far more ground would reach along the track and away from it, metres.
const MORE_ALONG_M: f64 = 60.0;
const MORE_AWAY_M: f64 = 45.0;
/// Lenses that a photographer might borrow.
const MORE_LENSES_MM: [f64; 10] = [24.0, 28.0, 35.0, 42.0, 50.0, 58.0, 70.0, 85.0, 105.0, 135.0];

/// Tries every change on a scene and its request; the other end is none where both were asked.
pub fn what_would_free(
    studio: &Studio,
    request: &Request,
    both_ends_asked: bool,
    watch: &Watch,
) -> Result<Vec<Freeing>, Cancelled> {
    let scene = &studio.scene;
    let mut tries: Vec<(String, Scene, Request)> = Vec::new();
    let mut add = |change: &str, scene: Scene, request: Request| {
        tries.push((change.to_string(), scene, request));
    };
    if !both_ends_asked {
        let other = match scene.machine.head_end {
            HeadEnd::First => HeadEnd::Second,
            HeadEnd::Second | HeadEnd::Unknown => HeadEnd::First,
        };
        let turned = scene.with_head_end(other);
        add("the other end leading", turned, request.clone());
    }
    add(
        "ground on the other side of the track",
        with_other_side(scene),
        request.clone(),
    );
    let lenses = Request {
        lenses_mm: MORE_LENSES_MM.to_vec(),
        ..request.clone()
    };
    add("another lens", scene.clone(), lenses);
    add("more ground", with_more_ground(scene), request.clone());
    if scene.machine.coupled_front || scene.machine.coupled_rear {
        add("nothing coupled to it", scene.uncoupled(), request.clone());
    }
    if scene.sky != SkyCondition::Clear {
        let mut clear = scene.clone();
        clear.sky = SkyCondition::Clear;
        add("a clear sky", clear, request.clone());
    }
    let mut freeing = Vec::new();
    let count = tries.len() + 12;
    for (i, (change, scene, request)) in tries.into_iter().enumerate() {
        watch.step(
            &format!("trying {change}"),
            0.8 + 0.2 * i as f64 / count as f64,
        )?;
        freeing.extend(try_change(studio, change, scene, &request, watch)?);
    }
    let mut months: Vec<Freeing> = Vec::new();
    for k in 1..=11 {
        watch.step("trying other months", 0.9)?;
        let request = month_after(request, k);
        let change = format!("another month: {}", request.from.format("%B"));
        months.extend(try_change(studio, change, scene.clone(), &request, watch)?);
    }
    // One month stands for all: the best.
    months.sort_by(|a, b| b.score.total_cmp(&a.score));
    freeing.extend(months.into_iter().next());
    Ok(freeing)
}

fn try_change(
    studio: &Studio,
    change: String,
    scene: Scene,
    request: &Request,
    watch: &Watch,
) -> Result<Option<Freeing>, Cancelled> {
    let request = Request {
        top: 1,
        every_min: request.every_min.max(20),
        ..request.clone()
    };
    let studio = Studio::new(scene, studio.rulebook, studio.rasterizer, Some(studio));
    let quiet = Watch {
        cancel: watch.cancel,
        told: &|_, _| {},
    };
    let survey = survey(&studio, &request, Look::TRY, &quiet)?;
    let found = answers(&studio, &survey, &request, Verdict::Fair, &quiet)?;
    Ok(found.answers.into_iter().next().map(|answer| {
        let zone = &studio.scene.place.zone;
        let stand = &answer.stand;
        let sentence = format!(
            "{} from {:.1} m east, {:.1} m north with {:.0} mm at {}",
            answer.sheet.verdict.word(),
            stand.spot_m.x,
            stand.spot_m.y,
            stand.lens_mm,
            zone.local(answer.window.best),
        );
        Freeing {
            change,
            verdict: answer.sheet.verdict,
            score: answer.sheet.score,
            sentence,
        }
    }))
}

/// Four days in the middle of the month `k` months later.
fn month_after(request: &Request, k: u32) -> Request {
    let shift = chrono::Months::new(k);
    let first = NaiveDate::from_ymd_opt(request.from.year(), request.from.month(), 12);
    let from = first.unwrap_or(request.from) + shift;
    Request {
        from,
        to: from + Days::new(3),
        ..request.clone()
    }
}

/// The scene with its allowed ground mirrored across the machine's track.
fn with_other_side(scene: &Scene) -> Scene {
    let mut changed = scene.clone();
    let frame = scene.machine.frame();
    let mirror = |p: &DVec2| {
        let offset = *p - frame.origin_m;
        let along = frame.forward * offset.dot(frame.forward);
        frame.origin_m + along - (offset - along)
    };
    changed.ground.areas = (scene.ground.areas.iter())
        .map(|area| Area {
            name: format!("across from {}", area.name),
            access: Access::Permission,
            polygon_m: area.polygon_m.iter().rev().map(mirror).collect(),
            ..area.clone()
        })
        .collect();
    changed
}

/// The scene with wide ground on every side that has any now.
fn with_more_ground(scene: &Scene) -> Scene {
    let mut changed = scene.clone();
    let frame = scene.machine.frame();
    let track = &scene.tracks[scene.machine.track];
    let near = scene.ground.stand_off_m + track.gauge_m / 2.0 + 0.1;
    for sign in [-1.0, 1.0] {
        let across = frame.forward.perp() * sign;
        let has = |area: &&Area| {
            area.polygon_m
                .iter()
                .any(|p| (*p - frame.origin_m).dot(across) > 0.0)
        };
        let Some(like) = scene.ground.areas.iter().find(has) else {
            continue;
        };
        let corner = |x: f64, y: f64| frame.origin_m + frame.forward * x + across * y;
        let (far, along) = (near + MORE_AWAY_M, MORE_ALONG_M);
        changed.ground.areas.push(Area {
            name: "more ground".into(),
            note: String::new(),
            access: Access::Permission,
            polygon_m: vec![
                corner(-along, near),
                corner(along, near),
                corner(along, far),
                corner(-along, far),
            ],
            below_rail_m: like.below_rail_m,
            coat: like.coat,
        });
    }
    changed
}
