//! The sheet as one HTML page that needs nothing else: no script, no font, no file beside it. May not enter:
//! numbers of its own.

use super::sections::{
    camera, cautions, distances, findings, freeing, ground, slack, trade_offs, verdict_mark, window,
};
use super::style::STYLE;
use super::{CardExtras, MARK};
use crate::grade::Verdict;
use crate::picture::drawing::escape;
use crate::plan::answer::Answer;
use crate::scene::Scene;
use crate::units::{compass_word, wrap_360};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;

/// The card of one answer. The scene's machine must face as the answer has it.
pub fn html(scene: &Scene, answer: &Answer, extras: &CardExtras) -> String {
    let zone = &scene.place.zone;
    let best = zone.local(answer.window.best);
    let [start, best_minute, end] = answer.window.whole_minutes().map(|at| zone.local(at));
    let name = escape(&scene.name);
    let verdict = answer.verdict();
    let nose_deg = scene.machine.forward_bearing_deg();
    let side_deg = wrap_360(nose_deg - 90.0 * answer.side.sign());
    let subject = format!(
        "{}, nose to the {} ({nose_deg:.0}°); its {} side, to the {}, is shown",
        escape(&scene.machine.model.name),
        compass_word(nose_deg),
        answer.side.word(),
        compass_word(side_deg)
    );
    let film = &scene.kit.film;
    let handrail = match &extras.handrail_svg {
        Some(svg) => format!(
            "<section class=\"drawing\"><h2>The handrail's shadow on the doors</h2>{svg}</section>"
        ),
        None => String::new(),
    };
    // One sheet must do: what it bears stands where the drawing leaves room.
    let (left, right) = match extras.handrail_svg {
        Some(_) => (handrail, slack(answer)),
        None => (slack(answer), String::new()),
    };
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/>{MARK}\
<meta name=\"viewport\" content=\"width=device-width\"/><title>{name}, {date}</title>\
<style>{STYLE}</style></head><body{fuller}>\n\
<header><div><h1>{name}</h1><p>{note}</p><p>{subject}</p></div>\
<p class=\"when\">{date}<br/><b>{hours}</b> {letters}{at}</p></header>\n\
{warning}{freeing}\
<div class=\"row\"><div class=\"wide\"><div class=\"slide\"><div class=\"mount\">\
<img alt=\"The predicted frame at the best minute\" src=\"data:image/png;base64,{png}\"/>\
<p><span>{width:.0} × {height:.0} mm</span><span>{lens:.0} mm</span><span>{stamp}</span></p></div></div>\
<section class=\"drawing\"><h2>Where to stand</h2>{plan}<p class=\"key\">{KEY}</p></section>{left}</div>\n\
<div class=\"narrow\"><section><p class=\"verdict\" style=\"margin:0 0 1.4mm\">{form} {verdict}</p>{findings}</section>\
<section><h2>From when to when</h2>{window}</section>\
<section><h2>How far</h2>{distances}</section><section><h2>The ground</h2>{ground}</section>\
<section><h2>The camera</h2>{camera}</section>{trade_offs}{right}</div></div>\n{cautions}\n\
<footer>Sunside · {lat}, {lon} · distances level, to the spot under the lens · sun and light computed, weather not</footer>\
</body></html>\n",
        // What it bears is told too: then the sheet is printed a tenth smaller, so that one will do.
        fuller = if answer.slack.is_some() {
            " class=\"bears\""
        } else {
            ""
        },
        note = escape(&scene.note),
        date = best.naive.format("%A, %-d %B %Y"),
        hours = match verdict {
            Verdict::Lost => best.naive.format("%H:%M").to_string(),
            _ => format!(
                "{}–{}",
                start.naive.format("%H:%M"),
                end.naive.format("%H:%M")
            ),
        },
        letters = escape(&best.letters()),
        at = match verdict {
            Verdict::Lost => String::new(),
            _ => format!("<br/>best {}", best_minute.naive.format("%H:%M")),
        },
        warning = warning(verdict),
        freeing = freeing(extras),
        png = STANDARD.encode(&extras.frame_png),
        width = film.width_mm,
        height = film.height_mm,
        lens = answer.stand.lens_mm,
        stamp = escape(&best.to_string()),
        form = verdict_mark(verdict),
        verdict = verdict.word(),
        findings = findings(answer),
        trade_offs = trade_offs(answer),
        plan = extras.site_plan_svg,
        window = window(scene, answer, extras),
        distances = distances(extras),
        ground = ground(scene, answer),
        camera = camera(scene, answer, extras),
        cautions = cautions(),
        lat = degrees(scene.place.observer.lat_deg, "N", "S"),
        lon = degrees(scene.place.observer.lon_deg, "E", "W"),
    )
}

/// What the site plan's signs mean.
const KEY: &str = "Dotted ground is public, hatched by permission; nobody stands on grey. Dashed: distances. \
Broken lines: what the lens takes in. Shadows as at the best minute.";

/// Said plainly at the top where the frame is not worth the trip.
fn warning(verdict: Verdict) -> String {
    match verdict {
        Verdict::Poor | Verdict::Lost => format!(
            "<p class=\"warning\">No frame here is fair in these dates. This is the least bad one, and it is {}.</p>\n",
            verdict.word()
        ),
        _ => String::new(),
    }
}

fn degrees(value_deg: f64, positive: &str, negative: &str) -> String {
    let side = if value_deg < 0.0 { negative } else { positive };
    format!("{:.4}° {side}", value_deg.abs())
}
