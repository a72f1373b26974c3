//! Clean frames of a site: stands and minutes without any finding, found by grading round the site's own frame. May not
//! enter: faults that are planted.

use super::dice::Dice;
use super::posed::Posed;
use crate::grade::{Stand, Tally, Verdict};
use crate::rehearsal::bench::Room;
use chrono::{DateTime, Duration, Utc};
use glam::DVec2;
use std::sync::Arc;

/// Stands that are looked at in closed form, at most.
const STANDS: usize = 1500;
/// Instants that are looked at from a stand whose composition is clean.
const INSTANTS: usize = 60;
/// Instants of a stand that are graded, at most.
const GRADED: usize = 8;
/// Days round the site's own date.
const DAYS: f64 = 100.0;
/// Hours round the site's own minute.
const HOURS: f64 = 9.0;

/// A stand somewhere round the machine, aimed for equal margins: the lens is what fills two thirds of the frame.
fn stand(room: &Room, dice: &mut Dice) -> Option<Stand> {
    let frame = &room.scene.frame;
    let kit = &room.scene.kit;
    let centre = room.frame.origin_m;
    let near = dice.share() < 0.4;
    let spot_m = if near {
        frame.spot_m + DVec2::new(dice.within(-8.0, 8.0), dice.within(-8.0, 8.0))
    } else {
        let forward = room.frame.forward;
        let off = dice.within(28f64.to_radians(), 55f64.to_radians());
        let turned = DVec2::from_angle(off * dice.sign()).rotate(forward);
        centre + turned * dice.within(16.0, 46.0)
    };
    room.scene.may_stand(&room.obstacles, spot_m).ok()?;
    let height_m = match kit.heights_m.len() {
        0 => frame.height_m,
        count => kit.heights_m[dice.below(count)],
    };
    let mut stand = Stand {
        spot_m,
        height_m,
        lens_mm: frame.lens_mm,
        heading_deg: 0.0,
        pitch_deg: 0.0,
        roll_deg: 0.0,
    };
    stand.heading_deg = room.balanced_heading_deg(&stand);
    // A longer lens enlarges the machine in the same measure: from this one's share to the share that is wanted.
    let camera = room.camera(&stand);
    let share = crate::camera::framing::margins(&camera, &room.stage.hull)?.width_share;
    if share > 0.05 {
        let lens_mm = stand.lens_mm * dice.within(0.64, 0.8) / share;
        stand.lens_mm = lens_mm
            .round()
            .clamp(kit.lenses_mm.first()?.min(35.0), 90.0);
        stand.heading_deg = room.balanced_heading_deg(&stand);
    }
    Some(stand)
}

/// An instant round the site's own.
fn instant(own: DateTime<Utc>, dice: &mut Dice) -> DateTime<Utc> {
    let days = dice.within(-DAYS, DAYS).round() as i64;
    let minutes = (dice.within(-HOURS, HOURS) * 12.0).round() as i64 * 5;
    own + Duration::days(days) + Duration::minutes(minutes)
}

/// Up to `most` clean frames of a site, each proved at full size; fewer, or none, where the site has few. `stop`
/// gives up.
pub fn clean_frames(
    room: &Arc<Room>,
    own: DateTime<Utc>,
    dice: &mut Dice,
    most: usize,
    stop: &dyn Fn() -> bool,
) -> Vec<Posed> {
    let mut found = vec![];
    for _ in 0..STANDS {
        if found.len() >= most || stop() {
            break;
        }
        let Some(stand) = stand(room, dice) else {
            continue;
        };
        let capture = room.default_capture();
        if room.geometry_tally(&stand, &capture).verdict() < Verdict::Fine {
            continue;
        }
        let composed = {
            let search = &room.rulebook.search;
            room.compose(&stand, &capture, search, crate::grade::WIDEST_GRADED_DEG)
        };
        let mut tally = Tally::new(room.rulebook.faults.len());
        tally.add_measured(room.rulebook, &composed.measured);
        if tally.verdict() < Verdict::Fine {
            continue;
        }
        let may = |at: &DateTime<Utc>| {
            let moment = room.moment(*at);
            room.bound(&tally, &stand, &moment).verdict() == Verdict::Fine
        };
        let instants: Vec<_> = (0..INSTANTS)
            .map(|_| instant(own, dice))
            .filter(may)
            .collect();
        let clean = instants.into_iter().take(GRADED).find_map(|at| {
            let minute = room.minute_at_size(at, &room.rulebook.search);
            let rough = room.grade_unmended(&composed, &minute);
            if rough.sheet.verdict < Verdict::Fine {
                return None;
            }
            let posed = Posed {
                room: Arc::clone(room),
                stand,
                at,
                exposure_s: None,
            };
            let sheet = posed.proved().graded.sheet;
            (sheet.verdict == Verdict::Fine && sheet.findings.is_empty()).then_some(posed)
        });
        found.extend(clean);
    }
    found
}
