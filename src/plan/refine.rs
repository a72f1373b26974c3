//! Refining: a proposed stand and minute is moved in small steps at search size, then proved. May not
//! enter: the grid.

use crate::grade::measure::eye::{Eye, WIDEST_DEG};
use crate::grade::{Graded, Minute, Stand, Studio};
use crate::plan::request::{Cancelled, Watch};
use chrono::{DateTime, Duration, Utc};
use glam::DVec2;

/// First and last step of the spot, metres.
const SPOT_STEPS_M: [f64; 3] = [0.5, 0.25, 0.12];
/// Steps of time, seconds.
const TIME_STEPS_S: [i64; 3] = [240, 60, 30];

/// A stand and minute with what was drawn for it.
pub struct Held {
    /// Where and how.
    pub stand: Stand,
    /// When.
    pub at: DateTime<Utc>,
    /// The eye at search size.
    eye: Option<Eye>,
    /// The sun at search size.
    minute: Minute,
    /// Its grade at search size.
    pub score: f64,
}

impl Held {
    /// Draws and grades a stand and minute at search size.
    pub fn new(studio: &Studio, stand: Stand, at: DateTime<Utc>) -> Held {
        let eye = look(studio, &stand);
        let minute = studio.minute_at_size(at, &studio.rulebook.search);
        let mut held = Held {
            stand,
            at,
            eye,
            minute,
            score: 0.0,
        };
        held.score = held.grade(studio).sheet.score;
        held
    }

    /// The grade at search size.
    pub fn grade(&self, studio: &Studio) -> Graded {
        studio.grade_from(
            self.eye.as_ref(),
            &self.stand,
            &studio.default_capture(),
            &self.minute,
        )
    }

    /// The same minute from elsewhere; `None` where one may not stand.
    pub fn moved(&self, studio: &Studio, step_m: DVec2) -> Option<(Stand, Option<Eye>, Graded)> {
        let mut stand = self.stand;
        stand.spot_m += step_m;
        let scene = &studio.scene;
        scene.ground.may_stand(&scene.tracks, stand.spot_m).ok()?;
        stand.heading_deg = studio.balanced_heading_deg(&stand);
        let eye = look(studio, &stand);
        let graded = studio.grade_from(
            eye.as_ref(),
            &stand,
            &studio.default_capture(),
            &self.minute,
        );
        Some((stand, eye, graded))
    }

    /// The same stand at another minute.
    pub fn later(&self, studio: &Studio, seconds: i64) -> (DateTime<Utc>, Minute, Graded) {
        let at = self.at + Duration::seconds(seconds);
        let minute = studio.minute_at_size(at, &studio.rulebook.search);
        let graded = studio.grade_from(
            self.eye.as_ref(),
            &self.stand,
            &studio.default_capture(),
            &minute,
        );
        (at, minute, graded)
    }
}

fn look(studio: &Studio, stand: &Stand) -> Option<Eye> {
    studio.look_at_size(studio.eye(stand), &studio.rulebook.search, WIDEST_DEG)
}

/// Climbs by pattern search in spot and time until no step betters the score; the minute stays in
/// `from..=to`.
pub fn refine(
    studio: &Studio,
    mut held: Held,
    (from, to): (DateTime<Utc>, DateTime<Utc>),
    watch: &Watch,
) -> Result<Held, Cancelled> {
    for (step_m, step_s) in SPOT_STEPS_M.into_iter().zip(TIME_STEPS_S) {
        let mut rounds = 0;
        loop {
            watch.alive()?;
            let before = held.score;
            for seconds in [-step_s, step_s] {
                let (at, minute, graded) = held.later(studio, seconds);
                if at >= from && at <= to && graded.sheet.score > held.score {
                    (held.at, held.minute, held.score) = (at, minute, graded.sheet.score);
                }
            }
            for step in [DVec2::X, DVec2::NEG_X, DVec2::Y, DVec2::NEG_Y] {
                let Some((stand, eye, graded)) = held.moved(studio, step * step_m) else {
                    continue;
                };
                if graded.sheet.score > held.score {
                    (held.stand, held.eye, held.score) = (stand, eye, graded.sheet.score);
                }
            }
            rounds += 1;
            if held.score <= before + 1e-9 || rounds >= 12 {
                break;
            }
        }
    }
    Ok(held)
}
