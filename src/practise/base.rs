//! Frames of a site from which rounds are made: the best that it gives, found by grading stands on its own ground with
//! its own lenses. May not enter: faults that are planted.

use super::dice::Dice;
use super::posed::Posed;
use crate::grade::{
    Composed, Finding, Grade, Sheet, Stand, Tally, Verdict, WIDEST_GRADED_DEG, judge,
};
use crate::plan::spots::first_look;
use crate::rehearsal::bench::Room;
use crate::scene::Scene;
use crate::scene::clearing::Cleared;
use crate::scene::machine::Condition;
use crate::sky::daylight::SkyCondition;
use chrono::{DateTime, Duration, Utc};
use glam::DVec2;
use std::sync::Arc;

/// Spots of allowed ground that are looked at, and those beside the scene's own.
const SPOTS: f64 = 260.0;
const OWN_SPOTS: usize = 40;
const OWN_M: f64 = 8.0;
/// Spots do not lie in rows: each is moved by up to so much.
const JITTER_M: f64 = 0.4;
/// Stands that are drawn, at most.
const LOOKED: usize = 110;
/// Instants that are drawn by lot for a stand; those of them that are drawn as pictures.
const INSTANTS: usize = 240;
const GRADED: usize = 4;
/// Where none is clean, so many times as many are found as are kept.
const MORE: usize = 3;
/// Pictures of the light in all, at most, for each kind of frame that is looked for.
const LIGHT: usize = 130;
/// Days round the site's own date: every sun of a year comes up.
const DAYS: f64 = 183.0;
/// Hours round the site's own minute.
const HOURS: f64 = 9.0;

/// A frame from which others are made.
#[derive(Clone)]
pub struct Base {
    /// The frame.
    pub posed: Posed,
    /// What the place itself has against it, slight all of it; nothing where it is clean.
    pub given: Vec<Finding>,
    /// Its score.
    score: f64,
}

/// What a site gives.
pub struct Bases {
    /// Its frames: clean ones, else the best that there are.
    pub frames: Vec<Base>,
    /// Where there are none, what is wrong with the best.
    pub why: Option<String>,
}

/// The site as it is practised on: what comes and goes is put right, so that it can be planted.
pub fn calmed(scene: &Scene) -> Scene {
    let machine = &scene.machine;
    let is_calm = !machine.doors_open
        && !machine.coupled_front
        && !machine.coupled_rear
        && matches!(machine.condition, Condition::Fresh | Condition::Clean);
    let mut calm = match is_calm {
        true => scene.clone(),
        false => scene.with_machine(|machine| {
            machine.model = Arc::clone(&machine.shut);
            machine.doors_open = false;
            machine.couple(None, None);
            machine.condition = Condition::Clean;
        }),
    };
    calm.sky = SkyCondition::Clear;
    let cleared = Cleared {
        people: true,
        ..calm.cleared
    };
    calm.with_cleared(cleared)
}

/// Up to `most` frames of a site, each proved at full size: clean ones where it has any, else those with the least
/// against them, all of it slight. `stop` gives up.
pub fn bases(
    room: &Arc<Room>,
    own: DateTime<Utc>,
    dice: &mut Dice,
    most: usize,
    stop: &dyn Fn() -> bool,
) -> Bases {
    let mut hunt = Hunt {
        room,
        own,
        most,
        stop,
        light: 0,
        found: vec![],
    };
    let stands = hunt.stands(dice);
    let mut seen: Vec<(f64, Composed)> = vec![];
    let may = stands.iter().filter(|one| one.0.verdict() >= Verdict::Good);
    for (_, stand) in may.take(LOOKED) {
        if hunt.is_over(LIGHT) {
            break;
        }
        let search = &room.rulebook.search;
        let capture = room.default_capture();
        let composed = room.compose(stand, &capture, search, WIDEST_GRADED_DEG);
        let tally = hunt.tally(&composed);
        match tally.verdict() {
            Verdict::Fine => {
                hunt.light(&composed, Verdict::Fine, dice);
                seen.push((tally.score(), composed));
            }
            Verdict::Good => seen.push((tally.score(), composed)),
            _ => {}
        }
    }
    // The least against it first; of equals the first that was drawn by lot.
    seen.sort_by(|a, b| b.0.total_cmp(&a.0));
    if hunt.found.is_empty() {
        hunt.light = 0;
        hunt.most = MORE * most;
        for (_, composed) in &seen {
            if hunt.is_over(LIGHT) {
                break;
            }
            hunt.light(composed, Verdict::Good, dice);
        }
        hunt.found.sort_by(|a, b| b.score.total_cmp(&a.score));
        hunt.found.truncate(most);
    }
    let why = hunt.found.is_empty() && !stop();
    let best = seen.into_iter().next().map(|(_, composed)| composed);
    let why = why.then(|| hunt.why(best, &stands, dice));
    Bases {
        frames: hunt.found,
        why,
    }
}

/// The search.
struct Hunt<'a> {
    room: &'a Arc<Room>,
    own: DateTime<Utc>,
    most: usize,
    stop: &'a dyn Fn() -> bool,
    /// Pictures of the light so far.
    light: usize,
    found: Vec<Base>,
}

impl Hunt<'_> {
    fn is_over(&self, light: usize) -> bool {
        self.found.len() >= self.most || self.light >= light || (self.stop)()
    }

    /// Stands on allowed ground with the kit's heights and lenses, by what geometry says: those without fault first, in
    /// an order drawn by lot.
    fn stands(&self, dice: &mut Dice) -> Vec<(Tally, Stand)> {
        let room = self.room;
        let scene = &room.scene;
        let mut spots: Vec<DVec2> = first_look(room, SPOTS)
            .into_iter()
            .map(|spot| {
                let by = DVec2::new(dice.within(-1.0, 1.0), dice.within(-1.0, 1.0));
                spot.at_m + by * JITTER_M
            })
            .collect();
        spots.extend((0..OWN_SPOTS).map(|_| {
            let by = DVec2::new(dice.within(-1.0, 1.0), dice.within(-1.0, 1.0));
            scene.frame.spot_m + by * OWN_M
        }));
        spots.retain(|spot| scene.may_stand(&room.obstacles, *spot).is_ok());
        let capture = room.default_capture();
        let mut stands = vec![];
        for spot_m in spots {
            for height_m in &scene.kit.heights_m {
                for lens_mm in &scene.kit.lenses_mm {
                    let mut stand = Stand {
                        spot_m,
                        height_m: *height_m,
                        lens_mm: *lens_mm,
                        heading_deg: 0.0,
                        pitch_deg: 0.0,
                        roll_deg: 0.0,
                    };
                    stand.heading_deg = room.balanced_heading_deg(&stand);
                    stands.push((room.geometry_tally(&stand, &capture), stand));
                }
            }
            if (self.stop)() {
                break;
            }
        }
        dice.shuffle(&mut stands);
        stands.sort_by_key(|(tally, _)| std::cmp::Reverse(tally.verdict()));
        stands
    }

    fn tally(&self, composed: &Composed) -> Tally {
        let mut tally = Tally::new(self.room.rulebook.faults.len());
        tally.add_measured(self.room.rulebook, &composed.measured);
        tally
    }

    /// Instants of the year at which closed form lets a frame be so good.
    fn instants(&self, composed: &Composed, least: Verdict, dice: &mut Dice) -> Vec<DateTime<Utc>> {
        let tally = self.tally(composed);
        let instant = |_| {
            let days = dice.within(-DAYS, DAYS).round() as i64;
            let minutes = (dice.within(-HOURS, HOURS) * 12.0).round() as i64 * 5;
            self.own + Duration::days(days) + Duration::minutes(minutes)
        };
        let may = |at: &DateTime<Utc>| {
            let moment = self.room.moment(*at);
            self.room.bound(&tally, &composed.stand, &moment).verdict() >= least
        };
        (0..INSTANTS)
            .map(instant)
            .filter(may)
            .take(GRADED)
            .collect()
    }

    /// Looks for light in which a stand's frame is so good, and keeps the best.
    fn light(&mut self, composed: &Composed, least: Verdict, dice: &mut Dice) {
        let room = self.room;
        let mut rough = vec![];
        for at in self.instants(composed, least, dice) {
            self.light += 1;
            let minute = room.minute_at_size(at, &room.rulebook.search);
            let sheet = room.grade_unmended(composed, &minute).sheet;
            if sheet.verdict >= least {
                rough.push((sheet.score, at));
            }
        }
        rough.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (_, at) in rough {
            let posed = Posed {
                room: Arc::clone(room),
                stand: composed.stand,
                at,
                exposure_s: None,
            };
            let sheet = posed.proved().graded.sheet;
            if sheet.verdict >= least && is_slight(&sheet, least) {
                self.found.push(Base {
                    posed,
                    given: sheet.findings,
                    score: sheet.score,
                });
                return;
            }
        }
    }

    /// What is wrong with the best frame, in a clause.
    fn why(&self, best: Option<Composed>, stands: &[(Tally, Stand)], dice: &mut Dice) -> String {
        let room = self.room;
        let by_score =
            |a: &&(Tally, Stand), b: &&(Tally, Stand)| a.0.score().total_cmp(&b.0.score());
        let sheet = match (best, stands.iter().max_by(by_score)) {
            (None, None) => return "nobody may stand anywhere near the machine".into(),
            // The light is what fails.
            (Some(composed), _) => {
                let rough = |at| {
                    let minute = room.minute_at_size(at, &room.rulebook.search);
                    room.grade_unmended(&composed, &minute).sheet
                };
                let instants = self.instants(&composed, Verdict::Lost, dice);
                let sheets = instants.into_iter().map(rough);
                sheets.max_by(|a, b| a.score.total_cmp(&b.score))
            }
            (None, Some((_, stand))) => {
                let capture = room.default_capture();
                let search = &room.rulebook.search;
                let composed = room.compose(stand, &capture, search, WIDEST_GRADED_DEG);
                Some(judge(room.rulebook, &composed.measured))
            }
        };
        let worst = sheet.and_then(|sheet| sheet.findings.into_iter().next());
        worst.map_or("no frame of it is even good".into(), |worst| {
            crate::grade::wording::lower_first(worst.what())
        })
    }
}

/// Whether there is nothing against a frame that is to be clean, and nothing worse than slight else.
fn is_slight(sheet: &Sheet, least: Verdict) -> bool {
    match least {
        Verdict::Fine => sheet.findings.is_empty(),
        _ => sheet.findings.iter().all(|one| one.grade <= Grade::Slight),
    }
}
