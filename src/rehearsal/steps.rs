//! What a command does to a stand or to the clock, in steps of the keys: pure, so that a desk and a drill do the
//! same. May not enter: whether one may stand there, what can be taken back.

use super::bench::Room;
use super::command::Command;
use super::moves;
use crate::grade::Stand;
use chrono::Duration;

const WALK_M: f64 = 0.5;
const WALK_FINE_M: f64 = 0.1;
const RAISE_M: f64 = 0.1;
const AIM_DEG: f64 = 0.5;
const TILT_DEG: f64 = 0.2;
const ZOOM: f64 = 1.02;

/// The stand after a command of stand, aim or lens; none for other commands.
///
/// # Errors
/// One sentence: the kit has no such lens.
pub fn of_stand(
    command: Command,
    stand: &Stand,
    room: &Room,
    lenses_mm: &[f64],
) -> Option<Result<Stand, String>> {
    let walk = |right_m, forward_m| moves::walk(stand, right_m, forward_m, room.frame.origin_m);
    let aim =
        |right_deg, up_deg, clockwise_deg| moves::aim(stand, right_deg, up_deg, clockwise_deg);
    let moved = match command {
        Command::WalkLeft => walk(-WALK_M, 0.0),
        Command::WalkRight => walk(WALK_M, 0.0),
        Command::WalkNearer => walk(0.0, WALK_M),
        Command::WalkFarther => walk(0.0, -WALK_M),
        Command::WalkLeftFine => walk(-WALK_FINE_M, 0.0),
        Command::WalkRightFine => walk(WALK_FINE_M, 0.0),
        Command::WalkNearerFine => walk(0.0, WALK_FINE_M),
        Command::WalkFartherFine => walk(0.0, -WALK_FINE_M),
        Command::Raise => moves::raise(stand, RAISE_M),
        Command::Lower => moves::raise(stand, -RAISE_M),
        Command::AimLeft => aim(-AIM_DEG, 0.0, 0.0),
        Command::AimRight => aim(AIM_DEG, 0.0, 0.0),
        Command::AimUp => aim(0.0, TILT_DEG, 0.0),
        Command::AimDown => aim(0.0, -TILT_DEG, 0.0),
        Command::RollLeft => aim(0.0, 0.0, -TILT_DEG),
        Command::RollRight => aim(0.0, 0.0, TILT_DEG),
        Command::Level => Stand {
            pitch_deg: 0.0,
            roll_deg: 0.0,
            ..*stand
        },
        Command::Balance => Stand {
            heading_deg: room.balanced_heading_deg(stand),
            ..*stand
        },
        Command::LongerLens | Command::ShorterLens => {
            let longer = command == Command::LongerLens;
            let which = if longer { "longer" } else { "shorter" };
            let next = moves::next_lens(stand, lenses_mm, longer);
            return Some(next.ok_or_else(|| format!("The kit holds no {which} lens")));
        }
        Command::LongerFine => moves::zoom(stand, ZOOM),
        Command::ShorterFine => moves::zoom(stand, 1.0 / ZOOM),
        _ => return None,
    };
    Some(Ok(moved))
}

/// By how much a command sets the clock on (+) or back; none for other commands.
pub fn of_clock(command: Command) -> Option<Duration> {
    let minutes = match command {
        Command::Earlier => -5,
        Command::Later => 5,
        Command::EarlierFine => -1,
        Command::LaterFine => 1,
        _ => return None,
    };
    Some(Duration::minutes(minutes))
}
