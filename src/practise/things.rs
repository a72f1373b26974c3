//! Things that are put into a site to spoil a frame: what shades the machine, grows from its roof or stands before it.
//! May not enter: how bad that is.

use super::dice::Dice;
use super::posed::Posed;
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::building::{Look, Roof, building};
use crate::scene::shapes::{figure, uprights};
use crate::scene::surroundings::{Kind, Object};
use glam::{DVec2, DVec3};

const WOOD: Coat = Coat::new(Finish::Timber, [0x6a, 0x58, 0x48]);
const STEEL: Coat = Coat::new(Finish::Paint, [0x8c, 0x90, 0x92]);
const BOARDS: Coat = Coat::new(Finish::Boards, [0xa0, 0x8a, 0x72]);
const ORANGE: Coat = Coat::new(Finish::Cloth, [0xd0, 0x6a, 0x2a]);
const BLUE: Coat = Coat::new(Finish::Cloth, [0x3a, 0x52, 0x78]);

/// Nothing is put nearer to a track's centre than this: rolling equipment goes there.
const CLEAR_M: f64 = 3.2;

/// A thing on the ground there, unless a track runs there or something stands there.
fn upright(
    base: &Posed,
    foot: DVec2,
    height_m: f64,
    diameter_m: f64,
    kind: Kind,
) -> Option<Object> {
    let scene = &base.room.scene;
    let on_track = |track: &crate::scene::track::Track| track.nearest(foot).1 < CLEAR_M;
    let ground_m = -scene.ground_below_rail_m(foot);
    let filled = base.room.obstacles.person_in(foot, ground_m).is_some();
    if scene.tracks.iter().any(on_track) || filled || foot.distance(base.stand.spot_m) < 2.0 {
        return None;
    }
    let at = foot.extend(ground_m);
    let (name, build) = match kind {
        Kind::Pole => (
            "wooden pole",
            uprights::pole(at, height_m, diameter_m, 0, 0.0, WOOD),
        ),
        Kind::SwitchStand => (
            "switch stand",
            uprights::switch_stand(at, height_m, 0.0, STEEL),
        ),
        _ => (
            "lamp mast",
            uprights::mast(at, height_m, diameter_m, None, STEEL),
        ),
    };
    Some(Object::of(name.into(), kind, build))
}

/// A place on the machine's axis: 0 at one end, 1 at the other.
fn on_machine(base: &Posed, share: f64) -> DVec2 {
    let hull = &base.room.stage.hull;
    let xs = hull.iter().map(|point| point.x);
    let (low, high) = (
        xs.clone().fold(f64::MAX, f64::min),
        xs.fold(f64::MIN, f64::max),
    );
    let frame = &base.room.frame;
    frame.origin_m + frame.forward * (low + (high - low) * share)
}

/// A share of the machine's length, mostly near one of its ends: what stands there a few steps leave beside it.
fn near_an_end(dice: &mut Dice) -> f64 {
    let share = match dice.share() < 0.75 {
        true => dice.within(0.02, 0.22),
        false => dice.within(0.22, 0.5),
    };
    if dice.sign() < 0.0 {
        share
    } else {
        1.0 - share
    }
}

/// Something toward the sun whose shadow falls on the machine.
pub fn shading(base: &Posed, dice: &mut Dice) -> Option<Object> {
    let moment = base.room.moment(base.at);
    let toward: DVec3 = base.room.frame.direction_to_site(moment.toward);
    let level = DVec2::new(toward.x, toward.y);
    let rise = toward.z / level.length();
    let away_m = dice.within(5.0, 45.0);
    let foot = on_machine(base, dice.within(0.1, 0.9)) + level.normalize() * away_m;
    // High enough for its shadow to climb the body's side.
    let height_m = (away_m * rise + dice.within(1.5, 6.0)).min(30.0);
    let diameter_m = dice.within(0.04f64.ln(), 0.45f64.ln()).exp();
    let kind = if dice.share() < 0.5 {
        Kind::Pole
    } else {
        Kind::Mast
    };
    upright(base, foot, height_m, diameter_m, kind)
}

/// Something behind the machine that rises over its roof.
pub fn behind(base: &Posed, dice: &mut Dice) -> Option<Object> {
    let through = on_machine(base, near_an_end(dice));
    let sight = through - base.stand.spot_m;
    let foot = through + sight.normalize() * dice.within(6.0, 40.0);
    let kind = if dice.share() < 0.5 {
        Kind::Pole
    } else {
        Kind::Mast
    };
    upright(
        base,
        foot,
        dice.within(9.0, 18.0),
        dice.within(0.15, 0.4),
        kind,
    )
}

/// Something between the eye and the machine.
pub fn before(base: &Posed, dice: &mut Dice) -> Option<Object> {
    let through = on_machine(base, near_an_end(dice));
    let foot = base.stand.spot_m.lerp(through, dice.within(0.25, 0.8));
    let diameter_m = dice.within(0.03f64.ln(), 0.4f64.ln()).exp();
    match dice.below(3) {
        0 => upright(
            base,
            foot,
            dice.within(0.9, 1.6),
            diameter_m,
            Kind::SwitchStand,
        ),
        1 => upright(base, foot, dice.within(1.2, 3.0), diameter_m, Kind::Mast),
        _ => upright(base, foot, dice.within(1.5, 9.0), diameter_m, Kind::Pole),
    }
}

/// How many things are to grow from the roof for a wanted count: where a few will do, one to four by lot.
pub fn growths(wanted: f64, dice: &mut Dice) -> usize {
    match wanted >= 3.0 {
        true => 3 + dice.below(3),
        false => 1 + dice.below(4),
    }
}

/// A shed close behind the machine, or a pole beside it.
pub fn clutter(base: &Posed, dice: &mut Dice) -> Option<Object> {
    let scene = &base.room.scene;
    if dice.share() < 0.3 {
        let beside = [dice.within(-0.35, -0.1), dice.within(1.1, 1.35)][dice.below(2)];
        let foot = on_machine(base, beside);
        let away = (foot - base.stand.spot_m).normalize() * dice.within(4.0, 25.0);
        return upright(base, foot + away, dice.within(8.0, 11.0), 0.28, Kind::Pole);
    }
    let through = on_machine(base, dice.within(0.1, 0.9));
    let away = (through - base.stand.spot_m).normalize();
    let middle = through + away * dice.within(9.0, 30.0);
    let along = base.room.frame.forward * dice.within(4.0, 9.0);
    let deep = base.room.frame.forward.perp() * dice.within(3.0, 5.0);
    let corners = [-along - deep, along - deep, along + deep, deep - along].map(|by| middle + by);
    let ground_m = -scene.ground_below_rail_m(middle);
    // A point of each wall and each corner: sheds do not stand on tracks.
    let around = (0..4).flat_map(|k| (0..4).map(move |n| (k, f64::from(n) / 4.0)));
    let mut around = around.map(|(k, share)| corners[k].lerp(corners[(k + 1) % 4], share));
    let on_track = |at: DVec2| {
        scene
            .tracks
            .iter()
            .any(|track| track.nearest(at).1 < CLEAR_M)
    };
    if around.any(on_track) {
        return None;
    }
    let look = Look {
        walls: BOARDS,
        roof: Roof::Gable,
        roof_rise_m: 1.6,
        storeys: 1,
        doors_m: vec![],
        door_width_m: 3.0,
    };
    let height_m = dice.within(3.2, 6.0);
    let build = building(
        &corners,
        ground_m,
        height_m,
        &look,
        base.room.frame.origin_m,
    );
    Some(Object::of("shed".into(), Kind::Building, build))
}

/// Somebody beside the machine, or before it.
pub fn somebody(base: &Posed, dice: &mut Dice) -> Option<Object> {
    let scene = &base.room.scene;
    let by = on_machine(base, dice.within(-0.12, 1.12));
    let toward = (base.stand.spot_m - by).normalize();
    let foot = by + toward * dice.within(3.4, 7.0);
    let ground_m = -scene.ground_below_rail_m(foot);
    let on_track = |track: &crate::scene::track::Track| track.nearest(foot).1 < CLEAR_M - 1.0;
    let filled = base.room.obstacles.person_in(foot, ground_m).is_some();
    if filled || scene.tracks.iter().any(on_track) {
        return None;
    }
    let jacket = [ORANGE, BLUE][dice.below(2)];
    let height_m = dice.within(1.62, 1.86);
    let build = figure::person(
        foot.extend(ground_m),
        height_m,
        dice.within(0.0, 360.0),
        jacket,
    );
    Some(Object::of("bystander".into(), Kind::Person, build))
}
