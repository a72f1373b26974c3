//! A plan as text: the facing line, the answers, why there is none. May not enter: formulas, searching.

use super::sheet::mark;
use super::slack;
use crate::card::cautions::CAUTIONS;
use crate::grade::Verdict;
use crate::grade::wording::sentence_case;
use crate::plan::answer::{Answer, Day, Window};
use crate::plan::request::Request;
use crate::plan::why::Why;
use crate::plan::{Facing, Plan};
use crate::scene::Scene;
use crate::scene::machine::HeadEnd;
use crate::units::{compass_word, feet, wrap_360};
use std::fmt::Write;

/// The whole answer as text.
pub fn text(scene: &Scene, request: &Request, plan: &Plan) -> String {
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
        text += why_nothing(plan);
        text.push('\n');
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
    text += &cautions_text();
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

/// Why there is not even a bad frame.
pub fn why_nothing(plan: &Plan) -> &'static str {
    match plan.effort.instants {
        0 => "The sun does not rise in these dates.",
        _ if plan.effort.spots == 0 => {
            "Nowhere on the allowed ground can one stand with room to its edge and off the rails."
        }
        _ => "Nowhere on the allowed ground does the machine fit a lens.",
    }
}

/// What one facing gives, in a line.
pub fn facing_line(scene: &Scene, facing: &Facing) -> String {
    let side_bearing = wrap_360(facing.nose_bearing_deg - 90.0 * facing.side.sign());
    let how = how_it_faces(scene.machine.head_end, facing.asked);
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

/// How a facing's line begins.
pub(super) fn how_it_faces(known: HeadEnd, asked: bool) -> &'static str {
    match (known, asked) {
        (HeadEnd::Unknown, _) => "If it faces",
        (_, true) => "It faces",
        (_, false) => "The other way round, facing",
    }
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
            best.letters()
        );
    } else {
        let [start, minute, end] = hours(&answer.window);
        let _ = writeln!(
            text,
            "   {date} from {start} to {end}, best {minute} ({})",
            best.letters()
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
    if let Some(slack) = &answer.slack {
        text += &slack::text(slack, answer.verdict());
    }
    text
}

/// The cautions that every plan carries.
fn cautions_text() -> String {
    let mut text = String::from("\nBefore you go:\n");
    for caution in CAUTIONS {
        text += &format!("  - {caution}\n");
    }
    text
}
