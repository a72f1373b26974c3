//! The card's tables and lists, each a piece of markup from numbers. May not enter: the page about them.

use super::CardExtras;
use super::cautions::CAUTIONS;
use crate::camera::exposure::sunny_16;
use crate::grade::wording::{plain_number, sentence_case};
use crate::grade::{Grade, Verdict};
use crate::picture::drawing::escape;
use crate::plan::answer::{Answer, Day};
use crate::plan::slack::words;
use crate::scene::Scene;
use crate::scene::ground::Access;
use crate::units::Units;
use crate::units::{METRES_PER_PACE, compass_word, feet, paces, wrap_360};
use std::fmt::Write;

/// Findings, trade-offs: more would not fit the sheet.
const MOST_FINDINGS: usize = 6;
const MOST_TRADE_OFFS: usize = 2;

/// A grade by its form: open ring, one stroke, two strokes, filled square with a white diagonal.
pub fn mark(grade: Grade) -> String {
    let form = match grade {
        Grade::Clean => {
            "<circle cx=\"5\" cy=\"5\" r=\"3.6\" fill=\"none\" stroke=\"#22303a\" stroke-width=\"1.4\"/>"
        }
        Grade::Slight => "<path d=\"M5 1v8\" stroke=\"#4e6778\" stroke-width=\"2\"/>",
        Grade::Marked => "<path d=\"M3 1v8M7 1v8\" stroke=\"#b07a1e\" stroke-width=\"2\"/>",
        Grade::Ruinous => {
            "<rect x=\"1\" y=\"1\" width=\"8\" height=\"8\" fill=\"#8e3b2e\"/><path d=\"M1 9L9 1\" stroke=\"#fff\" stroke-width=\"1.6\"/>"
        }
    };
    format!(
        "<svg viewBox=\"0 0 10 10\" role=\"img\" aria-label=\"{}\">{form}</svg>",
        grade.word()
    )
}

/// The form that stands beside a verdict: that of the grade which makes it.
pub fn verdict_mark(verdict: Verdict) -> String {
    mark(match verdict {
        Verdict::Fine => Grade::Clean,
        Verdict::Good => Grade::Slight,
        Verdict::Fair | Verdict::Poor => Grade::Marked,
        Verdict::Lost => Grade::Ruinous,
    })
}

/// What is wrong, worst first, and what is not known.
pub fn findings(answer: &Answer) -> String {
    let mut list = String::from("<ul>");
    for finding in answer.sheet.findings.iter().take(MOST_FINDINGS) {
        let _ = write!(
            list,
            "<li>{}{}</li>",
            mark(finding.grade),
            escape(&finding.sentence)
        );
    }
    let left = answer.sheet.findings.len().saturating_sub(MOST_FINDINGS);
    if left > 0 {
        let _ = write!(list, "<li>and {left} more, none worse than these</li>");
    }
    for row in answer.sheet.unknown() {
        let title = sentence_case(row.measure.title());
        let _ = write!(list, "<li>{} is not known</li>", escape(&title));
    }
    if answer.sheet.findings.is_empty() && answer.sheet.unknown().next().is_none() {
        let _ = write!(
            list,
            "<li>{}Nothing is wrong with it.</li>",
            mark(Grade::Clean)
        );
    }
    for merit in &answer.sheet.merits {
        let words = sentence_case(merit.words());
        let _ = write!(list, "<li>{}{}</li>", mark(Grade::Clean), escape(&words));
    }
    list + "</ul>"
}

/// What could be had by giving something up.
pub fn trade_offs(answer: &Answer) -> String {
    if answer.trade_offs.is_empty() {
        return String::new();
    }
    let mut list = String::from("<section><h2>If you must move</h2><ul>");
    for sentence in answer.trade_offs.iter().take(MOST_TRADE_OFFS) {
        let _ = write!(
            list,
            "<li class=\"plain\">{}</li>",
            escape(&sentence_case(sentence))
        );
    }
    list + "</ul></section>"
}

/// How much it bears, where that was asked.
pub fn slack(answer: &Answer) -> String {
    let Some(slack) = &answer.slack else {
        return String::new();
    };
    let verdict = answer.verdict().word();
    let mut list = format!("<section><h2>It stays {verdict} with</h2><ul>");
    for (head, told) in words::lines(slack, Units::Metric) {
        let _ = write!(
            list,
            "<li class=\"plain\"><b>{head}</b> {}</li>",
            escape(&told)
        );
    }
    list += "</ul>";
    if let Some(told) = words::tightest(slack, Units::Metric) {
        let _ = write!(list, "{}. ", escape(&sentence_case(&told)));
    }
    let _ = write!(
        list,
        "Good or better in {} <span class=\"unit\">({})</span>.</section>",
        words::chance(&slack.chance),
        words::spread_words(&slack.chance.spread, Units::Metric)
    );
    list
}

/// What would free a better frame, where this one is not worth the trip.
pub fn freeing(extras: &CardExtras) -> String {
    if extras.freeing.is_empty() {
        return String::new();
    }
    let mut list = String::from(
        "<section class=\"freeing\"><h2>What would free a better one, each tried and proved</h2><ul>",
    );
    for sentence in &extras.freeing {
        let _ = write!(
            list,
            "<li class=\"plain\">{}</li>",
            escape(&sentence_case(sentence))
        );
    }
    list + "</ul></section>"
}

/// Distances from things that can be found.
pub fn distances(extras: &CardExtras) -> String {
    let mut table = String::from(
        "<table><tr><th>to the spot from</th><th class=\"n\">m</th><th class=\"n\">ft</th>\
         <th class=\"n\">paces</th></tr>",
    );
    for mark in &extras.marks {
        let d = mark.distance_m;
        let paces = match mark.walkable {
            true => format!("{:.0}", paces(d)),
            false => "by eye".to_string(),
        };
        let _ = write!(
            table,
            "<tr><td>{}</td><td class=\"n\">{d:.1}</td><td class=\"n\">{:.0}</td><td class=\"n\">{paces}</td></tr>",
            escape(&mark.name),
            feet(d),
        );
    }
    table += "</table>";
    let _ = write!(
        table,
        "<p style=\"margin:1.2mm 0\">{}.",
        escape(&sentence_case(&extras.along))
    );
    let paced = format!(
        "A pace is {METRES_PER_PACE:.2} m ({:.1} ft)",
        feet(METRES_PER_PACE)
    );
    let _ = write!(table, " <span class=\"unit\">{paced}");
    if extras.marks.iter().any(|mark| !mark.walkable) {
        table += "; by eye: judge it, the way there is not to be walked";
    }
    table + ".</span></p>"
}

/// Camera: bearing, lens, height, exposure.
pub fn camera(scene: &Scene, answer: &Answer, extras: &CardExtras) -> String {
    let (stand, kit) = (&answer.stand, &scene.kit);
    let mut rows = String::new();
    let mut row = |name: &str, value: String| {
        let _ = write!(rows, "<tr><td>{name}</td><td>{value}</td></tr>");
    };
    let word = compass_word(stand.heading_deg);
    row(
        "aim, true",
        format!(
            "{:.1}° <span class=\"unit\">({word})</span>",
            stand.heading_deg
        ),
    );
    row("aim, compass", compass(stand.heading_deg, extras));
    row(
        "lens",
        format!(
            "{:.0} mm <span class=\"unit\">on {:.0} × {:.0} mm</span>",
            stand.lens_mm, kit.film.width_mm, kit.film.height_mm
        ),
    );
    row(
        "lens height",
        format!(
            "{:.2} m <span class=\"unit\">over the ground ({:.1} ft)</span>",
            stand.height_m,
            feet(stand.height_m)
        ),
    );
    let over = plain_number(extras.eye_over_rail_m, 2);
    row("eye over rail", format!("{over} m"));
    row("level", tilt(stand.pitch_deg, stand.roll_deg));
    row("exposure", exposure(scene, extras));
    format!("<table>{rows}</table>")
}

fn tilt(pitch_deg: f64, roll_deg: f64) -> String {
    if pitch_deg == 0.0 && roll_deg == 0.0 {
        return "no tilt, no roll".into();
    }
    let (pitch, roll) = (plain_number(pitch_deg, 1), plain_number(roll_deg, 1));
    format!("axis {pitch}° up, rolled {roll}° clockwise")
}

fn compass(heading_deg: f64, extras: &CardExtras) -> String {
    let Some(found) = &extras.declination else {
        return "not known: no field model for that year".into();
    };
    let east = if found.deg < 0.0 { "west" } else { "east" };
    format!(
        "{:.0}° <span class=\"unit\">(declination {:.1}° {east}, {} for {:.1})</span>",
        wrap_360(heading_deg - found.deg),
        found.deg.abs(),
        escape(found.model),
        found.year
    )
}

fn exposure(scene: &Scene, extras: &CardExtras) -> String {
    let iso = scene.kit.film_speed_iso;
    let Some(advice) = &extras.advice else {
        return "no light to expose for".into();
    };
    let rule = match sunny_16(iso, advice.aperture.value) {
        Some(shutter) => format!(
            "<br/><span class=\"unit\">f/16 rule at f/{}: {} s</span>",
            advice.aperture.text, shutter.text
        ),
        None => String::new(),
    };
    format!(
        "f/{} at {} s <span class=\"unit\">ISO {iso:.0}</span>{rule}",
        advice.aperture.text, advice.shutter.text
    )
}

/// The window and what ends it, with the sun of its three minutes.
pub fn window(scene: &Scene, answer: &Answer, extras: &CardExtras) -> String {
    let zone = &scene.place.zone;
    let window = &answer.window;
    let [start, best, end] = window.whole_minutes();
    let rows = [
        ("start", start, window.start.sentence.as_str()),
        ("best", best, ""),
        ("end", end, window.end.sentence.as_str()),
    ];
    // A lost frame has one minute.
    let lost = answer.verdict() == Verdict::Lost;
    let told = rows
        .into_iter()
        .zip(&extras.suns)
        .filter(|((name, ..), _)| !lost || *name == "best");
    let mut table = String::from(
        "<table><tr><th></th><th>local</th><th class=\"n\">sun at</th><th class=\"n\">high</th><th>beyond it</th></tr>",
    );
    for ((name, at, beyond), sun) in told {
        let _ = write!(
            table,
            "<tr><td>{name}</td><td class=\"u\">{}</td><td class=\"n\">{:.0}°</td><td class=\"n\">{:.0}°</td><td>{}</td></tr>",
            zone.local(at).naive.format("%H:%M"),
            sun.azimuth_deg,
            sun.elevation_deg,
            escape(&sentence_case(beyond))
        );
    }
    table += "</table>";
    if !lost {
        let _ = write!(
            table,
            "<p style=\"margin:1.2mm 0\">From start to end it stays {}; of its faults, slight ones may come later or \
             go sooner.</p>",
            answer.verdict().word()
        );
    }
    table += &other_days(scene, answer);
    if let Some(risk) = scene.sky.risk() {
        let _ = write!(table, " {}.", escape(&sentence_case(risk)));
    }
    table
}

/// "As good from 1 May (08:57–10:44) to 31 May (08:40–10:33)."
fn other_days(scene: &Scene, answer: &Answer) -> String {
    let zone = &scene.place.zone;
    let told = |day: &Day| {
        let [start, _, end] = day.window.whole_minutes().map(|at| zone.local(at).naive);
        format!(
            "{} ({}–{})",
            day.date.format("%-d %B"),
            start.format("%H:%M"),
            end.format("%H:%M")
        )
    };
    match answer.days.as_slice() {
        [first, .., last] => format!("As good from {} to {}.", told(first), told(last)),
        _ => String::new(),
    }
}

/// The ground: whose leave it needs, and its note.
pub fn ground(scene: &Scene, answer: &Answer) -> String {
    let Some(area) = scene
        .ground
        .areas
        .iter()
        .find(|area| area.name == answer.area)
    else {
        return escape(&answer.area);
    };
    let access = match area.access {
        Access::Public => "Open to the public.",
        Access::Permission => "By permission only: ask before you go.",
    };
    let stand_off = scene.ground.stand_off_m;
    format!(
        "<b>{}</b>. {access} {} <span class=\"unit\">Stand-off {stand_off:.1} m ({:.0} ft) from every rail.</span>",
        escape(&sentence_case(&area.name)),
        escape(&area.note),
        feet(stand_off)
    )
}

/// The cautions.
pub fn cautions() -> String {
    let items: String = CAUTIONS
        .iter()
        .map(|c| format!("<li class=\"plain\">{}</li>", escape(c)))
        .collect();
    format!("<section class=\"cautions\"><h2>Stay alive and lawful</h2><ul>{items}</ul></section>")
}
