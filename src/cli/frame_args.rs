//! What may be typed of a frame: its time, stand, facing and rules, which several commands share, and the commands
//! about lens, light and other renderers. May not enter: what is done with it.

use super::args::{LeadingEnd, date, name_ending_in, pair, png_name, within};
use super::drawn_by::{PaintedBy, RasterizedBy};
use crate::scene::limits::{HEADINGS_DEG, HEIGHTS_M, LENSES_MM, PITCHES_DEG, ROLLS_DEG};
use chrono::NaiveDate;
use clap::Args;
use std::path::PathBuf;

/// Where the camera stands and how it looks; what is left out is the scene's own frame.
#[derive(Args, Clone, Debug, Default)]
pub struct StandArgs {
    /// Where the camera stands, metres east and north of the scene's origin ("18.4,-7.4").
    #[arg(long, value_name = "EAST,NORTH", allow_hyphen_values = true, value_parser = pair)]
    pub spot: Option<[f64; 2]>,
    /// Focal length in millimetres.
    #[arg(long, value_name = "MM", allow_hyphen_values = true, value_parser = within(LENSES_MM))]
    pub lens: Option<f64>,
    /// Camera height over the ground stood on, metres.
    #[arg(long, value_name = "M", allow_hyphen_values = true, value_parser = within(HEIGHTS_M))]
    pub height: Option<f64>,
    /// True bearing of the camera's axis, degrees; default: equal side margins.
    #[arg(long, value_name = "DEG", allow_hyphen_values = true, value_parser = within(HEADINGS_DEG))]
    pub heading: Option<f64>,
    /// Camera pitch, degrees, up is positive.
    #[arg(long, value_name = "DEG", allow_hyphen_values = true, value_parser = within(PITCHES_DEG))]
    pub pitch: Option<f64>,
    /// Camera roll, degrees, clockwise as the photographer sees it is positive.
    #[arg(long, value_name = "DEG", allow_hyphen_values = true, value_parser = within(ROLLS_DEG))]
    pub roll: Option<f64>,
}

/// When.
#[derive(Args)]
pub struct AtArg {
    /// Local time at the scene ("2027-05-14 10:20"); default: the scene's own frame.
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
}

/// Which end leads.
#[derive(Args)]
pub struct LedBy {
    /// Which end leads, toward the track's first or its second point; default: as the scene says.
    #[arg(long, value_name = "END", value_enum)]
    pub head_end: Option<LeadingEnd>,
}

/// By which rules a frame is judged, and who measures it.
#[derive(Args)]
pub struct JudgedBy {
    /// A rulebook file, or "record" for the other one built in (record shots: coverage, no light).
    #[arg(long, value_name = "FILE")]
    pub rules: Option<PathBuf>,
    /// Who measures.
    #[command(flatten)]
    pub rasterized: RasterizedBy,
}

/// `lenses`.
#[derive(Args)]
pub struct LensesArgs {
    /// The scene file.
    pub scene: PathBuf,
    /// When.
    #[command(flatten)]
    pub time: AtArg,
    /// Compare these focal lengths, millimetres ("35,50"); default: 35 to 200, the kit's and the frame's own.
    #[arg(long, value_name = "MM", value_delimiter = ',', allow_hyphen_values = true, value_parser = within(LENSES_MM))]
    pub lens: Vec<f64>,
    /// Which end leads.
    #[command(flatten)]
    pub led: LedBy,
    /// Rules, and who measures.
    #[command(flatten)]
    pub judged: JudgedBy,
    /// Who paints.
    #[command(flatten)]
    pub painted: PaintedBy,
    /// Write the comparison as JSON ("-" for standard output).
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Write the frames side by side as one PNG.
    #[arg(long, value_name = "FILE", value_parser = png_name)]
    pub picture: Option<PathBuf>,
}

/// `light`.
#[derive(Args)]
pub struct LightArgs {
    /// The scene file.
    pub scene: PathBuf,
    /// The local date.
    #[arg(long, value_name = "DATE", value_parser = date)]
    pub date: NaiveDate,
    /// Where the camera stands and how it looks.
    #[command(flatten)]
    pub stand: StandArgs,
    /// Which end leads.
    #[command(flatten)]
    pub led: LedBy,
    /// Minutes between the rows of the table.
    #[arg(long, value_name = "MIN", default_value_t = 30, value_parser = clap::value_parser!(u32).range(1..=240))]
    pub every: u32,
    /// Rules, and who measures.
    #[command(flatten)]
    pub judged: JudgedBy,
    /// Write the day as JSON ("-" for standard output).
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Write the day's strip as SVG.
    #[arg(long, value_name = "FILE", value_parser = svg_name)]
    pub picture: Option<PathBuf>,
}

/// `export`.
#[derive(Args)]
pub struct ExportArgs {
    /// The scene file.
    pub scene: PathBuf,
    /// When.
    #[command(flatten)]
    pub time: AtArg,
    /// Where the camera stands and how it looks.
    #[command(flatten)]
    pub stand: StandArgs,
    /// Which end leads.
    #[command(flatten)]
    pub led: LedBy,
    /// The glTF 2.0 file: .gltf with its buffer inside, or .glb.
    #[arg(long, value_name = "FILE", value_parser = gltf_name)]
    pub gltf: PathBuf,
}

fn svg_name(text: &str) -> Result<PathBuf, String> {
    name_ending_in(text, &["svg"])
}

fn gltf_name(text: &str) -> Result<PathBuf, String> {
    name_ending_in(text, &["gltf", "glb"])
}
