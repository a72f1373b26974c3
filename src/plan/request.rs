//! What a plan is asked, and how it tells of its progress. May not enter: how it is found.

use super::slack::spread::Spread;
use chrono::NaiveDate;
use std::sync::atomic::{AtomicBool, Ordering};

/// The question.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// First local date.
    pub from: NaiveDate,
    /// Last local date, included.
    pub to: NaiveDate,
    /// Minutes between the instants that are looked at.
    pub every_min: u32,
    /// Focal lengths to search; empty for the scene's kit.
    pub lenses_mm: Vec<f64>,
    /// Metres between the spots of the asked facing's first look; none for as close as pays.
    pub spacing_m: Option<f64>,
    /// How many answers are wanted.
    pub top: usize,
    /// Under which spread each answer's slack is told; none where it is not asked.
    pub slack: Option<Spread>,
    /// By what answers are ranked.
    pub rank: Rank,
}

/// By what answers are ranked, best first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Rank {
    /// By verdict and score at the planned minute.
    #[default]
    Score,
    /// By the chance of a good frame or better; only where slack is asked.
    Chance,
}

/// The work was asked to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("stopped before it was done; nothing was written")]
pub struct Cancelled;

/// Who watches a plan, or other long work.
pub struct Watch<'a> {
    /// Set from outside to stop.
    pub cancel: &'a AtomicBool,
    /// Told what is done and which share of all work is behind, 0–1.
    pub told: &'a (dyn Fn(&str, f64) + Sync),
}

impl Watch<'_> {
    /// Tells a step; fails when the plan was asked to stop.
    pub fn step(&self, what: &str, share: f64) -> Result<(), Cancelled> {
        self.alive()?;
        (self.told)(what, share);
        Ok(())
    }

    /// Fails when the plan was asked to stop.
    pub fn alive(&self) -> Result<(), Cancelled> {
        if self.cancel.load(Ordering::Relaxed) {
            Err(Cancelled)
        } else {
            Ok(())
        }
    }
}
