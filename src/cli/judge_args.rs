//! What may be typed of photographs that were taken. May not enter: what is done with it.

use super::args::{pair_of, png_name, seconds, within};
use super::frame_args::{JudgedBy, LedBy};
use crate::camera::film::Film;
use crate::judge::marks::{Given, SENSORS_MM};
use crate::scene::limits::{EXPOSURES_S, F_NUMBERS, FILM_SPEEDS_ISO, LENSES_MM};
use crate::sky::clock::Zone;
use clap::Args;
use miette::miette;
use std::path::PathBuf;

/// `judge`.
#[derive(Args)]
pub struct JudgeArgs {
    /// The photographs: JPEG, PNG or TIFF. Nothing is ever written into them.
    #[arg(required = true)]
    pub photos: Vec<PathBuf>,
    /// The scene in which they were taken.
    #[arg(long, value_name = "FILE")]
    pub scene: PathBuf,
    /// Open the window to mark points in the photographs, one after the other, and to see what they come to. What the
    /// files do not say is typed there.
    #[arg(long, conflicts_with_all = ["json", "overlay", "contact_sheet", "save_as", "ShotArgs"])]
    pub mark: bool,
    /// The file that marks named points in the photograph; default: the photograph's name with ".marks.toml" after it.
    #[arg(long, value_name = "FILE")]
    pub marks: Option<PathBuf>,
    /// How it was shot, in place of what the files say.
    #[command(flatten)]
    pub shot: ShotArgs,
    /// Which end leads.
    #[command(flatten)]
    pub led: LedBy,
    /// Rules, and who measures.
    #[command(flatten)]
    pub judged: JudgedBy,
    /// Write the judgements as JSON ("-" for standard output).
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Write the photograph with the machine's outline over it as PNG.
    #[arg(long, value_name = "FILE", value_parser = png_name)]
    pub overlay: Option<PathBuf>,
    /// Write all photographs, small, best first, with their verdicts as one PNG.
    #[arg(long, value_name = "FILE", value_parser = png_name)]
    pub contact_sheet: Option<PathBuf>,
    /// Save where it was taken from as the frame of a copy of the scene.
    #[arg(long, value_name = "SCENE")]
    pub save_as: Option<PathBuf>,
}

/// How photographs were shot, in place of what their marks files and their tags say.
#[derive(Args)]
pub struct ShotArgs {
    /// Local time at the scene when it was taken ("2027-05-14 10:20", or with an offset "2027-05-14 10:20-05:00").
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    /// Focal length as engraved on the lens, millimetres.
    #[arg(long, value_name = "MM", visible_alias = "focal-length", allow_hyphen_values = true,
          value_parser = within(LENSES_MM))]
    pub lens: Option<f64>,
    /// Width and height of the upright picture on film or sensor, millimetres ("36,24").
    #[arg(long, value_name = "WIDTH,HEIGHT", visible_alias = "sensor-size", allow_hyphen_values = true,
          value_parser = size)]
    pub film_size: Option<[f64; 2]>,
    /// f-number.
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = within(F_NUMBERS))]
    pub f_number: Option<f64>,
    /// Exposure time in seconds or as a fraction ("1/250").
    #[arg(long, value_name = "S", value_parser = exposure)]
    pub exposure: Option<f64>,
    /// The lens bends no lines: look for no bend in the marks.
    #[arg(long)]
    pub no_bend: bool,
    /// Speed of film or sensor, ISO.
    #[arg(long, value_name = "ISO", visible_alias = "film-speed", allow_hyphen_values = true,
          value_parser = within(FILM_SPEEDS_ISO))]
    pub iso: Option<f64>,
}

impl ShotArgs {
    /// The same as a person's word.
    pub fn given(&self, zone: &Zone) -> Result<Given, miette::Report> {
        let at = |text: &String| zone.parse_instant(text).map_err(|e| miette!("--at: {e}"));
        Ok(Given {
            at: self.at.as_ref().map(at).transpose()?,
            focal_mm: self.lens,
            film: self.film_size.map(|[width_mm, height_mm]| Film {
                width_mm,
                height_mm,
            }),
            f_number: self.f_number,
            exposure_s: self.exposure,
            film_speed_iso: self.iso,
            radial: !self.no_bend,
            ..Given::default()
        })
    }
}

fn size(text: &str) -> Result<[f64; 2], String> {
    let held = within(SENSORS_MM);
    pair_of(text, "width,height", |side| held(side))
}

fn exposure(text: &str) -> Result<f64, String> {
    seconds(text).map_err(|wanted| {
        let (least, most) = (EXPOSURES_S.start(), EXPOSURES_S.end());
        format!("{wanted}; {least} to {most} s allowed")
    })
}
