//! The fewest moves that are known to mend a frame: runs of one command, tried and proved by grading. May not enter:
//! what a learner does.

use crate::grade::Verdict;
use crate::practise::fault::{FaultKind, Remedy};
use crate::practise::posed::{Posed, Seen};
use crate::rehearsal::command::Command;
use crate::rehearsal::steps;

/// A run of one command: one move, however often its key is pressed.
pub type Run = (Command, u32);

/// The longest run that is tried.
const LONGEST: u32 = 60;
/// The longest that is tried to free a frame of one fault.
const FREED: u32 = 36;

/// The frame after one press of a command; none where it does nothing there, is refused, or is not the photographer's.
pub fn pressed(posed: &Posed, command: Command) -> Result<Option<Posed>, String> {
    let mut next = posed.clone();
    if let Some(by) = steps::of_clock(command) {
        next.at += by;
        return Ok(Some(next));
    }
    let room = &posed.room;
    let lenses_mm = &room.scene.kit.lenses_mm;
    let Some(stand) = steps::of_stand(command, &posed.stand, room, lenses_mm) else {
        return Ok(None);
    };
    next.stand = stand?;
    if next.stand == posed.stand {
        return Ok(None);
    }
    let moved = next.stand.spot_m != posed.stand.spot_m;
    if moved && posed.is_allowed() {
        let refusal = room
            .scene
            .may_stand(&room.obstacles, next.stand.spot_m)
            .err();
        if let Some(why) = refusal {
            return Err(why.to_string());
        }
    }
    Ok(Some(next))
}

/// The verdict that a frame has at least, at full size.
pub fn is_good(posed: &Posed) -> bool {
    posed.proved().graded.sheet.verdict >= Verdict::Good
}

/// Whether it seems so: closed form first, then at search size.
fn seems_good(posed: &Posed) -> bool {
    let room = &posed.room;
    let tally = room.geometry_tally(&posed.stand, &posed.capture());
    let moment = room.moment(posed.at);
    room.bound(&tally, &posed.stand, &moment).verdict() >= Verdict::Good
        && posed.roughly().graded.sheet.verdict >= Verdict::Good
}

/// The commands that may mend a kind of fault, the likeliest first.
fn likely(kind: FaultKind) -> Vec<Command> {
    use Command::*;
    let of = |remedy: &Remedy| match remedy {
        Remedy::Level => vec![Level],
        Remedy::Turn => vec![Balance, AimLeft, AimRight],
        Remedy::Height => vec![Lower, Raise],
        Remedy::Aside => vec![WalkLeft, WalkRight],
        Remedy::Back => vec![WalkFarther, ShorterLens, ShorterFine],
        Remedy::Closer => vec![LongerLens, LongerFine, WalkNearer],
        Remedy::Hour => vec![Later, Earlier],
        Remedy::OtherEnd | Remedy::Expose | Remedy::Ask => vec![],
    };
    kind.remedies().iter().flat_map(of).collect()
}

/// Every command of camera and clock.
pub const ALL: [Command; 24] = [
    Command::Level,
    Command::Balance,
    Command::WalkLeft,
    Command::WalkRight,
    Command::WalkNearer,
    Command::WalkFarther,
    Command::Raise,
    Command::Lower,
    Command::AimLeft,
    Command::AimRight,
    Command::AimUp,
    Command::AimDown,
    Command::RollLeft,
    Command::RollRight,
    Command::LongerLens,
    Command::ShorterLens,
    Command::LongerFine,
    Command::ShorterFine,
    Command::Earlier,
    Command::Later,
    Command::EarlierFine,
    Command::LaterFine,
    Command::WalkLeftFine,
    Command::WalkRightFine,
];

/// The shortest run of a command after which a frame is good, proved.
pub fn run(posed: &Posed, command: Command) -> Option<(Run, Posed)> {
    let mut now = posed.clone();
    for times in 1..=LONGEST {
        now = pressed(&now, command).ok().flatten()?;
        if seems_good(&now) && is_good(&now) {
            return Some(((command, times), now));
        }
        // What is set, not moved, is set by one press.
        if matches!(command, Command::Level | Command::Balance) {
            return None;
        }
    }
    None
}

/// The shortest run of a command that is likely to help, and a turn to the machine where it takes one, after which a kind
/// of fault is not found any more and the frame is good, proved.
pub fn freed(kind: FaultKind, posed: &Posed) -> Option<(Vec<Run>, Posed)> {
    let rulebook = posed.room.rulebook;
    let is_free = |seen: &Seen| {
        let sheet = &seen.graded.sheet;
        sheet.verdict >= Verdict::Good && !FaultKind::told_in(rulebook, sheet).contains(&kind)
    };
    let free = |now: &Posed| seems_good(now) && is_free(&now.roughly()) && is_free(&now.proved());
    likely(kind).into_iter().find_map(|command| {
        let mut now = posed.clone();
        for times in 1..=FREED {
            now = pressed(&now, command).ok().flatten()?;
            // Whoever walks turns the camera to the machine again.
            if free(&now) {
                return Some((vec![(command, times)], now));
            }
            let balanced = pressed(&now, Command::Balance).ok().flatten();
            if let Some(balanced) = balanced.filter(free) {
                return Some((vec![(command, times), (Command::Balance, 1)], balanced));
            }
        }
        None
    })
}

/// The fewest moves known: one run, or a run and what puts its own cost right (margins balanced, a longer lens after
/// walking back). None where nothing of that helps.
pub fn fewest(kind: FaultKind, posed: &Posed) -> Option<(Vec<Run>, Posed)> {
    let commands = likely(kind);
    let others = ALL.iter().filter(|command| !commands.contains(command));
    let mut single = commands.iter().chain(others);
    if let Some((run, mended)) = single.find_map(|command| run(posed, *command)) {
        return Some((vec![run], mended));
    }
    let seconds = [Command::LongerLens, Command::ShorterLens, Command::Balance];
    for command in commands {
        let mut now = posed.clone();
        for times in 1..=LONGEST {
            let Ok(Some(next)) = pressed(&now, command) else {
                break;
            };
            now = next;
            let second = (times == 1 || times % 2 == 0).then(|| {
                seconds.iter().find_map(|second| {
                    let after = pressed(&now, *second).ok().flatten()?;
                    (seems_good(&after) && is_good(&after)).then_some((*second, after))
                })
            });
            if let Some(Some((second, after))) = second {
                return Some((vec![(command, times), (second, 1)], after));
            }
        }
    }
    None
}
