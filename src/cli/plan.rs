//! `sunside plan`: what is asked for, and where the answers and their cards go. May not enter: formulas.

use super::args::{PlanArgs, dates};
use super::timings::Told;
use super::watching::Watching;
use super::{drawn_by, files};
use crate::card;
use crate::plan::day::NoDay;
use crate::plan::plan;
use crate::plan::request::Request;
use crate::report;
use crate::report::cards::{Drawn, Written};
use chrono::NaiveDate;
use miette::miette;
use std::path::Path;
use std::time::Instant;

/// As many answers as may be asked for, and a card for each.
const MOST_ANSWERS: usize = 50;

/// Plans a visit; returns the exit status.
pub fn run(args: &PlanArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    dates(args.from, args.to).map_err(|wrong| miette!("{wrong}"))?;
    let json = ("--json", args.json.as_deref());
    files::hold_apart(&args.scene, args.judged.rules.as_deref(), &[json])?;
    let mut _made = None;
    if let Some(dir) = &args.card {
        _made = Some(files::card_folder(dir, MOST_ANSWERS)?);
        let pages = (1..=MOST_ANSWERS).flat_map(|number| card::paths(dir, number));
        for page in pages {
            let both = [json, ("--card", Some(page.as_path()))];
            files::hold_apart(&args.scene, args.judged.rules.as_deref(), &both)?;
        }
    }
    let mut scene = super::load_scene(&args.scene)?;
    if !args.heights.is_empty() {
        let heights_m = &mut scene.kit.heights_m;
        heights_m.clone_from(&args.heights);
        heights_m.sort_by(f64::total_cmp);
        heights_m.dedup();
    }
    let rulebook = super::load_rulebook(args.judged.rules.as_deref())?;
    let zone = &scene.place.zone;
    let has_hours = |date: NaiveDate| {
        let (first, next) = zone.day(date);
        first < next
    };
    let mut dates = args.from.iter_days().take_while(|date| *date <= args.to);
    if !dates.any(has_hours) {
        return Err(miette!("--from: {}", NoDay::left_out(zone, args.from)));
    }
    let request = Request {
        from: args.from,
        to: args.to,
        every_min: args.every,
        lenses_mm: args.lens.clone(),
        spacing_m: args.spacing,
        top: args.top as usize,
        slack: args.slack.spread(),
        rank: args.slack.rank(),
    };
    let opening = Instant::now();
    let drawing = args.judged.rasterized.open()?.for_search();
    let startup_s = opening.elapsed().as_secs_f64();
    // Opened first: where only an adapter will do, nobody waits for a plan without one.
    let painter = args.painted.open(args.card.is_some())?;
    let rasterizer = drawing.rasterizer();
    let watching = Watching::begin();
    let found = watching.over(|watch| plan(&scene, &rulebook, rasterizer, &request, watch));
    let found = found.map_err(|stopped| miette!("{stopped}"))?;
    let text = report::plan_text::text(&scene, &request, &found);
    let told = Told {
        timings: watching.timings(),
        startup_s,
        bounded: found.effort.asked,
        exact: found.exact,
        views: rasterizer.views_drawn(),
    };
    if args.timings {
        super::note(&told.text());
    }
    let data = || {
        let mut data = report::plan::data(&scene, &rulebook, &request, &found);
        // Only on request: else the same plan is the same file to the byte.
        if args.timings {
            data["effort"]["timings"] = told.data();
        }
        data
    };
    super::tell(&text, args.json.as_deref(), data, say)?;
    // Data on standard output stand there alone: of cards too it is said beside them.
    let mut beside = super::note;
    let is_beside = args.json.as_deref() == Some(Path::new("-"));
    let say: &mut dyn FnMut(&str) = if is_beside { &mut beside } else { say };
    if let Some((dir, painter)) = args.card.as_ref().zip(painter) {
        let answers = found.answers.iter().chain(&found.least_bad);
        let freeing: Vec<String> = (found.freeing.iter())
            .map(|one| format!("{}: {}", one.change, one.sentence))
            .collect();
        let mut told = |written: &Written| {
            drawn_by::tell_flaw(written.flaw.as_deref());
            for path in &written.paths {
                say(&format!("Wrote {}\n", path.display()));
            }
        };
        let drawn = Drawn {
            scene: &scene,
            rulebook: &rulebook,
            rasterizer,
            painter: &painter,
        };
        let written = drawn.write(dir, answers, &freeing, watching.cancel(), &mut told);
        let written = written.map_err(|unwritten| miette!("{unwritten}"))?;
        files::drop_cards_beyond(dir, written, MOST_ANSWERS);
    }
    drawn_by::say_who_drew(&drawing);
    Ok(u8::from(found.answers.is_empty()))
}
