//! `sunside light`: the day on the machine from one spot, as a table, as data, as a strip. May not enter:
//! formulas.

mod data; // the day as data
mod table; // the day as text

use super::args::known_year;
use super::frame_args::LightArgs;
use super::watching::Watching;
use super::{drawn_by, files};
use crate::document::write_whole;
use crate::grade::{Sheet, Stand, Studio, Verdict};
use crate::picture::drawing::day_strip::{self, Strip};
use crate::plan::day::{Day, Look, NoDay, day, is_row};
use crate::report::stand;
use crate::report::ways::{self, Way};
use miette::miette;

/// Follows the light of a day; returns the exit status.
pub fn run(args: &LightArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    known_year("--date", args.date).map_err(|wrong| miette!("{wrong}"))?;
    let outputs = [
        ("--json", args.json.as_deref()),
        ("--picture", args.picture.as_deref()),
    ];
    files::hold_apart(&args.scene, args.judged.rules.as_deref(), &outputs)?;
    let scene = super::load_scene(&args.scene)?;
    let rulebook = super::load_rulebook(args.judged.rules.as_deref())?;
    let drawing = args.judged.rasterized.open()?;
    let watching = Watching::begin();
    let mut days = Vec::new();
    let head_end = args.led.of(&scene);
    for studio in ways::studios(&scene, head_end, &rulebook, drawing.rasterizer()) {
        let stand = args.stand.of(&studio);
        let found = watching.over(|watch| day(&studio, &stand, args.date, args.every, watch));
        days.push(Light {
            stand,
            day: found.map_err(|none| match none {
                NoDay::Cancelled(stopped) => miette!("{stopped}"),
                left_out => miette!("--date: {left_out}"),
            })?,
            studio,
            every_min: args.every,
        });
    }
    let facing_known = days.len() == 1;
    let text = ways::text(&days);
    ways::better_first(&mut days);
    super::tell(&text, args.json.as_deref(), || ways::data(&days), say)?;
    if let Some(path) = &args.picture {
        let strips: Vec<Strip> = days.iter().map(|way| way.strip(facing_known)).collect();
        write_whole(path, day_strip::svg(&strips).as_bytes()).map_err(|e| miette!("{e}"))?;
    }
    drawn_by::say_who_drew(&drawing);
    let serves = |way: &Light| {
        way.best()
            .is_some_and(|sheet| sheet.verdict >= Verdict::Fair)
    };
    Ok(u8::from(!days.iter().any(serves)))
}

/// The day of one facing.
struct Light<'a> {
    studio: Studio<'a>,
    stand: Stand,
    day: Day,
    every_min: u32,
}

impl Way for Light<'_> {
    fn studio(&self) -> &Studio<'_> {
        &self.studio
    }

    fn best(&self) -> Option<&Sheet> {
        self.day.best().map(|look| &look.sheet)
    }

    fn text(&self) -> String {
        self.all_text()
    }

    fn data(&self) -> serde_json::Value {
        self.all_data()
    }
}

impl Light<'_> {
    /// Rows of the table.
    fn rows(&self) -> impl Iterator<Item = &Look> {
        let is_row = |look: &&Look| is_row(&self.studio, look.at, self.every_min);
        self.day.looks.iter().filter(is_row)
    }

    fn strip(&self, facing_known: bool) -> Strip<'_> {
        let scene = &self.studio.scene;
        let facing = (!facing_known).then(|| ways::line(&self.studio));
        let spot = stand::line(&self.studio, &self.stand).replace(" -", " −");
        let refusal = stand::refusal_line(&self.studio, &self.stand);
        let words = [spot, refusal, self.sun_words() + " " + &self.clock_words()];
        let lines = facing.into_iter().chain(words);
        Strip {
            title: format!(
                "{} · {} · {}",
                scene.name,
                self.day.date,
                scene.place.zone.name()
            ),
            lines: lines
                .map(|line| line.trim().trim_end_matches(':').to_string())
                .filter(|line| !line.is_empty())
                .collect(),
            day: &self.day,
            jumps: self.day.clock_jumps(&self.studio),
            place: &scene.place,
        }
    }
}
