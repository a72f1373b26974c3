//! The tutor's thread: one thing after another, what is asked first. May not enter: who waits for it.

use super::after::After;
use super::{Job, Means, News, Play, Read};
use crate::document::render;
use crate::gpu::choice::Choice;
use crate::grade::Graded;
use crate::picture::painter::Painter;
use crate::picture::png::Picture;
use crate::picture::predicted::predicted;
use crate::practise::deal::Course;
use crate::practise::dice::Dice;
use crate::practise::drill::hour::Hour;
use crate::practise::drill::mend::Mend;
use crate::practise::drill::spot::Spot;
use crate::practise::drill::truth::truth;
use crate::practise::posed::Posed;
use crate::practise::progress::{Drill, Progress};
use crate::rehearsal::opening::open;
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError};

/// Pixels across of the frame beside, at most.
const BESIDE_PX: usize = 520;

/// The thread's own things.
pub(super) struct Work<'a> {
    means: Means,
    stop: &'a AtomicBool,
    asked: &'a AtomicUsize,
    tell: &'a dyn Fn(News),
    painter: Option<Painter>,
    sites: Vec<Site>,
    /// What is still to be told of the last round.
    after: Option<(u64, After)>,
}

/// A site, as far as it is known.
enum Site {
    Unread(PathBuf),
    Course(Box<Course>),
    Broken,
}

impl<'a> Work<'a> {
    pub(super) fn new(
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
    pub(super) fn run(mut self, wanted: &Receiver<Job>) {
        let mut waiting: VecDeque<Job> = VecDeque::new();
        while !self.is_stopped() {
            loop {
                match wanted.try_recv() {
                    Ok(job) => self.take_up(&mut waiting, job),
                    Err(TryRecvError::Empty) => break,
                    Err(TryRecvError::Disconnected) => return,
                }
            }
            // The next round is asked for while the last one's truth is read.
            if let Some(Job::Deal(..)) = waiting.front()
                && let Some((round, after)) = self.after.take()
            {
                self.tell_after(round, after);
                continue;
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
                // No frame twice before all have been seen.
                Site::Course(course) => deal(&[course.turned(round as usize / count)]),
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
        let after = After::of(&play);
        let (posed, seen) = (after.posed.clone(), Arc::clone(&after.seen));
        (self.tell)(News::Round(round, Some(play)));
        let frame = self.paint(&posed, &seen.graded, self.means.width_px);
        frame
            .into_iter()
            .for_each(|picture| (self.tell)(News::Frame(round, picture)));
        self.after = Some((round, after));
    }

    /// What is told after a frame: nobody waits for it before he has answered.
    fn tell_after(&self, round: u64, after: After) {
        let width = self.means.width_px;
        let (of, seen) = after.true_of();
        let truth = truth(of, &seen, after.kind, width);
        (self.tell)(News::Truth(round, Box::new(truth)));
        if self.is_stopped() {
            return;
        }
        let Some(beside) = after.beside() else {
            return;
        };
        let graded = beside.posed.roughly().graded;
        let across_px = match after.is_large {
            true => width,
            false => width.min(BESIDE_PX),
        };
        if let Some(picture) = self.paint(&beside.posed, &graded, across_px) {
            (self.tell)(News::Beside(round, picture, beside.words));
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
