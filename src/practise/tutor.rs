//! The tutor: what is worked out beside the page, so that nothing blocks it: sites read, frames dealt, painted and
//! looked through. One thread, one thing after another; it answers with news. May not enter: widgets, answers.

use super::deal::Course;
use super::dice::Dice;
use super::drill::hour::Hour;
use super::drill::mend::Mend;
use super::drill::spot::Spot;
use super::drill::truth::{Truth, truth};
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
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};

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
    /// The mended frame; or the one after the light is gone, large.
    Beside(u64, Arc<Picture>),
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
}

impl Tutor {
    /// Sets to work.
    pub fn new(means: Means, waker: Waker) -> Tutor {
        let (jobs, wanted) = channel();
        let (tell, news) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let stopped = Arc::clone(&stop);
        std::thread::spawn(move || {
            let tell = |one| {
                if tell.send(one).is_ok() {
                    waker();
                }
            };
            Work::new(means, &stopped, &tell).run(&wanted);
        });
        Tutor {
            jobs: Some(jobs),
            news,
            stop,
        }
    }

    fn ask(&self, job: Job) {
        // Nobody is left to work only while the page is closing.
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
    tell: &'a dyn Fn(News),
    painter: Option<Painter>,
    sites: Vec<Site>,
}

/// A site, as far as it is known.
enum Site {
    Unread(PathBuf),
    Course(Box<Course>),
    Broken,
}

impl<'a> Work<'a> {
    fn new(means: Means, stop: &'a AtomicBool, tell: &'a dyn Fn(News)) -> Work<'a> {
        // Without an adapter the processor paints.
        let painter = Painter::open(means.painter).or_else(|_| Painter::open(Choice::Cpu));
        let mut sites: Vec<Site> = means.scenes.iter().cloned().map(Site::Unread).collect();
        Dice::new(means.seed, u64::MAX - 1).shuffle(&mut sites);
        Work {
            sites,
            painter: painter.ok(),
            means,
            stop,
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
                    Ok(job) => push(&mut waiting, job),
                    Err(TryRecvError::Empty) => break,
                    Err(TryRecvError::Disconnected) => return,
                }
            }
            if let Some(job) = waiting.pop_front() {
                self.work(job);
                continue;
            }
            let is_unread = |site: &Site| matches!(site, Site::Unread(_));
            match self.sites.iter().position(is_unread) {
                Some(next) => self.read(next),
                None => match wanted.recv() {
                    Ok(job) => push(&mut waiting, job),
                    Err(_) => return,
                },
            }
        }
    }

    /// Reads a site, unless that was done.
    fn read(&mut self, number: usize) {
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
                let stop = || self.is_stopped();
                let course = Course::find(&name, &opened.room, opened.take.at, seed, &stop);
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
        if !self.is_stopped() {
            (self.tell)(News::Site(told));
        }
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
            self.read(number);
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
        let (posed, seen, beside) = match &play {
            Play::Spot(spot) => (
                spot.dealt.posed.clone(),
                Arc::clone(&spot.dealt.seen),
                spot.dealt.planted.map(|_| spot.dealt.clean.clone()),
            ),
            Play::Mend(mend) => (
                mend.dealt.posed.clone(),
                Arc::clone(&mend.dealt.seen),
                Some(mend.fewest.1.clone()),
            ),
            Play::Hour(hour) => (
                hour.posed.clone(),
                Arc::clone(&hour.seen),
                Some(hour.afterwards()),
            ),
        };
        let is_hour = matches!(play, Play::Hour(_));
        (self.tell)(News::Round(round, Some(play)));
        let width = self.means.width_px;
        let frame = self.paint(&posed, &seen.graded, width);
        frame
            .into_iter()
            .for_each(|picture| (self.tell)(News::Frame(round, picture)));
        if self.is_stopped() {
            return;
        }
        // What is true of a called hour is what ends it: it is shown large, with its causes.
        let afterwards = beside.as_ref().filter(|_| is_hour);
        let afterwards = afterwards.map(|after| (after, Arc::new(after.proved())));
        let (of, graded) = afterwards
            .as_ref()
            .map_or((&posed, &seen), |(of, seen)| (*of, seen));
        let truth = truth(of, graded, width);
        (self.tell)(News::Truth(round, Box::new(truth)));
        if let Some(beside) = beside {
            let graded = beside.roughly().graded;
            let across_px = if is_hour { width } else { width.min(BESIDE_PX) };
            let picture = self.paint(&beside, &graded, across_px);
            picture
                .into_iter()
                .for_each(|picture| (self.tell)(News::Beside(round, picture)));
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

/// Adds a job; of frames to be looked at only the newest is wanted.
fn push(waiting: &mut VecDeque<Job>, job: Job) {
    if matches!(job, Job::Look(..)) {
        waiting.retain(|one| !matches!(one, Job::Look(..)));
    }
    waiting.push_back(job);
}
