//! How much an answer bears, as it is asked on the command line. May not enter: how it is found.

use super::args::within;
use crate::plan::request::Rank;
use crate::plan::slack::spread::Spread;
use clap::{Args, ValueEnum};
use std::ops::RangeInclusive;

/// Standard deviations that may be stated.
const STOPS_M: RangeInclusive<f64> = 0.0..=50.0;
const BEARINGS_DEG: RangeInclusive<f64> = 0.0..=30.0;
const TIMES_MIN: RangeInclusive<f64> = 0.0..=240.0;
/// As many slips as may be drawn for each answer.
const MOST_DRAWS: u32 = 10_000;

/// What may be asked of `plan` about slack. What is not said of the spread is [`Spread::default`]'s.
#[derive(Args)]
pub struct SlackArgs {
    /// Tell how much each answer bears before its verdict drops, and its chance of a good frame.
    #[arg(long)]
    pub slack: bool,
    /// Rank the answers by this; "chance" tells their slack too.
    #[arg(long, value_name = "WHAT", value_enum, default_value_t = RankBy::Score)]
    pub rank: RankBy,
    /// Standard deviation of the machine's stop along its track, metres [default: 2].
    #[arg(long, value_name = "M", allow_hyphen_values = true, value_parser = within(STOPS_M))]
    pub stop_spread: Option<f64>,
    /// Standard deviation of the track's true bearing, degrees [default: 1].
    #[arg(long, value_name = "DEG", allow_hyphen_values = true, value_parser = within(BEARINGS_DEG))]
    pub bearing_spread: Option<f64>,
    /// Standard deviation of the minute of the shot, minutes [default: 10].
    #[arg(long, value_name = "MIN", allow_hyphen_values = true, value_parser = within(TIMES_MIN))]
    pub time_spread: Option<f64>,
    /// How many slips are drawn for the chance [default: 200].
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(10..=i64::from(MOST_DRAWS)))]
    pub draws: Option<u32>,
    /// What the drawing of slips starts from: the same seed gives the same slips [default: 1].
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
}

/// By what answers may be ranked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum RankBy {
    /// Verdict and score at the planned minute.
    Score,
    /// Chance of a good frame or better.
    Chance,
}

impl SlackArgs {
    /// The spread, where slack is asked: a stated spread, or a rank that needs it, asks for it too.
    pub fn spread(&self) -> Option<Spread> {
        let usual = Spread::default();
        let is_stated = self
            .stop_spread
            .or(self.bearing_spread)
            .or(self.time_spread)
            .is_some()
            || self.draws.is_some()
            || self.seed.is_some();
        let is_asked = self.slack || self.rank == RankBy::Chance || is_stated;
        is_asked.then(|| Spread {
            stop_m: self.stop_spread.unwrap_or(usual.stop_m),
            bearing_deg: self.bearing_spread.unwrap_or(usual.bearing_deg),
            time_min: self.time_spread.unwrap_or(usual.time_min),
            draws: self.draws.unwrap_or(usual.draws),
            seed: self.seed.unwrap_or(usual.seed),
        })
    }

    /// The rank.
    pub fn rank(&self) -> Rank {
        match self.rank {
            RankBy::Score => Rank::Score,
            RankBy::Chance => Rank::Chance,
        }
    }
}
