//! Measures of the subject, from what the scene states. May not enter: pixels.

use crate::grade::{MeasureId, Measured, Merit};
use crate::scene::machine::{Condition, Machine};

/// Couplings, doors and dirt (people are seen in the frame: see `composition`).
pub fn stated(machine: &Machine, out: &mut Vec<Measured>) {
    out.push(Measured::flag(
        MeasureId::CoupledFront,
        machine.coupled_front,
    ));
    out.push(Measured::flag(MeasureId::CoupledRear, machine.coupled_rear));
    out.push(Measured::flag(MeasureId::DoorsOpen, machine.doors_open));
    let dirt = match machine.condition {
        Condition::Fresh | Condition::Clean => 0.0,
        Condition::Dirty => 1.0,
        Condition::Filthy => 2.0,
    };
    out.push(Measured::value(MeasureId::Dirt, dirt));
}

/// Merits: listed, and breaking ties.
pub fn merits(machine: &Machine) -> Vec<Merit> {
    let mut merits = Vec::new();
    if machine.condition == Condition::Fresh {
        merits.push(Merit::FreshPaint);
    }
    if !machine.coupled_front && !machine.coupled_rear {
        merits.push(Merit::Uncoupled);
    }
    if machine.rare {
        merits.push(Merit::Rare);
    }
    merits
}
