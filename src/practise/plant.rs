//! How each fault is planted: one thing of a clean frame altered, so that the fault's measure takes a wanted value. May
//! not enter: whether it is the worst finding then, learners.

use super::dice::Dice;
use super::fault::FaultKind;
use super::posed::Posed;
use super::scale::Scale;
use super::{staged, things};
use crate::camera::exposure::seconds_for;
use crate::grade::{MeasureId, Measured, Reading, Stand};
use crate::rehearsal::moves;
use crate::scene::limits::{EXPOSURES_S, HEIGHTS_M, LENSES_MM};
use crate::scene::surroundings::Object;
use chrono::{DateTime, Duration, Utc};

/// Halvings when an alteration is sought that gives a wanted value.
const HALVINGS: usize = 30;
/// Instants that are drawn by lot for a fault of the light, and those of them that are graded.
const INSTANTS: usize = 300;
const GRADED: usize = 12;
/// The same where only a picture tells how far it goes.
const UNKNOWN: usize = 24;
/// The sun is at least so high: below it there is nothing to be seen.
const LOWEST_DEG: f64 = 2.0;
/// Shares of an alteration that are tried until one may stand there.
const LESS: [f64; 4] = [1.0, 0.85, 0.7, 0.55];
/// Places that are tried for a thing that is put there.
const THINGS: usize = 14;

/// The amount between two at which a number that grows or falls throughout takes a wanted value; none where it does
/// not.
fn solved(ends: [f64; 2], wanted: f64, of: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let [mut near, mut far] = ends;
    let rises = of(far)? > of(near)?;
    let past = |amount: f64| of(amount).map(|value| (value > wanted) == rises);
    if past(near)? || !past(far)? {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (near + far);
        match past(middle)? {
            true => far = middle,
            false => near = middle,
        }
    }
    Some(far)
}

/// The stand altered until a number of geometry takes a wanted value.
fn altered(
    base: &Posed,
    (id, wanted): (MeasureId, f64),
    ends: [f64; 2],
    alter: impl Fn(f64) -> Posed,
) -> Vec<Posed> {
    let Some(amount) = solved(ends, wanted, |amount| alter(amount).of_geometry(id)) else {
        return vec![];
    };
    // Where nobody may stand there, a little less will do.
    let less = LESS.map(|share| ends[0] + share * (amount - ends[0]));
    let mut posed = less.into_iter().map(alter);
    let allowed = posed.find(|posed| posed.is_allowed() || !base.is_allowed());
    allowed.into_iter().collect()
}

/// Frames in which the fault may have about this value; whether it has, and is the worst, is for grading to say. Those
/// with another site are made as they are asked for.
pub fn planted<'a>(
    kind: FaultKind,
    base: &'a Posed,
    scale: &Scale,
    wanted: f64,
    dice: &'a mut Dice,
) -> Box<dyn Iterator<Item = Posed> + 'a> {
    match kind {
        FaultKind::ForeignShadow => put(base, dice, |dice| vec![things::shading(base, dice)]),
        FaultKind::MergingMast => {
            let count = things::growths(wanted, dice);
            put(base, dice, move |dice| {
                (0..count).map(|_| things::behind(base, dice)).collect()
            })
        }
        FaultKind::Backdrop => put(base, dice, |dice| vec![things::clutter(base, dice)]),
        FaultKind::Foreground => put(base, dice, |dice| vec![things::before(base, dice)]),
        FaultKind::People => put(base, dice, |dice| vec![things::somebody(base, dice)]),
        _ => Box::new(changed(kind, base, scale, wanted, dice).into_iter()),
    }
}

/// Those in which camera, clock, machine or sky are changed.
fn changed(
    kind: FaultKind,
    base: &Posed,
    scale: &Scale,
    wanted: f64,
    dice: &mut Dice,
) -> Vec<Posed> {
    let stand = base.stand;
    let sign = dice.sign();
    let turned = |change: &dyn Fn(&mut Stand)| {
        let mut stand = stand;
        change(&mut stand);
        base.from(stand)
    };
    let to = (scale.id, wanted);
    match kind {
        FaultKind::Roll => vec![turned(&|stand| stand.roll_deg = sign * wanted)],
        FaultKind::Lean => altered(base, to, [0.0, 30.0], |pitch| {
            turned(&|stand| stand.pitch_deg = sign * pitch)
        }),
        FaultKind::Unbalanced => altered(base, to, [0.0, 25.0], |turn| {
            turned(&|stand| stand.heading_deg += sign * turn)
        }),
        FaultKind::TightMargin => altered(base, to, [1.0, 3.0], |factor| {
            turned(&|stand| stand.lens_mm *= factor).balanced()
        }),
        FaultKind::TooSmall => altered(base, to, [1.0, 3.0], |factor| backed(base, factor, 1.0)),
        FaultKind::TooNear => altered(base, to, [1.0, 0.5], |factor| backed(base, factor, factor)),
        FaultKind::TooFar => altered(base, to, [1.0, 4.0], |factor| backed(base, factor, factor)),
        FaultKind::EyeHigh | FaultKind::EyeLow => {
            let height_m = stand.height_m + wanted - eye_over_rail_m(base);
            let within = HEIGHTS_M.contains(&height_m);
            let raised = turned(&|stand| stand.height_m = height_m);
            within.then_some(raised).into_iter().collect()
        }
        FaultKind::Broadside | FaultKind::HeadOn => {
            let way = if kind == FaultKind::Broadside {
                1.0
            } else {
                -1.0
            };
            altered(base, to, [0.0, 60.0], |round_deg| {
                rounded(base, way * round_deg)
            })
        }
        FaultKind::Exposure => exposed(base, sign * wanted),
        FaultKind::WrongEnd => staged::other_end(base).into_iter().collect(),
        FaultKind::Doors => staged::doors(base).into_iter().collect(),
        FaultKind::Dirt => vec![staged::dirt(base, dice)],
        FaultKind::Coupled => staged::coupled(base, dice),
        FaultKind::Veil => vec![staged::veil(base, dice)],
        FaultKind::HighSun
        | FaultKind::LowSun
        | FaultKind::NoseDark
        | FaultKind::NoseLit
        | FaultKind::SunAside => instants(base, scale, wanted, dice),
        FaultKind::ForeignShadow
        | FaultKind::MergingMast
        | FaultKind::Backdrop
        | FaultKind::Foreground
        | FaultKind::People => vec![],
    }
}

fn eye_over_rail_m(base: &Posed) -> f64 {
    base.room.eye(&base.stand).z
}

/// Walked out by a factor of the distance, the lens with it or not.
fn backed(base: &Posed, distance: f64, lens: f64) -> Posed {
    let centre = base.room.frame.origin_m;
    let spot_m = centre + (base.stand.spot_m - centre) * distance;
    let mut stand = moves::stand_at(&base.stand, spot_m, centre);
    stand.lens_mm = (stand.lens_mm * lens).clamp(*LENSES_MM.start(), *LENSES_MM.end());
    base.from(stand).balanced()
}

/// Walked round the machine: away from the end that is shown (+) or toward it.
fn rounded(base: &Posed, away_deg: f64) -> Posed {
    let frame = &base.room.frame;
    let arm = base.stand.spot_m - frame.origin_m;
    let left = frame.forward.perp_dot(arm) > 0.0;
    let ahead = frame.forward.dot(arm) > 0.0;
    let way = if left == ahead { 1.0 } else { -1.0 };
    let turn = glam::DVec2::from_angle((way * away_deg).to_radians());
    let mut stand = base.stand;
    stand.spot_m = frame.origin_m + turn.rotate(arm);
    base.from(stand).balanced()
}

/// Exposed so many stops over (+) or under what is advised.
fn exposed(base: &Posed, stops: f64) -> Vec<Posed> {
    let advice = base.roughly().graded.advice;
    let seconds = advice.map(|advice| seconds_for(advice.ev - stops, base.capture().f_number));
    let within = seconds.filter(|seconds| EXPOSURES_S.contains(seconds));
    let posed = |seconds| Posed {
        exposure_s: Some(seconds),
        ..base.clone()
    };
    within.map(posed).into_iter().collect()
}

/// Other hours of other days, by daylight: where the sun's place alone tells the value, those nearest to the wanted
/// one.
fn instants(base: &Posed, scale: &Scale, wanted: f64, dice: &mut Dice) -> Vec<Posed> {
    let room = &base.room;
    let camera = room.camera(&base.stand);
    let mut found: Vec<(f64, DateTime<Utc>)> = vec![];
    for _ in 0..INSTANTS {
        let days = match dice.below(3) {
            0 => 0.0,
            _ => dice.within(-150.0, 150.0).round(),
        };
        let minutes = dice.within(-600.0, 600.0).round();
        let at = base.at + Duration::days(days as i64) + Duration::minutes(minutes as i64);
        let moment = room.moment(at);
        if moment.sun.elevation_deg < LOWEST_DEG {
            continue;
        }
        let mut measured = vec![];
        room.sun_measures(&camera, &moment, &mut measured);
        let of = |one: &Measured| match one.reading {
            Reading::Value(value) if one.id == scale.id => Some(value),
            _ => None,
        };
        let value = measured.iter().find_map(of);
        let off = |value| (scale.degree(value) / scale.degree(wanted)).ln().abs();
        found.push((value.map_or(f64::NAN, off), at));
    }
    let told = found.iter().any(|(off, _)| off.is_finite());
    if told {
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    found.truncate(if told { GRADED } else { UNKNOWN });
    let posed = |(_, at)| Posed { at, ..base.clone() };
    found.into_iter().map(posed).collect()
}

/// The site with something put into it, at several places.
fn put<'a>(
    base: &'a Posed,
    dice: &'a mut Dice,
    things: impl Fn(&mut Dice) -> Vec<Option<Object>> + 'a,
) -> Box<dyn Iterator<Item = Posed> + 'a> {
    Box::new((0..THINGS).filter_map(move |_| {
        let objects: Vec<Object> = things(dice).into_iter().flatten().collect();
        if objects.is_empty() {
            return None;
        }
        let mut scene = base.room.scene.clone();
        scene.surroundings.extend(objects);
        Some(base.in_scene(scene))
    }))
}
