//! A round on the screen: what the tutor has told of it so far, and its end. May not enter: how anything looks.

use super::Practising;
use crate::picture::png::Picture;
use crate::practise::drill::truth::Truth;
use crate::practise::progress::Round;
use crate::practise::tutor::{News, Play};
use std::sync::Arc;

/// A round on the screen.
pub(super) struct Playing {
    pub(super) number: u64,
    pub(super) play: Option<Play>,
    /// It cannot be dealt.
    pub(super) none: bool,
    pub(super) picture: Option<Arc<Picture>>,
    pub(super) truth: Option<Box<Truth>>,
    /// The frame beside, and what was changed.
    pub(super) beside: Option<(Arc<Picture>, String)>,
    /// It is over and has been kept.
    pub(super) kept: bool,
}

impl Playing {
    pub(super) fn new(number: u64) -> Playing {
        Playing {
            number,
            play: None,
            none: false,
            picture: None,
            truth: None,
            beside: None,
            kept: false,
        }
    }
}

impl Practising {
    /// Takes in what the tutor has told.
    pub(super) fn take_news(&mut self) {
        let news: Vec<News> = self.tutor.news().collect();
        for one in news {
            let number = match &one {
                News::Site(Ok(read)) => {
                    self.sites.push(read.clone());
                    continue;
                }
                News::Site(Err((path, why))) => {
                    // As it is laid out, the first problem follows its mark and names its file.
                    let line = why.lines().find(|line| !line.trim().is_empty());
                    let line = line.unwrap_or_default();
                    let name = path.display().to_string();
                    self.broken.push(match line.find(&name) {
                        Some(at) => line[at..].trim().to_string(),
                        None => format!("{name}: {}", line.trim()),
                    });
                    continue;
                }
                News::Round(number, _)
                | News::Frame(number, _)
                | News::Truth(number, _)
                | News::Beside(number, ..)
                | News::Looked(number, ..) => *number,
            };
            // What belongs to a round that was left is old.
            let rounds = self.playing.iter_mut().chain(&mut self.ahead);
            let Some(playing) = rounds.into_iter().find(|one| one.number == number) else {
                continue;
            };
            match one {
                News::Site(_) => {}
                News::Round(_, play) => {
                    playing.none = play.is_none();
                    playing.play = play;
                }
                News::Frame(_, picture) => playing.picture = Some(picture),
                News::Truth(_, truth) => playing.truth = Some(truth),
                News::Beside(_, picture, words) => playing.beside = Some((picture, words)),
                News::Looked(_, posed, seen, picture) => {
                    if let Some(Play::Mend(mend)) = &mut playing.play {
                        mend.take(&posed, seen);
                        playing.picture = Some(picture);
                    }
                }
            }
        }
    }

    /// Keeps a round that is over, once. What could not be written is tried again with the next round.
    pub(super) fn keep(&mut self) {
        let Some(playing) = self.playing.as_mut().filter(|playing| !playing.kept) else {
            return;
        };
        let round: Option<Round> = match &playing.play {
            Some(Play::Spot(spot)) if spot.is_over() => Some(spot.round()),
            Some(Play::Mend(mend)) if mend.is_over() => Some(mend.round()),
            Some(Play::Hour(hour)) if hour.called_min.is_some() => Some(hour.round()),
            _ => None,
        };
        if let Some(round) = round {
            playing.kept = true;
            self.points.push(round.points);
            self.pending.push(round.clone());
            self.progress.add(round);
            self.eyes = None;
            self.write();
            self.look_ahead();
        }
    }

    /// Writes the rounds that are not written yet.
    fn write(&mut self) {
        match self.practice.store.add(&self.pending) {
            Ok(()) => {
                // A round alone was never refused.
                if self.pending.len() > 1 {
                    self.told = Some(Ok("Progress is kept again, nothing is lost".into()));
                }
                self.pending.clear();
            }
            Err(why) => self.told = Some(Err(why)),
        }
    }
}

impl Drop for Practising {
    fn drop(&mut self) {
        if !self.pending.is_empty() {
            self.write();
        }
    }
}
