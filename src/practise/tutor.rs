//! The tutor: what is worked out beside the page, so that nothing blocks it: sites read, frames dealt, painted and
//! looked through. One thread, one thing after another; it answers with news. May not enter: widgets, answers.

use super::deal::{Course, Dealt};
use super::dice::Dice;
use super::drill::hour::Hour;
use super::drill::mend::Mend;
use super::drill::mended::{mended, time_told};
use super::drill::spot::Spot;
use super::drill::truth::{Truth, truth};
use super::fault::FaultKind;
use super::posed::{Posed, Seen};
use super::progress::{Drill, Progress};
use crate::document::render;
use crate::gpu::choice::Choice;
use crate::grade::{Graded, Rulebook};
use crate::picture::painter::Painter;
use crate::picture::png::Picture;
use crate::picture::predicted::predicted;
use crate::rehearsal::bench::Waker;
use crate::rehearsal::opening::open;
use crate::sighting::rasterizer::Rasterizer;
use chrono::{DateTime, Utc};
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread::JoinHandle;

/// With what a tutor works.
#[derive(Clone)]
pub struct Means {
    /// Scenes, in the order in which they are read.
    pub scenes: Vec<PathBuf>,
    /// The rules.
    pub rulebook: &'static Rulebook,
    /// Who draws what eyes and suns see.
    pub rasterizer: &'static dyn Rasterizer,
    /// Who paints.
    pub painter: Choice,
    /// Pixels across of a large frame.
    pub width_px: usize,
    /// By which everything is drawn by lot.
    pub seed: u64,
    /// The day on which the program runs.
    pub today: DateTime<Utc>,
}

/// A round that was dealt.
pub enum Play {
    /// Spot the fault.
    Spot(Box<Spot>),
    /// Mend it.
    Mend(Box<Mend>),
    /// Call the hour.
    Hour(Box<Hour>),
}

/// What is asked for.
enum Job {
    /// A round by its number, on what the learner has shown so far.
    Deal(Drill, u64, Box<Progress>),
    /// A frame graded and painted anew, of a round.
    Look(u64, Box<Posed>),
}

/// What is told.
pub enum News {
    /// A site was read; or its file and why it could not be.
    Site(Result<Read, (PathBuf, String)>),
    /// A round, by its number; none where no site gives one.
    Round(u64, Option<Play>),
    /// Its frame.
    Frame(u64, Arc<Picture>),
    /// What is true of it.
    Truth(u64, Box<Truth>),
    /// The mended frame, or the one when the light is gone; and what was changed, in a phrase.
    Beside(u64, Arc<Picture>, String),
    /// A frame that was asked to be looked at.
    Looked(u64, Box<Posed>, Arc<Seen>, Arc<Picture>),
}

/// A site that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// Its name.
    pub name: String,
    /// How many frames it gives.
    pub frames: usize,
    /// Whether they are clean.
    pub is_clean: bool,
    /// Where it gives none, what is wrong with the best.
    pub why: Option<String>,
}

/// Pixels across of the frame beside, at most.
const BESIDE_PX: usize = 520;

/// The tutor.
pub struct Tutor {
    jobs: Option<Sender<Job>>,
    news: Receiver<News>,
    stop: Arc<AtomicBool>,
    /// Jobs that were asked and not taken up yet.
    asked: Arc<AtomicUsize>,
    thread: JoinHandle<()>,
}

impl Tutor {
    /// Sets to work.
    pub fn new(means: Means, waker: Waker) -> Tutor {
        let (jobs, wanted) = channel();
        let (tell, news) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = Arc::clone(&stop);
        let asked = Arc::new(AtomicUsize::new(0));
        let waiting = Arc::clone(&asked);
        let thread = std::thread::spawn(move || {
            let tell = |one| {
                if tell.send(one).is_ok() {
                    waker();
                }
            };
            Work::new(means, &stopped, &waiting, &tell).run(&wanted);
        });
        Tutor {
            jobs: Some(jobs),
            news,
            stop,
            asked,
            thread,
        }
    }

    /// Whether it has come to an end by itself, which it should not.
    pub fn has_ended(&self) -> bool {
        self.thread.is_finished()
    }

    fn ask(&self, job: Job) {
        // Nobody is left to work only where it has ended, which the page tells.
        self.asked.fetch_add(1, Ordering::Relaxed);
        let _ = self.jobs.as_ref().map(|jobs| jobs.send(job));
    }

    /// Asks for a round.
    pub fn deal(&self, drill: Drill, round: u64, progress: &Progress) {
        self.ask(Job::Deal(drill, round, Box::new(progress.clone())));
    }

    /// Asks for a frame to be graded and painted; an older wish is forgotten.
    pub fn look(&self, round: u64, posed: &Posed) {
        self.ask(Job::Look(round, Box::new(posed.clone())));
    }

    /// What has been told since.
    pub fn news(&self) -> impl Iterator<Item = News> {
        self.news.try_iter()
    }
}

impl Drop for Tutor {
    fn drop(&mut self) {
        // It is not waited for: whoever leaves the page does so at once, and the thread finds out by itself.
        self.stop.store(true, Ordering::Relaxed);
        self.jobs = None;
    }
}

/// The thread's own things.
struct Work<'a> {
    means: Means,
    stop: &'a AtomicBool,
    asked: &'a AtomicUsize,
    tell: &'a dyn Fn(News),
    painter: Option<Painter>,
    sites: Vec<Site>,
    /// What is still to be told of the last round.
    after: Option<(u64, After)>,
}

/// What is worked out after a frame has been told.
struct After {
    posed: Posed,
    seen: Arc<Seen>,
    kind: Option<FaultKind>,
    beside: Beside,
}

/// Which frame stands beside, and in words what was changed.
enum Beside {
    Nothing,
    /// What mends this one.
    Mended(Box<Dealt>),
    Known(Box<Posed>, String),
}

impl Beside {
    fn of(play: &Play) -> Beside {
        match play {
            Play::Spot(spot) if spot.dealt.planted.is_none() => Beside::Nothing,
            Play::Spot(spot) => Beside::Mended(Box::new(spot.dealt.clone())),
            Play::Mend(mend) => Beside::Known(Box::new(mend.fewest.1.clone()), String::new()),
            Play::Hour(hour) => {
                let gone = Posed {
                    at: hour.gone_at,
                    ..hour.posed.clone()
                };
                let words = time_told(&gone);
                Beside::Known(Box::new(gone), words)
            }
        }
    }
}

/// A site, as far as it is known.
enum Site {
    Unread(PathBuf),
    Course(Box<Course>),
    Broken,
}

impl<'a> Work<'a> {
    fn new(
        means: Means,
        stop: &'a AtomicBool,
        asked: &'a AtomicUsize,
        tell: &'a dyn Fn(News),
    ) -> Work<'a> {
        // Without an adapter the processor paints.
        let painter = Painter::open(means.painter).or_else(|_| Painter::open(Choice::Cpu));
        let mut sites: Vec<Site> = means.scenes.iter().cloned().map(Site::Unread).collect();
        Dice::new(means.seed, u64::MAX - 1).shuffle(&mut sites);
        Work {
            sites,
            after: None,
            painter: painter.ok(),
            means,
            stop,
            asked,
            tell,
        }
    }

    fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// Does what is asked first; sites are read ahead while nothing is.
    fn run(mut self, wanted: &Receiver<Job>) {
        let mut waiting: VecDeque<Job> = VecDeque::new();
        while !self.is_stopped() {
            loop {
                match wanted.try_recv() {
                    Ok(job) => self.take_up(&mut waiting, job),
                    Err(TryRecvError::Empty) => break,
                    Err(TryRecvError::Disconnected) => return,
                }
            }
            if let Some(job) = waiting.pop_front() {
                self.work(job);
                continue;
            }
            if let Some((round, after)) = self.after.take() {
                self.tell_after(round, after);
                continue;
            }
            let is_unread = |site: &Site| matches!(site, Site::Unread(_));
            match self.sites.iter().position(is_unread) {
                Some(next) => self.read(next, true),
                None => match wanted.recv() {
                    Ok(job) => self.take_up(&mut waiting, job),
                    Err(_) => return,
                },
            }
        }
    }

    fn take_up(&self, waiting: &mut VecDeque<Job>, job: Job) {
        self.asked.fetch_sub(1, Ordering::Relaxed);
        push(waiting, job);
    }

    /// Reads a site, unless that was done. What is read `ahead` is left as soon as something is asked, and begun anew
    /// later.
    fn read(&mut self, number: usize, ahead: bool) {
        let Site::Unread(path) = &self.sites[number] else {
            return;
        };
        let path = path.clone();
        let Means {
            rulebook,
            rasterizer,
            today,
            seed,
            ..
        } = self.means;
        let (site, told) = match open(&path, rulebook, rasterizer, today) {
            Ok(opened) => {
                let name = opened.site.base.name.clone();
                let is_asked = || ahead && self.asked.load(Ordering::Relaxed) > 0;
                let stop = || self.is_stopped() || is_asked();
                let course = Course::find(&name, &opened.room, opened.take.at, seed, &stop);
                if stop() {
                    return;
                }
                let told = Read {
                    name,
                    frames: course.frames.len(),
                    is_clean: course.frames.iter().any(|base| base.given.is_empty()),
                    why: course.why.clone(),
                };
                (Site::Course(Box::new(course)), Ok(told))
            }
            Err(problems) => (Site::Broken, Err((path, render(&problems, false)))),
        };
        self.sites[number] = site;
        (self.tell)(News::Site(told));
    }

    /// The round of a number: each has its own site, so that the same seed deals the same whenever a site was read;
    /// where that gives none, the next ones are asked.
    fn dealt<T>(&mut self, round: u64, deal: impl Fn(&[Course]) -> Option<T>) -> Option<T> {
        let count = self.sites.len();
        for k in 0..count {
            if self.is_stopped() {
                return None;
            }
            let number = (round as usize + k) % count;
            self.read(number, false);
            let dealt = match &self.sites[number] {
                Site::Course(course) => deal(std::slice::from_ref(course)),
                _ => None,
            };
            if dealt.is_some() {
                return dealt;
            }
        }
        None
    }

    fn work(&mut self, job: Job) {
        match job {
            Job::Deal(drill, round, progress) => self.deal(drill, round, &progress),
            Job::Look(round, posed) => {
                let seen = Arc::new(posed.proved());
                let width = self.means.width_px;
                if let Some(picture) = self.paint(&posed, &seen.graded, width) {
                    (self.tell)(News::Looked(round, posed, seen, picture));
                }
            }
        }
    }

    fn deal(&mut self, drill: Drill, round: u64, progress: &Progress) {
        let seed = self.means.seed;
        let play = self.dealt(round, |courses| match drill {
            Drill::Spot => {
                Spot::deal(courses, progress, seed, round).map(|it| Play::Spot(it.into()))
            }
            Drill::Mend => Mend::deal(courses, seed, round).map(|it| Play::Mend(it.into())),
            Drill::Hour => Hour::deal(courses, seed, round).map(|it| Play::Hour(it.into())),
        });
        let Some(play) = play else {
            (self.tell)(News::Round(round, None));
            return;
        };
        let (posed, seen, kind) = match &play {
            Play::Spot(spot) => {
                let kind = spot.dealt.planted.map(|one| one.kind);
                (spot.dealt.posed.clone(), Arc::clone(&spot.dealt.seen), kind)
            }
            Play::Mend(mend) => {
                let kind = mend.dealt.planted.map(|one| one.kind);
                (mend.dealt.posed.clone(), Arc::clone(&mend.dealt.seen), kind)
            }
            Play::Hour(hour) => (hour.posed.clone(), Arc::clone(&hour.seen), None),
        };
        let after = After {
            beside: Beside::of(&play),
            posed: posed.clone(),
            seen: Arc::clone(&seen),
            kind,
        };
        (self.tell)(News::Round(round, Some(play)));
        let frame = self.paint(&posed, &seen.graded, self.means.width_px);
        frame
            .into_iter()
            .for_each(|picture| (self.tell)(News::Frame(round, picture)));
        self.after = Some((round, after));
    }

    /// What is told after a frame: nobody waits for it before he has answered.
    fn tell_after(&self, round: u64, after: After) {
        let After {
            posed,
            seen,
            kind,
            beside,
        } = after;
        let width = self.means.width_px;
        let truth = truth(&posed, &seen, kind, width);
        (self.tell)(News::Truth(round, Box::new(truth)));
        let beside = match beside {
            _ if self.is_stopped() => None,
            Beside::Nothing => None,
            Beside::Mended(dealt) => mended(&dealt).map(|one| (one.posed, one.words)),
            Beside::Known(posed, words) => Some((*posed, words)),
        };
        let Some((posed, words)) = beside else {
            return;
        };
        let graded = posed.roughly().graded;
        if let Some(picture) = self.paint(&posed, &graded, width.min(BESIDE_PX)) {
            (self.tell)(News::Beside(round, picture, words));
        }
    }

    /// A frame as it would be shot.
    fn paint(&self, posed: &Posed, graded: &Graded, width_px: usize) -> Option<Arc<Picture>> {
        let advised = graded.advice.as_ref();
        let settings = match posed.exposure_s {
            Some(seconds) => Some((posed.capture().f_number, seconds)),
            None => advised.map(|advice| (advice.aperture.value, advice.shutter.value)),
        };
        let painter = self.painter.as_ref()?;
        let painted = predicted(
            painter,
            &posed.room,
            &posed.stand,
            posed.at,
            settings,
            width_px,
        );
        Some(Arc::new(painted.picture))
    }
}

/// Adds a job; of frames to be looked at, and of rounds, only the newest is wanted.
fn push(waiting: &mut VecDeque<Job>, job: Job) {
    waiting.retain(|one| std::mem::discriminant(one) != std::mem::discriminant(&job));
    waiting.push_back(job);
}
