//! Things that are put into a site to spoil a frame: what shades the machine, grows from its roof or stands before it.
//! May not enter: how bad that is.

use super::dice::Dice;
use super::posed::Posed;
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::uprights;
use crate::scene::surroundings::{Kind, Object};
use glam::{DVec2, DVec3};

const WOOD: Coat = Coat::new(Finish::Timber, [0x6a, 0x58, 0x48]);
const STEEL: Coat = Coat::new(Finish::Paint, [0x8c, 0x90, 0x92]);

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
    let through = on_machine(base, dice.within(0.15, 0.85));
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
    let through = on_machine(base, dice.within(0.05, 0.95));
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
