//! Grades the frame that is wanted: at once at search size, at proof size when it has stood still, and then what causes
//! the finding that is asked about. May not enter: anything that takes longer than a proof.

use super::wanted::{Board, Seen, Serves, Wanted};
use super::{GradedTake, News, Room};
use crate::grade::measure::eye::Eye;
use crate::grade::rulebook::ViewSize;
use crate::grade::studio::WIDEST_GRADED_DEG;
use crate::grade::{MeasureId, Minute};
use crate::rehearsal::setting::Setting;
use crate::rehearsal::site::Site;
use crate::rehearsal::take::Take;
use glam::DVec3;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A frame that has stood so long is proved.
const STILL: Duration = Duration::from_millis(250);

/// Where the processor draws as well, it is left to the picture after a grade: a grade that costs little still has the
/// sheet and all that depends on it painted anew. Twelve a second are read as at once; where a grade is dear, ten.
fn pause(took: Duration) -> Duration {
    const LEAST: Duration = Duration::from_millis(80);
    const MOST: Duration = Duration::from_millis(95);
    (took * 5).clamp(LEAST, MOST).saturating_sub(took)
}

/// What was done last, so that nothing is done twice.
#[derive(Default)]
struct Done {
    room: Option<(Setting, Result<Arc<Room>, String>)>,
    graded: Option<Arc<GradedTake>>,
    pointed: Option<(Take, bool, MeasureId, usize)>,
    kept: [Kept; 2],
    /// When the last grade at search size was done, and how long it took.
    last: Option<(Instant, Duration)>,
}

/// Suns and eyes drawn last, at search and at proof size: a camera that turns needs neither anew.
#[derive(Default)]
struct Kept {
    minute: Option<Arc<Minute>>,
    eye: Option<(DVec3, Option<Arc<Eye>>)>,
}

/// What is to be done next.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Job {
    Build,
    Grade { proof: bool },
    Point(MeasureId, usize),
}

pub(super) fn run(
    site: &Site,
    (setting, room): (Setting, Arc<Room>),
    board: &Board,
    tell: &dyn Fn(News),
) {
    let mut done = Done {
        room: Some((setting, Ok(room))),
        ..Done::default()
    };
    loop {
        let seen = board.wait(|wanted, stood, _| match done.next(wanted) {
            Some(Job::Grade { proof: true }) if stood < STILL => Serves::After(STILL - stood),
            Some(Job::Grade { proof: false }) if wanted.yields && !done.pause().is_zero() => {
                Serves::After(done.pause())
            }
            Some(_) => Serves::Now,
            None => Serves::Nothing,
        });
        let Seen::Wanted(wanted) = seen else {
            return;
        };
        match done.next(&wanted) {
            Some(Job::Build) => done.build(site, &wanted.take.setting, tell),
            Some(Job::Grade { proof }) => done.grade(&wanted.take, proof, tell),
            Some(Job::Point(measure, width_px)) => done.point(measure, width_px, tell),
            None => {}
        }
    }
}

impl Done {
    /// The first thing that is wanted and not done.
    fn next(&self, wanted: &Wanted) -> Option<Job> {
        let take = &wanted.take;
        match &self.room {
            Some((setting, room)) if *setting == take.setting => room.as_ref().ok()?,
            _ => return Some(Job::Build),
        };
        let graded = self.graded.as_ref().filter(|graded| graded.take == *take);
        let Some(graded) = graded else {
            return Some(Job::Grade { proof: false });
        };
        if let Some((measure, width_px)) = wanted.finding {
            let asked = (take.clone(), graded.proved, measure, width_px);
            if self.pointed.as_ref() != Some(&asked) {
                return Some(Job::Point(measure, width_px));
            }
        }
        (!graded.proved).then_some(Job::Grade { proof: true })
    }

    /// What is left of the pause after the last grade.
    fn pause(&self) -> Duration {
        let left = |(at, took): (Instant, Duration)| pause(took).saturating_sub(at.elapsed());
        self.last.map_or(Duration::ZERO, left)
    }

    fn build(&mut self, site: &Site, setting: &Setting, tell: &dyn Fn(News)) {
        let kin = match &self.room {
            Some((_, Ok(room))) => Some(Arc::clone(room)),
            _ => None,
        };
        let room = setting.scene(&site.base, &site.models);
        let room = room.map(|scene| {
            Arc::new(Room::new(
                scene,
                site.rulebook,
                site.rasterizer,
                kin.as_deref(),
            ))
        });
        self.kept = Default::default();
        let room = room.map_err(|refusal| refusal.to_string());
        tell(match &room {
            Ok(room) => News::Studio(setting.clone(), Arc::clone(room)),
            Err(why) => News::Refused(setting.clone(), why.clone()),
        });
        self.room = Some((setting.clone(), room));
    }

    fn grade(&mut self, take: &Take, proof: bool, tell: &dyn Fn(News)) {
        let Some((_, Ok(room))) = &self.room else {
            return;
        };
        let start = Instant::now();
        let book = room.rulebook;
        let size = if proof { &book.proof } else { &book.search };
        let kept = &mut self.kept[usize::from(proof)];
        let minute = kept.minute(room, take, size);
        let eye = kept.eye(room, room.eye(&take.stand), size);
        let composed = room.compose_seen(eye, &take.stand, &take.capture());
        let graded = room.grade_at(&composed, &minute);
        let graded = Arc::new(GradedTake {
            take: take.clone(),
            composed,
            minute,
            graded,
            proved: proof,
        });
        tell(News::Graded(Arc::clone(&graded)));
        self.graded = Some(graded);
        self.last = (!proof).then(|| (Instant::now(), start.elapsed()));
    }

    fn point(&mut self, measure: MeasureId, width_px: usize, tell: &dyn Fn(News)) {
        let (Some((_, Ok(room))), Some(graded)) = (&self.room, &self.graded) else {
            return;
        };
        let culprits = room.culprits(&graded.composed, &graded.minute, measure, width_px);
        let take = graded.take.clone();
        self.pointed = Some((take.clone(), graded.proved, measure, width_px));
        tell(News::Culprits(take, measure, Box::new(culprits)));
    }
}

impl Kept {
    fn minute(&mut self, room: &Room, take: &Take, size: &ViewSize) -> Arc<Minute> {
        match &self.minute {
            Some(minute) if minute.at == take.at => Arc::clone(minute),
            _ => {
                let minute = Arc::new(room.minute_at_size(take.at, size));
                self.minute = Some(Arc::clone(&minute));
                minute
            }
        }
    }

    fn eye(&mut self, room: &Room, at: DVec3, size: &ViewSize) -> Option<Arc<Eye>> {
        match &self.eye {
            Some((known, eye)) if *known == at => eye.clone(),
            _ => {
                let eye = room.look_at_size(at, size, WIDEST_GRADED_DEG).map(Arc::new);
                self.eye = Some((at, eye.clone()));
                eye
            }
        }
    }
}
