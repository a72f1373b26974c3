//! The tutor: what is worked out beside the page, so that nothing blocks it: sites read, frames dealt, painted and
//! looked through. One thread, one thing after another; it answers with news. May not enter: widgets, answers.

mod after; // what is worked out once a frame has been told
mod work; // the thread

use super::drill::hour::Hour;
use super::drill::mend::Mend;
use super::drill::spot::Spot;
use super::drill::truth::Truth;
use super::posed::{Posed, Seen};
use super::progress::{Drill, Progress};
use crate::gpu::choice::Choice;
use crate::grade::Rulebook;
use crate::picture::png::Picture;
use crate::rehearsal::bench::Waker;
use crate::sighting::rasterizer::Rasterizer;
use chrono::{DateTime, Utc};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;
use work::Work;

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
    /// The mended frame, or, large, the one after the light is gone; and what was changed, in a phrase.
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
