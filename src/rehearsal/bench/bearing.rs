//! How much a frame bears: its window, its slack, the chance that it stays good. May not enter: how these are found.

use super::News;
use super::errands::Runner;
use crate::grade::Verdict;
use crate::plan::answer::Answer;
use crate::plan::answering::standing_window;
use crate::plan::request::{Cancelled, Watch};
use crate::plan::slack::Slack;
use crate::plan::slack::spread::Spread;
use crate::rehearsal::take::Take;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// What a frame bears.
pub struct Bearing {
    /// Which frame.
    pub take: Take,
    /// The frame as an answer: its verdict and window.
    pub answer: Answer,
    /// How far each thing may go wrong.
    pub slack: Slack,
}

impl Runner {
    /// Finds what a frame bears.
    pub(super) fn bear(&self, take: Take, cancel: &AtomicBool, tell: &(dyn Fn(News) + Sync)) {
        let room = match self.room(&take.setting) {
            Ok(room) => room,
            Err(why) => return tell(News::NotSearched(format!("Nothing was looked for: {why}"))),
        };
        let told = |what: &str, share: f64| tell(News::Searching(what.to_string(), share));
        let watch = Watch {
            cancel,
            told: &told,
        };
        let found = || -> Result<Option<Bearing>, Cancelled> {
            watch.step("following the verdict to the ends of its window", 0.1)?;
            let answer = standing_window(&room, take.stand, take.at, &watch)?;
            if answer.verdict() == Verdict::Lost {
                return Ok(None);
            }
            watch.step("how far each thing may go wrong", 0.4)?;
            let slack = Slack::of(&room, &answer, &Spread::default(), &watch)?;
            Ok(Some(Bearing {
                take: take.clone(),
                answer,
                slack,
            }))
        };
        match found() {
            Ok(Some(bearing)) => tell(News::Bearing(Arc::new(bearing))),
            Ok(None) => tell(News::NotSearched(
                "This frame is lost: there is no verdict that could drop".into(),
            )),
            // Whoever gave it up has said so.
            Err(Cancelled) => {}
        }
    }
}
