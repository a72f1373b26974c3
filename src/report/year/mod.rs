//! The whole year as text, as data and as a picture. May not enter: arguments, searching.

mod data; // documented in README
mod text; // seasons in words, months as a table

use crate::document::write_whole;
use crate::grade::Rulebook;
use crate::picture::drawing::year::{Page, plate};
use crate::picture::png;
use crate::plan::year::{Lane, Year};
use crate::scene::Scene;
use crate::units::compass_word;
use std::io;
use std::path::Path;

/// Pixels to a unit of the picture.
const SCALE: f64 = 2.0;

/// A year to tell.
#[derive(Clone, Copy)]
pub struct Told<'a> {
    /// The scene.
    pub scene: &'a Scene,
    /// The rules.
    pub rulebook: &'a Rulebook,
    /// The year.
    pub year: &'a Year,
}

impl<'a> Told<'a> {
    /// Whether any minute of a facing that is asked for is fair or better.
    pub fn serves(&self) -> bool {
        let lanes = self.year.lanes();
        let mut asked = lanes.iter().filter(|lane| lane.facing.asked);
        asked.any(|lane| lane.in_year().fair_h > 0.0)
    }

    /// The lanes that win anything; where none does, those that are asked for.
    fn drawn(&self) -> Vec<Lane<'a>> {
        let lanes = self.year.lanes();
        let wins = |lane: &&Lane| lane.in_year().fair_h > 0.0;
        let won: Vec<Lane> = lanes.iter().filter(wins).copied().collect();
        match won.is_empty() {
            true => (lanes.into_iter())
                .filter(|lane| lane.facing.asked)
                .collect(),
            false => won,
        }
    }

    /// Scene, year, zone.
    fn title(&self) -> String {
        let zone = self.scene.place.zone.name();
        format!("{} · {} · {zone}", self.scene.name, self.year.asked.year)
    }

    /// The page to draw.
    fn page(&self) -> Page<'a> {
        let lanes = self.drawn();
        let words = |lane: &Lane| {
            let nose_deg = lane.facing.nose_bearing_deg;
            let (nose, side) = (
                compass_word(nose_deg),
                compass_word(lane.side_bearing_deg()),
            );
            let turned = if lane.facing.asked {
                ""
            } else {
                ", the other way round"
            };
            let side_word = lane.side.word();
            format!("Faces {nose} ({nose_deg:.0}°){turned}: {side_word} side, to the {side}")
        };
        let hidden = self.year.lanes().len() - lanes.len();
        let left_out = match hidden {
            0 => String::new(),
            1 => " One side wins nothing and is left out.".into(),
            more => format!(" {more} sides win nothing and are left out."),
        };
        let mut lines = vec![format!(
            "For every minute the best of all allowed spots, lenses and heights, as the search has it: nothing is \
             proved.{left_out}"
        )];
        lines.extend(text::sun_words(self.year));
        Page {
            title: self.title(),
            lines,
            lanes: lanes.into_iter().map(|lane| (words(&lane), lane)).collect(),
            year: self.year,
            zone: &self.scene.place.zone,
            faults: &self.rulebook.faults,
        }
    }

    /// Writes the picture, whole or not at all: pixels where the file's name ends so, else SVG.
    ///
    /// # Errors
    /// Of the kind that the system gave, its text naming the path and the cause.
    pub fn write_picture(&self, path: &Path) -> io::Result<()> {
        let plate = plate(&self.page());
        let ending = path.extension().and_then(|ending| ending.to_str());
        if ending.is_some_and(|ending| ending.eq_ignore_ascii_case("png")) {
            let from = self.year.instants.first().map(|instant| instant.at);
            let at = from.map_or(String::new(), |at| at.to_rfc3339());
            write_whole(path, &png::encode(&plate.pixels(SCALE), &self.title(), &at))
        } else {
            write_whole(path, plate.svg().as_bytes())
        }
    }
}
