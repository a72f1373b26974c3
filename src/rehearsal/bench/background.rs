//! What may take seconds: the day's lanes, the ground shaded by verdict, the year's hours. Begun when things rest, given up
//! when they are of no use any more, and paused while something moves. May not enter: what was asked for by hand.

use super::wanted::{Board, Seen, Serves, Wanted};
use super::{News, Room, YearSoFar};
use crate::grade::Stand;
use crate::plan::day::{Day, NoDay, day_in_parts};
use crate::plan::here::{Eyes, Hold, Patch, here};
use crate::plan::hours::{Week, hours, weeks};
use crate::plan::request::Watch;
use crate::rehearsal::setting::Setting;
use crate::rehearsal::take::Take;
use crate::scene::machine::HeadEnd;
use chrono::{DateTime, Datelike, NaiveDate, Utc};
use std::sync::Arc;
use std::time::Duration;

/// Work begins when things have rested so long.
const REST: Duration = Duration::from_millis(300);

/// What one piece of work is for: while this is wanted it goes on.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Job {
    Ground(Setting, DateTime<Utc>, [u64; 2]),
    Day(Setting, Stand, Option<u64>, NaiveDate),
    Year(Setting, i32),
}

impl Job {
    /// What is wanted, the most pressing first.
    pub(super) fn of(wanted: &Wanted) -> Vec<Job> {
        let take = &wanted.take;
        let setting = take.setting.clone();
        let held = [take.stand.lens_mm, take.stand.height_m].map(f64::to_bits);
        let ground = Job::Ground(setting.clone(), take.at, held);
        let exposed = take.exposure_s.map(f64::to_bits);
        let lanes = Job::Day(setting.clone(), take.stand, exposed, wanted.date);
        let mut jobs = vec![lanes, ground];
        if wanted.year {
            jobs.push(Job::Year(setting, wanted.date.year()));
        }
        jobs
    }

    /// Whether it is the same kind of work.
    fn is_like(&self, other: &Job) -> bool {
        std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

/// The ground of a minute.
pub struct Ground {
    /// As far as it is known.
    pub patch: Patch,
    /// Of which setting, instant, lens and height.
    pub(super) of: Job,
}

impl Ground {
    /// Whether it is what a take makes of the ground.
    pub fn is_of(&self, setting: &Setting, at: DateTime<Utc>, stand: &Stand) -> bool {
        let held = [stand.lens_mm, stand.height_m].map(f64::to_bits);
        self.of == Job::Ground(setting.clone(), at, held)
    }

    /// Whether the machine stands as in a setting.
    pub fn is_on(&self, setting: &Setting) -> bool {
        matches!(&self.of, Job::Ground(own, ..) if own == setting)
    }
}

/// The day of a stand.
pub struct DayHere {
    /// The lanes.
    pub day: Day,
    /// Of which setting, stand and date.
    pub(super) of: Job,
}

impl DayHere {
    /// Whether it is that of a take's stand on a date.
    pub fn is_of(&self, take: &Take, date: NaiveDate) -> bool {
        let exposed = take.exposure_s.map(f64::to_bits);
        self.of == Job::Day(take.setting.clone(), take.stand, exposed, date)
    }
}

pub(super) fn run(board: &Board, tell: &(dyn Fn(News) + Sync)) {
    let threads = std::thread::available_parallelism().map_or(1, |cores| cores.get());
    // One core is left to the window.
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads((threads - 1).max(1))
        .build();
    let Ok(pool) = pool else { return };
    let mut done: Vec<Job> = vec![];
    let mut eyes: Option<(Setting, Eyes)> = None;
    loop {
        let next = |wanted: &Wanted| {
            let mut jobs = Job::of(wanted).into_iter();
            jobs.find(|job| !done.contains(job))
        };
        let seen = board.wait(|wanted, stood, prepared| match next(wanted) {
            Some(_) if stood < REST => Serves::After(REST - stood),
            Some(_) if prepared => Serves::Now,
            _ => Serves::Nothing,
        });
        let Seen::Wanted(wanted) = seen else { return };
        let Some(job) = next(&wanted) else { continue };
        let Some(room) = board.room(&wanted.take.setting) else {
            continue;
        };
        board.begin(job.clone());
        let finished = pool.install(|| match &job {
            Job::Ground(setting, ..) => {
                if eyes.as_ref().is_none_or(|(own, _)| own != setting) {
                    eyes = Some((setting.clone(), Eyes::default()));
                }
                let eyes = eyes.as_ref().map(|(_, eyes)| eyes);
                eyes.is_some_and(|eyes| ground(board, &room, &wanted, eyes, &job, tell))
            }
            Job::Day(.., date) => lanes(board, &room, &wanted.take, *date, &job, tell),
            Job::Year(setting, number) => year(board, &room, setting, *number, tell),
        });
        board.end();
        done.retain(|one| !one.is_like(&job));
        if finished {
            done.push(job);
        }
    }
}

/// Runs with a watch that gives up when the work is of no use any more, and waits while something moves.
fn watched<T>(board: &Board, told: impl Fn(f64) + Sync, work: impl FnOnce(&Watch) -> T) -> T {
    let on_step = |_: &str, share: f64| {
        board.pause_while_moving();
        told(share);
    };
    work(&Watch {
        cancel: board.stopped(),
        told: &on_step,
    })
}

fn ground(
    board: &Board,
    room: &Room,
    wanted: &Wanted,
    eyes: &Eyes,
    job: &Job,
    tell: &(dyn Fn(News) + Sync),
) -> bool {
    let minute = room.minute_at_size(wanted.take.at, &room.rulebook.search);
    let hold = Hold {
        lens_mm: wanted.take.stand.lens_mm,
        height_m: wanted.take.stand.height_m,
        capture: wanted.take.capture(),
    };
    let mut on_part = |patch: &Patch| {
        tell(News::Ground(Arc::new(Ground {
            patch: patch.clone(),
            of: job.clone(),
        })));
    };
    watched(
        board,
        |_| {},
        |watch| here(room, eyes, &minute, &hold, watch, &mut on_part).is_ok(),
    )
}

fn lanes(
    board: &Board,
    room: &Room,
    take: &Take,
    date: NaiveDate,
    job: &Job,
    tell: &(dyn Fn(News) + Sync),
) -> bool {
    let told = |day: &Day| {
        let (day, of) = (day.clone(), job.clone());
        tell(News::Day(Arc::new(DayHere { day, of })));
    };
    let capture = take.capture();
    let followed = watched(
        board,
        |_| {},
        |watch| {
            day_in_parts(room, &take.stand, &capture, date, watch, &mut |day| {
                told(day)
            })
        },
    );
    match followed {
        Ok(day) => {
            told(&day);
            true
        }
        // A day that the calendar leaves out has no lanes; one that was given up comes again when it is wanted.
        Err(NoDay::LeftOut { .. }) => true,
        Err(NoDay::Cancelled(_)) => false,
    }
}

fn year(
    board: &Board,
    room: &Room,
    setting: &Setting,
    number: i32,
    tell: &(dyn Fn(News) + Sync),
) -> bool {
    /// Minutes between the suns of a day.
    const EVERY_MIN: u32 = 15;
    let other = match setting.head_end {
        HeadEnd::First => HeadEnd::Second,
        _ => HeadEnd::First,
    };
    let nose_deg = room.scene.machine.forward_bearing_deg();
    let all = weeks(&room.scene.place.zone, number);
    let mut so_far = YearSoFar {
        year: number,
        setting: setting.clone(),
        head_ends: [setting.head_end, other],
        nose_bearings_deg: [nose_deg, crate::units::wrap_360(nose_deg + 180.0)],
        weeks: vec![None; all.len()],
        all,
        share: Some(0.0),
    };
    tell(News::Year(Arc::new(so_far.clone())));
    let mut on_week = |week: &Week| {
        let n = (week.of.first.ordinal0() / 7) as usize;
        if let Some(slot) = so_far.weeks.get_mut(n) {
            *slot = Some(week.clone());
        }
        let known = so_far.weeks.iter().flatten().count();
        so_far.share = Some(known as f64 / so_far.weeks.len().max(1) as f64);
        tell(News::Year(Arc::new(so_far.clone())));
    };
    watched(
        board,
        |_| {},
        |watch| hours(room, number, EVERY_MIN, watch, &mut on_week).is_ok(),
    )
}
