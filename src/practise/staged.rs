//! Faults of the subject and the sky: the machine turned, its doors open, dirty, coupled; the sun veiled. May not enter:
//! how bad that is.

use super::dice::Dice;
use super::posed::Posed;
use crate::scene::equipment::EquipmentKind;
use crate::scene::machine::Condition;
use crate::scene::standing::Misfit;
use crate::sky::daylight::SkyCondition;
use std::sync::Arc;

/// The machine turned end for end.
pub fn other_end(base: &Posed) -> Option<Posed> {
    let scene = &base.room.scene;
    let [_, other] = scene.machine.head_end.and_other();
    let turned = scene.with_head_end(other);
    Misfit::of(
        &turned.machine.model,
        &turned.tracks[turned.machine.track],
        turned.machine.chainage_m,
    )
    .is_none()
    .then(|| base.in_scene(turned))
}

/// Its doors open; none where the model has none that open.
pub fn doors(base: &Posed) -> Option<Posed> {
    let shut = &base.room.scene.machine.shut;
    if shut.hinged_doors.is_empty() {
        return None;
    }
    let open = Arc::new(shut.with_doors_open());
    let scene = base.room.scene.with_machine(|machine| {
        machine.model = open;
        machine.doors_open = true;
    });
    Some(base.in_scene(scene))
}

/// Dirty, or worse.
pub fn dirt(base: &Posed, dice: &mut Dice) -> Posed {
    let condition = match dice.below(2) {
        0 => Condition::Dirty,
        _ => Condition::Filthy,
    };
    let scene = base
        .room
        .scene
        .with_machine(|machine| machine.condition = condition);
    base.in_scene(scene)
}

/// Coupled at one of its ends, each kind of equipment once, as far as it finds room there.
pub fn coupled(base: &Posed, dice: &mut Dice) -> Vec<Posed> {
    let scene = &base.room.scene;
    let is_front = dice.share() < 0.5;
    let before = scene.run_into();
    let mut kinds = EquipmentKind::WORDS.map(|(_, kind)| kind);
    dice.shuffle(&mut kinds);
    let with = |kind| {
        let [front, rear] = match is_front {
            true => [Some(kind), None],
            false => [None, Some(kind)],
        };
        scene.with_machine(|machine| machine.couple(front, rear))
    };
    let scenes = kinds.into_iter().map(with);
    let free = scenes.filter(|scene| scene.run_into().iter().all(|name| before.contains(name)));
    free.take(2).map(|scene| base.in_scene(scene)).collect()
}

/// Under cirrus, or under clouds.
pub fn veil(base: &Posed, dice: &mut Dice) -> Posed {
    let mut scene = base.room.scene.clone();
    scene.sky = match dice.below(2) {
        0 => SkyCondition::ThinCirrus,
        _ => SkyCondition::Overcast,
    };
    base.in_scene(scene)
}
