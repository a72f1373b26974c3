//! What may be typed. May not enter: what is done with it.

use super::drawn_by::PaintedBy;
use super::frame_args::{AtArg, ExportArgs, JudgedBy, LedBy, LensesArgs, LightArgs, StandArgs};
use super::judge_args::JudgeArgs;
use super::slack_args::SlackArgs;
use crate::practise::progress::Drill;
use crate::report::frame::PICTURE_WIDTHS_PX;
use crate::scene::limits::{
    F_NUMBERS, HEIGHTS_M, LENSES_MM, REACH_M, SPACINGS_M, parse_exposure_s,
};
use crate::sky::clock::YEARS;
use crate::window::practising::ROUNDS;
use chrono::{Datelike, NaiveDate};
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::ops::RangeInclusive;
use std::path::PathBuf;

/// Rehearses a roster shot: where to stand, with which lens, and when.
#[derive(Parser)]
#[command(version, about, max_term_width = 100)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Subcommand)]
pub enum Command {
    /// Open the window: walk the site with a camera before the trip.
    Rehearse(RehearseArgs),
    /// Train the eye on frames with known faults, in the window.
    Practise(PractiseArgs),
    /// Find where to stand, with which lens, from which minute to which.
    Plan(PlanArgs),
    /// Tell what a whole year gives: seasons, hours won, what binds in the rest.
    Year(YearArgs),
    /// Grade one frame.
    Grade(GradeArgs),
    /// Grade photographs that were taken, by points of the machine marked in them.
    Judge(JudgeArgs),
    /// Compare lenses: the machine filling the same share of the frame, from near to far.
    Lenses(LensesArgs),
    /// Follow the light of one day on the machine from one spot.
    Light(LightArgs),
    /// Write the scene, its camera and its sun for other renderers.
    Export(ExportArgs),
    /// Tell every problem of scenes, models and rulebooks.
    Check {
        /// Files to check.
        #[arg(required = true)]
        files: Vec<PathBuf>,
    },
}

/// `rehearse`.
#[derive(Args)]
pub struct RehearseArgs {
    /// The scene file; without one the start page shows the sites that ship.
    pub scene: Option<PathBuf>,
    /// When.
    #[command(flatten)]
    pub time: AtArg,
    /// Where the camera stands and how it looks at first.
    #[command(flatten)]
    pub stand: StandArgs,
    /// Which end leads.
    #[command(flatten)]
    pub led: LedBy,
    /// Rules, and who measures.
    #[command(flatten)]
    pub judged: JudgedBy,
}

/// Which drill of `practise`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum DrillArg {
    /// Which fault, how bad, what to do.
    Spot,
    /// The frame put right.
    Mend,
    /// How long the light lasts.
    Hour,
}

impl DrillArg {
    /// The drill.
    pub fn drill(self) -> Drill {
        match self {
            DrillArg::Spot => Drill::Spot,
            DrillArg::Mend => Drill::Mend,
            DrillArg::Hour => Drill::Hour,
        }
    }
}

/// `practise`.
#[derive(Args)]
pub struct PractiseArgs {
    /// Scene files to practise on; default: those that ship.
    pub scenes: Vec<PathBuf>,
    /// The drill to begin with; default: chosen in the window.
    #[arg(long, value_name = "DRILL", value_enum)]
    pub drill: Option<DrillArg>,
    /// The same seed deals the same frames to the same progress; default: by the clock.
    #[arg(long, value_name = "N")]
    pub seed: Option<u64>,
    /// Rounds of a drill.
    #[arg(long, value_name = "N", default_value_t = ROUNDS, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub rounds: u32,
    /// Tell what your eye sees by the rounds so far, and open no window.
    #[arg(long, conflicts_with_all = ["scenes", "drill", "seed", "rounds"])]
    pub progress: bool,
    /// Write the rounds so far into a file ("-" for standard output), and open no window.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["scenes", "drill", "seed", "rounds"])]
    pub export: Option<PathBuf>,
    /// Erase the rounds so far (after telling or exporting them), and open no window.
    #[arg(long, conflicts_with_all = ["scenes", "drill", "seed", "rounds"])]
    pub erase: bool,
    /// Rules, and who measures.
    #[command(flatten)]
    pub judged: JudgedBy,
}

/// `grade`.
#[derive(Args)]
pub struct GradeArgs {
    /// The scene file.
    pub scene: PathBuf,
    /// When.
    #[command(flatten)]
    pub time: AtArg,
    /// Where the camera stands and how it looks.
    #[command(flatten)]
    pub stand: StandArgs,
    /// f-number; default: the scene's kit.
    #[arg(long, value_name = "N", value_parser = within(F_NUMBERS))]
    pub f_number: Option<f64>,
    /// Exposure time in seconds or as a fraction ("1/250"); default: as advised.
    #[arg(long, value_name = "S", value_parser = seconds)]
    pub exposure: Option<f64>,
    /// Which end leads.
    #[command(flatten)]
    pub led: LedBy,
    /// Rules, and who measures.
    #[command(flatten)]
    pub judged: JudgedBy,
    /// Write the sheet as JSON ("-" for standard output).
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Write the predicted frame as PNG.
    #[arg(long, value_name = "FILE", value_parser = png_name)]
    pub picture: Option<PathBuf>,
    /// Who paints.
    #[command(flatten)]
    pub painted: PaintedBy,
    /// Width of the picture in pixels.
    #[arg(long, value_name = "PX", default_value_t = 1200,
          value_parser = clap::value_parser!(u32).range(PICTURE_WIDTHS_PX))]
    pub picture_width: u32,
}

/// `plan`.
#[derive(Args)]
pub struct PlanArgs {
    /// The scene file.
    pub scene: PathBuf,
    /// First local date.
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub from: NaiveDate,
    /// Last local date.
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub to: NaiveDate,
    /// Search these focal lengths instead of the scene's kit, millimetres ("35,50").
    #[arg(long, value_name = "MM", value_delimiter = ',', allow_hyphen_values = true, value_parser = within(LENSES_MM))]
    pub lens: Vec<f64>,
    /// Minutes between the instants that are looked at.
    #[arg(long, value_name = "MIN", default_value_t = 10, value_parser = clap::value_parser!(u32).range(1..=120))]
    pub every: u32,
    /// Search these camera heights instead of the scene's kit, metres over the ground stood on ("1.2,1.6").
    #[arg(long, value_name = "M", value_delimiter = ',', allow_hyphen_values = true, value_parser = within(HEIGHTS_M))]
    pub heights: Vec<f64>,
    /// Metres between the spots that are looked at first; default: as close as pays on this much ground.
    #[arg(long, value_name = "M", allow_hyphen_values = true, value_parser = within(SPACINGS_M))]
    pub spacing: Option<f64>,
    /// How many answers to list.
    #[arg(long, value_name = "N", default_value_t = 5, value_parser = clap::value_parser!(u32).range(1..=50))]
    pub top: u32,
    /// How much each answer bears.
    #[command(flatten)]
    pub slack: SlackArgs,
    /// Rules, and who measures.
    #[command(flatten)]
    pub judged: JudgedBy,
    /// Write the plan as JSON ("-" for standard output).
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Tell on standard error what each stage took, and in the data too.
    #[arg(long)]
    pub timings: bool,
    /// Write a card for the field and its picture into this folder.
    #[arg(long, value_name = "DIR")]
    pub card: Option<PathBuf>,
    /// Who paints.
    #[command(flatten)]
    pub painted: PaintedBy,
}

/// `year`.
#[derive(Args)]
pub struct YearArgs {
    /// The scene file.
    pub scene: PathBuf,
    /// The civil year; default: that of the scene's own frame.
    #[arg(long, value_name = "YEAR", value_parser = year)]
    pub year: Option<i32>,
    /// Search these focal lengths instead of the scene's kit, millimetres ("35,50").
    #[arg(long, value_name = "MM", value_delimiter = ',', allow_hyphen_values = true, value_parser = within(LENSES_MM))]
    pub lens: Vec<f64>,
    /// Minutes between the instants that are looked at.
    #[arg(long, value_name = "MIN", default_value_t = 10, value_parser = clap::value_parser!(u32).range(1..=60))]
    pub every: u32,
    /// Rules, and who measures.
    #[command(flatten)]
    pub judged: JudgedBy,
    /// Write the year as JSON ("-" for standard output).
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Write the year as a picture, PNG or SVG.
    #[arg(long, value_name = "FILE", value_parser = drawing_name)]
    pub picture: Option<PathBuf>,
}

/// Which end of the machine leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum LeadingEnd {
    /// The one toward the track's first point.
    First,
    /// The one toward its second.
    Second,
}

/// Holds a date to years whose clocks are known.
pub fn known_year(option: &str, date: NaiveDate) -> Result<(), String> {
    if YEARS.contains(&date.year()) {
        return Ok(());
    }
    let (first, last) = (YEARS.start(), YEARS.end());
    Err(format!(
        "{option}: {date} found, a date of the years {first} to {last} allowed"
    ))
}

/// Longest range of dates that may be planned: more would be asked for by mistake.
const MOST_DAYS: i64 = 3 * 366;

/// Holds a range of dates to its order and to years whose clocks are known.
pub fn dates(from: NaiveDate, to: NaiveDate) -> Result<(), String> {
    known_year("--from", from)?;
    known_year("--to", to)?;
    if to < from {
        return Err(format!("--to: {to} found, {from} or later allowed"));
    }
    let days = (to - from).num_days() + 1;
    if days > MOST_DAYS {
        return Err(format!(
            "--to: {days} days found, {MOST_DAYS} or fewer allowed"
        ));
    }
    Ok(())
}

fn number(text: &str) -> Result<f64, String> {
    match text.trim().parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err("a plain number is wanted".into()),
    }
}

/// A number inside a range.
pub(super) fn within(range: RangeInclusive<f64>) -> impl Fn(&str) -> Result<f64, String> + Clone {
    move |text: &str| {
        let value = number(text)?;
        let allowed = || format!("{} to {} allowed", range.start(), range.end());
        range.contains(&value).then_some(value).ok_or_else(allowed)
    }
}

pub(super) fn date(text: &str) -> Result<NaiveDate, String> {
    let date = text.trim().parse();
    date.map_err(|_| "a date is wanted, as 2027-05-14".into())
}

/// A year whose clocks are known.
fn year(text: &str) -> Result<i32, String> {
    let wanted = || format!("a year of {} to {} is wanted", YEARS.start(), YEARS.end());
    let year = text.trim().parse().map_err(|_| wanted())?;
    YEARS.contains(&year).then_some(year).ok_or_else(wanted)
}

pub(super) fn pair(text: &str) -> Result<[f64; 2], String> {
    pair_of(text, "east,north", |side| {
        let value = number(side)?;
        let allowed = || format!("{} to {} m allowed", -REACH_M, REACH_M);
        (value.abs() <= REACH_M)
            .then_some(value)
            .ok_or_else(allowed)
    })
}

/// Two numbers with a comma between them, each held to what it may be.
pub(super) fn pair_of(
    text: &str,
    names: &str,
    read: impl Fn(&str) -> Result<f64, String>,
) -> Result<[f64; 2], String> {
    let wanted = || format!("two numbers with a comma between them are wanted: {names}");
    let (first, second) = text.split_once(',').ok_or_else(wanted)?;
    if number(first).is_err() || number(second).is_err() {
        return Err(wanted());
    }
    Ok([read(first)?, read(second)?])
}

/// A file's name for a PNG.
pub(super) fn png_name(text: &str) -> Result<PathBuf, String> {
    name_ending_in(text, &["png"])
}

fn drawing_name(text: &str) -> Result<PathBuf, String> {
    name_ending_in(text, &["png", "svg"])
}

/// A file's name with one of these endings: another would lie about what is in it.
pub(super) fn name_ending_in(text: &str, endings: &[&str]) -> Result<PathBuf, String> {
    let path = PathBuf::from(text);
    let found = path.extension().and_then(|ending| ending.to_str());
    let is_found = |ending: &&str| found.is_some_and(|found| found.eq_ignore_ascii_case(ending));
    if endings.iter().any(is_found) {
        return Ok(path);
    }
    Err(format!(
        "a name that ends in .{} is wanted",
        endings.join(" or .")
    ))
}

pub(super) fn seconds(text: &str) -> Result<f64, String> {
    let wanted = || "seconds are wanted, as 0.004 or 1/250".to_string();
    parse_exposure_s(text).ok_or_else(wanted)
}
