//! `sunside light`: the day on the machine from one spot, as a table, as data, as a strip. May not enter:
//! formulas.

use super::args::known_year;
use super::frame_args::LightArgs;
use super::sheet_text::mark;
use super::watching::Watching;
use super::{files, stand};
use crate::document::write_whole;
use crate::grade::rulebook::Group;
use crate::grade::wording::sentence_case;
use crate::grade::{Grade, Stand, Studio, Verdict};
use crate::picture::drawing::day_strip::{self, Strip};
use crate::plan::day::{Day, Look, Run, binding, day, grade_of, is_row, rest_of};
use crate::sighting::cpu::Cpu;
use crate::sky::events::DayState;
use chrono::{DateTime, Utc};
use miette::miette;
use serde_json::json;
use std::fmt::Write;
use std::path::Path;

/// Follows the light of a day; returns the exit status.
pub fn run(args: &LightArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    known_year("--date", args.date).map_err(|wrong| miette!("{wrong}"))?;
    let outputs = [("--json", &args.json), ("--picture", &args.picture)];
    let outputs: Vec<(&str, &Path)> = (outputs.into_iter())
        .filter_map(|(option, path)| Some((option, path.as_deref()?)))
        .collect();
    files::hold_apart(&args.scene, args.rules.as_deref(), &outputs)?;
    let scene = super::load_scene(&args.scene)?;
    let rulebook = super::load_rulebook(args.rules.as_deref())?;
    let cpu = Cpu::default();
    let watching = Watching::begin();
    let mut ways = Vec::new();
    for studio in stand::facings(&scene, args.head_end, &rulebook, &cpu) {
        let stand = args.stand.of(&studio);
        let found = watching.over(|watch| day(&studio, &stand, args.date, args.every, watch));
        ways.push(Way {
            stand,
            day: found.map_err(|none| miette!("--date: {none}"))?,
            studio,
            every_min: args.every,
        });
    }
    let facing_known = ways.len() == 1;
    let mut told = String::new();
    for way in &ways {
        if !facing_known {
            told += &stand::facing_line(&way.studio);
        }
        told += &way.text();
    }
    // The better facing first, as `grade` has it.
    let best = |way: &Way| way.day.best().map(|look| look.sheet.clone());
    ways.sort_by(|a, b| match (best(a), best(b)) {
        (Some(a), Some(b)) => b.rank(&a),
        _ => std::cmp::Ordering::Equal,
    });
    let data = || {
        let mut data = ways[0].data();
        if let Some(other) = ways.get(1) {
            data["other_end"] = other.data();
        }
        data
    };
    super::tell(&told, args.json.as_deref(), data, say)?;
    if let Some(path) = &args.picture {
        let strips: Vec<Strip> = ways.iter().map(|way| way.strip(facing_known)).collect();
        write_whole(path, day_strip::svg(&strips).as_bytes()).map_err(|e| miette!("{e}"))?;
    }
    let serves = |way: &Way| best(way).is_some_and(|sheet| sheet.verdict >= Verdict::Fair);
    Ok(u8::from(!ways.iter().any(serves)))
}

/// The day of one facing.
struct Way<'a> {
    studio: Studio<'a>,
    stand: Stand,
    day: Day,
    every_min: u32,
}

impl Way<'_> {
    fn clock(&self, at: DateTime<Utc>) -> String {
        let local = self.studio.scene.place.zone.local(at);
        local.naive.format("%H:%M").to_string()
    }

    /// What the sun does, in words.
    fn sun_words(&self) -> String {
        let zone = &self.studio.scene.place.zone;
        let time = |at: Option<DateTime<Utc>>| at.map(|at| zone.local(at).time_text());
        match self.day.state {
            DayState::PolarDay => "The sun does not set: all hours of the day are told.".into(),
            DayState::PolarNight => "The sun does not rise: there is no light all day.".into(),
            DayState::Normal => match (time(self.day.rise), time(self.day.set)) {
                (Some(rise), Some(set)) => format!("The sun rises at {rise} and sets at {set}."),
                (Some(rise), None) => format!("The sun rises at {rise} and does not set."),
                (None, Some(set)) => format!("The sun is up until it sets at {set}."),
                (None, None) => "The sun neither rises nor sets.".into(),
            },
        }
    }

    /// What the clock does, in words.
    fn clock_words(&self) -> String {
        let mut words = String::new();
        for (at, by_min) in self.day.clock_jumps(&self.studio) {
            let way = if by_min > 0 { "forward" } else { "back" };
            let before = self.clock(at - chrono::Duration::minutes(1));
            let _ = writeln!(
                words,
                "The clock is set {way} by {} min after {before}, to {}.",
                by_min.abs(),
                self.clock(at)
            );
        }
        words
    }

    /// Rows of the table.
    fn rows(&self) -> impl Iterator<Item = &Look> {
        let is_row = |look: &&Look| is_row(&self.studio, look.at, self.every_min);
        self.day.looks.iter().filter(is_row)
    }

    fn text(&self) -> String {
        let scene = &self.studio.scene;
        let mut text = format!(
            "{} · {} · {}\n",
            scene.name,
            self.day.date,
            scene.place.zone.name()
        );
        text += &stand::line(&self.studio, &self.stand);
        text += &stand::refusal_line(&self.studio, &self.stand);
        text += &format!("{}\n{}", self.sun_words(), self.clock_words());
        if let Some(risk) = scene.sky.risk() {
            let _ = writeln!(text, "{}", sentence_case(risk));
        }
        text.push('\n');
        text += &self.table();
        text.push('\n');
        let marked = |lane: &str, runs: &[Run<Grade>]| {
            let mut lines = String::new();
            for run in runs.iter().filter(|run| run.what > Grade::Clean) {
                let _ = writeln!(
                    lines,
                    "{}",
                    self.run_line(lane, mark(run.what), run.what.word(), run)
                );
            }
            lines
        };
        for lane in &self.day.lanes {
            text += &marked(&lane.fault.title, &lane.runs);
        }
        if self.day.lanes.is_empty() {
            text += "The rulebook has no fault of light.\n";
        }
        text += &marked("not of light", &self.day.rest);
        text.push('\n');
        for run in &self.day.verdict {
            let _ = writeln!(
                text,
                "{}",
                self.run_line("verdict", "", run.what.word(), run)
                    .trim_end()
            );
        }
        if let Some(best) = self.day.best() {
            let zone = &scene.place.zone;
            let sheet = &best.sheet;
            let _ = writeln!(
                text,
                "Best at {}: {} ({:.1})",
                zone.local(best.at).time_text(),
                sheet.verdict.word(),
                sheet.score
            );
        }
        text
    }

    /// "sun height      // marked   11:42 to 14:05  The shadow of …".
    fn run_line<T>(&self, lane: &str, form: &str, word: &str, run: &Run<T>) -> String {
        let (from, to) = (self.clock(run.from), self.clock(run.to));
        let worst = run.worst.as_deref().unwrap_or_default();
        format!("{lane:<16} {form:<4}{word:<8} {from} to {to}  {worst}")
    }

    /// A row for each minute of the table: the sun, a form for each fault of light, what binds, the verdict.
    fn table(&self) -> String {
        let mut text = String::from("time    height  bearing ");
        for lane in &self.day.lanes {
            let _ = write!(text, " {}", lane.fault.title);
        }
        text += "  not of light  verdict      binds\n";
        for look in self.rows() {
            let sheet = &look.sheet;
            let _ = write!(
                text,
                "{}  {:>6.1}°  {:>6.1}° ",
                self.clock(look.at),
                look.sun.elevation_deg,
                look.sun.azimuth_deg
            );
            for lane in &self.day.lanes {
                let width = lane.fault.title.chars().count();
                let _ = write!(text, " {:^width$}", mark(grade_of(sheet, &lane.fault)));
            }
            let _ = writeln!(
                text,
                "  {:^12}  {:<5} {:>5.1}  {}",
                mark(rest_of(sheet)),
                sheet.verdict.word(),
                sheet.score,
                binding(&self.studio, sheet).unwrap_or_default()
            );
        }
        text
    }

    /// The day as data: documented in README.
    fn data(&self) -> serde_json::Value {
        let scene = &self.studio.scene;
        let zone = &scene.place.zone;
        let local = |at: DateTime<Utc>| zone.local(at).to_string();
        let instant = |at: Option<DateTime<Utc>>| {
            at.map(|at| json!({"at": at.to_rfc3339(), "local": local(at)}))
        };
        let run = |from: DateTime<Utc>,
                   to: DateTime<Utc>,
                   key: &str,
                   what: Option<&str>,
                   worst: &Option<String>| {
            json!({
                "from": from.to_rfc3339(), "from_local": local(from),
                "to": to.to_rfc3339(), "to_local": local(to),
                key: what, "worst": worst,
            })
        };
        let grades = |runs: &[Run<Grade>]| {
            let one = |r: &Run<Grade>| run(r.from, r.to, "grade", Some(r.what.word()), &r.worst);
            runs.iter().map(one).collect::<Vec<_>>()
        };
        let row = |look: &Look| {
            let faults = self.studio.rulebook.faults.iter();
            let of_light = faults.filter(|fault| fault.group == Group::Light);
            let grade = |fault| json!(grade_of(&look.sheet, fault).word());
            let light: serde_json::Map<_, _> =
                of_light.map(|f| (f.key.clone(), grade(f))).collect();
            json!({
                "at": look.at.to_rfc3339(),
                "local": local(look.at),
                "sun": {"azimuth_deg": look.sun.azimuth_deg, "elevation_deg": look.sun.elevation_deg},
                "light": light,
                "rest": rest_of(&look.sheet).word(),
                "binds": binding(&self.studio, &look.sheet),
                "verdict": look.sheet.verdict.word(),
                "score": look.sheet.score,
            })
        };
        let lanes = self.day.lanes.iter().map(
            |lane| json!({"fault": lane.fault.key, "title": lane.fault.title, "runs": grades(&lane.runs)}),
        );
        let binds = self.day.binds.iter();
        let verdict = self.day.verdict.iter();
        json!({
            "scene": scene.name,
            "head_end": scene.machine.head_end.word(),
            "date": self.day.date.to_string(),
            "zone": zone.name(),
            "stand": super::stand_data(scene, &self.studio.obstacles, &self.stand),
            "sun": match self.day.state {
                DayState::Normal => "rises and sets",
                DayState::PolarDay => "does not set",
                DayState::PolarNight => "does not rise",
            },
            "rise": instant(self.day.rise),
            "set": instant(self.day.set),
            "rows": self.rows().map(row).collect::<Vec<_>>(),
            "lanes": lanes.collect::<Vec<_>>(),
            "rest": grades(&self.day.rest),
            "binds": binds.map(|r| run(r.from, r.to, "fault", r.what.as_deref(), &r.worst)).collect::<Vec<_>>(),
            "verdict": verdict.map(|r| run(r.from, r.to, "verdict", Some(r.what.word()), &r.worst)).collect::<Vec<_>>(),
            "best": self.day.best().map(|look| json!({
                "at": look.at.to_rfc3339(),
                "local": local(look.at),
                "sheet": look.sheet,
            })),
        })
    }

    fn strip(&self, facing_known: bool) -> Strip<'_> {
        let scene = &self.studio.scene;
        let facing = (!facing_known).then(|| stand::facing_line(&self.studio));
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
                .map(|line| line.trim().to_string())
                .filter(|line| !line.is_empty())
                .collect(),
            day: &self.day,
            jumps: self.day.clock_jumps(&self.studio),
            place: &scene.place,
        }
    }
}
