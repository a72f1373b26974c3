//! `sunside plan`: the facing line, the answers, their data and cards. May not enter: formulas.

use super::args::{PlanArgs, dates};
use super::sheet_text::mark;
use super::watching::Watching;
use super::{drawn_by, files};
use crate::card;
use crate::grade::wording::sentence_case;
use crate::grade::{Rulebook, Verdict};
use crate::plan::answer::{Answer, Day, Window};
use crate::plan::day::NoDay;
use crate::plan::request::Request;
use crate::plan::why::Why;
use crate::plan::{Facing, Plan, plan};
use crate::scene::Scene;
use crate::scene::machine::HeadEnd;
use crate::scene::obstacles::Obstacles;
use crate::units::{compass_word, feet, wrap_360};
use chrono::NaiveDate;
use miette::miette;
use serde_json::json;
use std::fmt::Write;
use std::path::Path;

/// As many answers as may be asked for, and a card for each.
const MOST_ANSWERS: usize = 50;

/// Plans a visit; returns the exit status.
pub fn run(args: &PlanArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    dates(args.from, args.to).map_err(|wrong| miette!("{wrong}"))?;
    let json = ("--json", args.json.as_deref());
    files::hold_apart(&args.scene, args.judged.rules.as_deref(), &[json])?;
    if let Some(dir) = &args.card {
        files::card_folder(dir, MOST_ANSWERS)?;
        let pages = (1..=MOST_ANSWERS).flat_map(|number| card::paths(dir, number));
        for page in pages {
            let both = [json, ("--card", Some(page.as_path()))];
            files::hold_apart(&args.scene, args.judged.rules.as_deref(), &both)?;
        }
    }
    let scene = super::load_scene(&args.scene)?;
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
        top: args.top as usize,
    };
    let drawing = args.judged.rasterized.open()?;
    // Opened first: where only an adapter will do, nobody waits for a plan without one.
    let painter = args.painted.open(args.card.is_some())?;
    let rasterizer = drawing.rasterizer();
    let watching = Watching::begin();
    let found = watching.over(|watch| plan(&scene, &rulebook, rasterizer, &request, watch));
    let found = found.map_err(|stopped| miette!("{stopped}"))?;
    let text = text(&scene, &request, &found);
    let data = || data(&scene, &rulebook, &request, &found);
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
        let written = super::write_cards(
            dir,
            &scene,
            &rulebook,
            rasterizer,
            &painter,
            answers,
            &freeing,
            watching.cancel(),
            say,
        )?;
        files::drop_cards_beyond(dir, written, MOST_ANSWERS);
    }
    drawn_by::say_who_drew(&drawing);
    Ok(u8::from(found.answers.is_empty()))
}

/// The whole answer as text.
fn text(scene: &Scene, request: &Request, plan: &Plan) -> String {
    let mut text = String::new();
    for facing in &plan.facings {
        let _ = writeln!(text, "{}", facing_line(scene, facing));
    }
    let _ = writeln!(
        text,
        "{} · {} to {} · every {} min\n",
        scene.name, request.from, request.to, request.every_min
    );
    if let Some(risk) = scene.sky.risk() {
        let _ = writeln!(text, "{}\n", sentence_case(risk));
    }
    let unknown = scene.machine.head_end == HeadEnd::Unknown;
    let mut block = None;
    for (i, answer) in plan.answers.iter().enumerate() {
        if unknown && block != Some(answer.head_end) {
            block = Some(answer.head_end);
            let facing = plan
                .facings
                .iter()
                .find(|facing| facing.head_end == answer.head_end);
            let nose_deg = facing.map_or(0.0, |facing| facing.nose_bearing_deg);
            let word = compass_word(nose_deg);
            let _ = writeln!(text, "If it faces {word} ({nose_deg:.0}°):\n");
        }
        text += &format!("{}. ", i + 1);
        text += &answer_text(scene, request, answer);
        text.push('\n');
    }
    if let Some(answer) = &plan.least_bad {
        text += "Nothing is fair or better in these dates. The least bad frame:\n";
        text += &answer_text(scene, request, answer);
        text.push('\n');
        text += &why_text(&plan.why);
        text += "What would free it, each tried and proved:\n";
        if plan.freeing.is_empty() {
            text += "  nothing that was tried\n";
        }
        for freeing in &plan.freeing {
            let _ = writeln!(text, "  {}: {}", freeing.change, freeing.sentence);
        }
        text.push('\n');
    }
    if plan.answers.is_empty() && plan.least_bad.is_none() {
        text += match plan.effort.instants {
            0 => "The sun does not rise in these dates.\n",
            _ if plan.effort.spots == 0 => {
                "Nowhere on the allowed ground can one stand with room to its edge and off the rails.\n"
            }
            _ => "Nowhere on the allowed ground does the machine fit a lens.\n",
        };
        if !plan.freeing.is_empty() {
            text += "What would free it, each tried and proved:\n";
        }
        for freeing in &plan.freeing {
            let _ = writeln!(text, "  {}: {}", freeing.change, freeing.sentence);
        }
    }
    let _ = writeln!(
        text,
        "Looked at {} spots, {} eyes, {} instants, {} suns, {} pairs.",
        plan.effort.spots,
        plan.effort.eyes,
        plan.effort.instants,
        plan.effort.suns,
        plan.effort.pairs
    );
    text += &super::cautions_text();
    text
}

/// What stands in the way, side by side.
fn why_text(why: &[Why]) -> String {
    let mut text = String::from("Why: the worst faults of each hour's least bad stand\n");
    for side in why {
        let word = side.side.word();
        let toward = compass_word(side.side_bearing_deg);
        let _ = write!(text, "  {word} side, to the {toward}: ");
        if side.binds.is_empty() {
            text += "no allowed spot shows it through any lens";
        }
        for (i, (fault, hours)) in side.binds.iter().enumerate() {
            let _ = match i {
                0 => write!(text, "{fault} in {hours:.0} of {:.0} h of sun", side.sun_h),
                _ => write!(text, ", {fault} in {hours:.0} h"),
            };
        }
        text.push('\n');
    }
    text + "\n"
}

fn facing_line(scene: &Scene, facing: &Facing) -> String {
    let side_bearing = wrap_360(facing.nose_bearing_deg - 90.0 * facing.side.sign());
    let how = match (scene.machine.head_end, facing.asked) {
        (HeadEnd::Unknown, _) => "If it faces",
        (_, true) => "It faces",
        (_, false) => "The other way round, facing",
    };
    if facing.fair_h == 0.0 {
        return format!(
            "{how} {} ({:.0}°): no hour is fair or better",
            compass_word(facing.nose_bearing_deg),
            facing.nose_bearing_deg
        );
    }
    format!(
        "{how} {} ({:.0}°): its {} side, to the {}, is the lit one: about {:.0} h good or better, {:.0} h fair or better",
        compass_word(facing.nose_bearing_deg),
        facing.nose_bearing_deg,
        facing.side.word(),
        compass_word(side_bearing),
        facing.good_h,
        facing.fair_h
    )
}

fn answer_text(scene: &Scene, request: &Request, answer: &Answer) -> String {
    let zone = &scene.place.zone;
    let stand = &answer.stand;
    let time = |at| zone.local(at).naive.format("%H:%M").to_string();
    let hours = |window: &Window| {
        let [start, best, end] = window.whole_minutes();
        [time(start), time(best), time(end)]
    };
    let mut text = format!(
        "{} ({:.1})",
        answer.sheet.verdict.word(),
        answer.sheet.score
    );
    let offset = stand.spot_m - scene.machine.centre_m;
    let track = &scene.tracks[scene.machine.track];
    let rail_m = track.distance_to_rail_m(stand.spot_m);
    let _ = writeln!(
        text,
        " · {} side · {} · {:.2} m east, {:.2} m north · {:.0} mm · {:.2} m high · heading {:.1}°",
        answer.side.word(),
        answer.area,
        stand.spot_m.x,
        stand.spot_m.y,
        stand.lens_mm,
        stand.height_m,
        stand.heading_deg
    );
    let _ = writeln!(
        text,
        "   {:.1} m ({:.0} ft) from the nearest rail of the {}, {:.1} m from the machine's centre",
        rail_m,
        feet(rail_m),
        track.name,
        offset.length()
    );
    let best = zone.local(answer.window.best);
    let date = best.naive.date();
    if answer.verdict() == Verdict::Lost {
        let _ = writeln!(
            text,
            "   {date} at {} ({})",
            time(answer.window.best),
            best.abbreviation
        );
    } else {
        let [start, minute, end] = hours(&answer.window);
        let _ = writeln!(
            text,
            "   {date} from {start} to {end}, best {minute} ({})",
            best.abbreviation
        );
        let _ = writeln!(text, "   before it: {}", answer.window.start.sentence);
        let _ = writeln!(text, "   after it: {}", answer.window.end.sentence);
    }
    if let [first, .., last] = answer.days.as_slice() {
        let told = |day: &Day| {
            let [start, _, end] = hours(&day.window);
            format!("{} ({start} to {end})", day.date)
        };
        let edge = match (first.date == request.from, last.date == request.to) {
            (true, true) => ": all your dates",
            (true, false) => ": from your first date",
            (false, true) => ": to your last date",
            (false, false) => "",
        };
        let (first, last) = (told(first), told(last));
        let _ = writeln!(text, "   as good from {first} to {last}{edge}");
    }
    for finding in &answer.sheet.findings {
        let _ = writeln!(text, "   {:<4}{}", mark(finding.grade), finding.sentence);
    }
    for row in answer.sheet.unknown() {
        let _ = writeln!(text, "   ?   {} is not known", row.measure.title());
    }
    for trade_off in &answer.trade_offs {
        let _ = writeln!(text, "   {trade_off}");
    }
    text
}

/// The plan as data: documented in README.
pub fn data(
    scene: &Scene,
    rulebook: &Rulebook,
    request: &Request,
    plan: &Plan,
) -> serde_json::Value {
    let zone = &scene.place.zone;
    let obstacles = Obstacles::of(scene);
    let answer = |answer: &Answer| {
        let stand = &answer.stand;
        let end = |end: &crate::plan::answer::WindowEnd| {
            json!({
                "at": end.at.to_rfc3339(),
                "local": zone.local(end.at).to_string(),
                "ended_by": end.ended_by,
                "sentence": end.sentence,
            })
        };
        json!({
            "head_end": answer.head_end.word(),
            "side": answer.side.word(),
            "area": answer.area,
            "stand": super::stand_data(scene, &obstacles, stand),
            "best": answer.window.best.to_rfc3339(),
            "best_local": zone.local(answer.window.best).to_string(),
            "window_start": end(&answer.window.start),
            "window_end": end(&answer.window.end),
            "days": answer.days.iter().map(|day| json!({
                "date": day.date.to_string(),
                "window_start": end(&day.window.start),
                "window_end": end(&day.window.end),
            })).collect::<Vec<_>>(),
            "trade_offs": answer.trade_offs,
            "sheet": answer.sheet,
        })
    };
    json!({
        "scene": scene.name,
        "rulebook": rulebook.name,
        "from": request.from.to_string(),
        "to": request.to.to_string(),
        "every_min": request.every_min,
        "facings": plan.facings.iter().map(|facing| json!({
            "head_end": facing.head_end.word(),
            "nose_bearing_deg": facing.nose_bearing_deg,
            "lit_side": facing.side.word(),
            "good_h": facing.good_h,
            "fair_h": facing.fair_h,
            "asked": facing.asked,
        })).collect::<Vec<_>>(),
        "answers": plan.answers.iter().map(answer).collect::<Vec<_>>(),
        "why": plan.why.iter().map(|why| json!({
            "side": why.side.word(),
            "side_bearing_deg": why.side_bearing_deg,
            "sun_h": why.sun_h,
            "binds": why.binds.iter().map(|(fault, hours)| json!({ "fault": fault, "hours": hours }))
                .collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "least_bad": plan.least_bad.as_ref().map(answer),
        "freeing": plan.freeing.iter().map(|freeing| json!({
            "change": freeing.change,
            "verdict": freeing.verdict.word(),
            "score": freeing.score,
            "sentence": freeing.sentence,
        })).collect::<Vec<_>>(),
    })
}
