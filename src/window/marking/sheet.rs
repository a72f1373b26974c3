//! What the marks come to: where the camera stood and how surely, the verdict with its doubts, what is unknown, exposure in
//! words, and what the photograph says. May not enter: fitting, grading.

use super::said;
use crate::grade::wording::sentence_case;
use crate::grade::{Grade, Verdict};
use crate::judge::shot::shutter;
use crate::judge::take::{Doubt, Take};
use crate::rehearsal::marking::{Found, Marking};
use crate::report::judged;
use crate::units::Units;
use crate::window::theme::{self, Page};
use crate::window::verdict_sheet;
use egui::{Label, Response, RichText, ScrollArea, Ui};
use std::sync::Arc;

/// Draws it.
pub fn ui(ui: &mut Ui, marking: &mut Marking, units: Units) {
    let page = theme::page(ui.ctx());
    let Some(found) = marking.judged().cloned() else {
        ui.label(RichText::new("The photograph is looked at \u{2026}").color(page.faint));
        return;
    };
    let is_fresh = found.given == marking.given;
    match &found.take {
        Some(Ok(take)) => {
            let told = if is_fresh {
                "By the same rules as a frame that is rehearsed."
            } else {
                "Of the marks as they were: it is worked out anew."
            };
            verdict_sheet::head(ui, &page, &take.sheet, is_fresh, told);
            let [better, worse] = take.verdicts;
            if better != worse {
                let open = format!("Open: {}", Verdict::between(take.verdicts));
                ui.label(RichText::new(open).font(theme::bold(theme::TEXT)))
                    .on_hover_text("What follows from the marks is not sure enough to tell which.");
            }
        }
        Some(Err(why)) => {
            fault(ui, &page, why);
        }
        None => match &found.fit {
            Ok(_) => {
                ui.label(RichText::new("Grading \u{2026}").font(theme::bold(theme::HEAD)));
            }
            Err(_) => {
                let text = RichText::new("Not judged yet").font(theme::bold(theme::HEAD));
                ui.label(text.color(page.faint));
            }
        },
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        camera(ui, &page, marking, &found);
        if let Some(Ok(take)) = &found.take {
            findings(ui, &page, take, units);
            exposure(ui, &page, take);
        }
        ui.add_space(6.0);
        said::ui(ui, marking, &found.shot);
    });
}

fn fault(ui: &mut Ui, page: &Page, why: &str) -> Response {
    let color = page.grade(Grade::Ruinous);
    ui.add(Label::new(RichText::new(why).color(color)).wrap())
}

fn note(ui: &mut Ui, page: &Page, text: impl Into<String>) -> Response {
    let text = RichText::new(text)
        .font(theme::regular(theme::NOTE))
        .color(page.ink);
    ui.add(Label::new(text).wrap())
}

/// Where it stood, or why nobody can say.
fn camera(ui: &mut Ui, page: &Page, marking: &mut Marking, found: &Arc<Found>) {
    ui.add_space(6.0);
    theme::heading(ui, "Where the camera stood");
    let fit = match &found.fit {
        Ok(fit) => fit,
        Err(why) => {
            let color = if found.given.marks.len() < 6 {
                page.ink
            } else {
                page.grade(Grade::Ruinous)
            };
            ui.add(Label::new(RichText::new(sentence_case(why)).color(color)).wrap());
            return;
        }
    };
    let sigmas = fit.sigmas();
    let kept = fit.residuals.len() - fit.mismarked().count();
    let off = format!("{kept} marks, typically {:.2} px off", fit.rms_px);
    note(ui, page, off).on_hover_text(
        "Root mean square of how far the marks lie from where the fit has their points.",
    );
    if let Some(Ok(take)) = &found.take {
        if let Some(times) = take.poor() {
            let told = format!(
                "The fit is poor: marks said to be placed to {} px lie {times:.0} times as far off, so what follows is doubtful.",
                take.placed_to_px
            );
            fault(ui, page, &told).on_hover_text(
                "The picture may have been cut, straightened or stretched, marks may be on other points than they name, or \
                 lens, sensor or machine may be others. Look at the outline.",
            );
        }
        let stand = &take.stand;
        let eye_m = sigmas.eye_m;
        let aside_m = eye_m.truncate().length();
        let frame = &marking.room.frame;
        let away_m = stand.spot_m.distance(frame.origin_m);
        note(
            ui,
            page,
            format!("{away_m:.2} m from the machine's centre ± {aside_m:.2} m"),
        );
        let height = (stand.height_m, eye_m.z);
        note(
            ui,
            page,
            format!("eye {:.2} m over the ground ± {:.2} m", height.0, height.1),
        );
        let heading = (stand.heading_deg, sigmas.heading_deg);
        note(
            ui,
            page,
            format!("looking {:.1}° ± {:.2}°", heading.0, heading.1),
        );
        let [pitch, roll] = [
            (stand.pitch_deg, sigmas.pitch_deg),
            (stand.roll_deg, sigmas.roll_deg),
        ];
        let text = format!(
            "pitch {:+.2}° ± {:.2}°, roll {:+.2}° ± {:.2}°",
            pitch.0, pitch.1, roll.0, roll.1
        );
        note(ui, page, text.replace('-', "\u{2212}"));
        let (told, doubt) = (stand.lens_mm, sigmas.focal_mm);
        let shot = &take.shot;
        let lens = match shot.focal_mm.value {
            Some(_) if doubt == 0.0 => format!("{told:.1} mm, as it was said"),
            Some(tags) if !shot.leaves_focal_out(fit) => {
                format!(
                    "{told:.1} mm ± {doubt:.2} mm, by the marks and the {tags:.1} mm that are told"
                )
            }
            _ => format!("{told:.1} mm ± {doubt:.2} mm, found by the fit"),
        };
        note(ui, page, lens);
        if let Some([percent, sigma]) = fit.corner_percent(&shot.plate) {
            let (form, way) = match percent < 0.0 {
                true => ("barrel", "in"),
                false => ("pincushion", "out"),
            };
            let percent = percent.abs();
            let told = format!(
                "the lens bends lines ({form}): corners lie {percent:.1} % ± {sigma:.1} % farther {way}"
            );
            note(ui, page, told).on_hover_text(
                "Of their distance from the middle. Margins and lean are of the bent picture; the tick below leaves it out.",
            );
        }
        if let Some(whence) = &take.whence {
            let off = judged::position_off(whence, "the stand");
            note(ui, page, format!("The receiver's position: {off}"));
        }
    }
    let mut wrong = None;
    for one in fit.mismarked() {
        let points = &marking.model.points;
        let point = points.iter().position(|point| point.name == one.name);
        let words = point.map_or(one.name.as_str(), |point| points[point].words.as_str());
        let told = format!(
            "Mismarked: {words} lies {:.1} px off, {:.0} times what marks err by. It was left out.",
            one.off_px.length(),
            one.times_sigma
        );
        fault(ui, page, &told);
        if ui
            .button("Go to it")
            .on_hover_text("Its mark is taken hold of: move it, or take it away.")
            .clicked()
        {
            wrong = point;
        }
    }
    if let Some(point) = wrong {
        marking.hold(point);
    }
}

fn findings(ui: &mut Ui, page: &Page, take: &Take, units: Units) {
    ui.add_space(6.0);
    theme::heading(ui, "Findings");
    let doubt_of = |measure| take.doubts.iter().find(|doubt| doubt.measure == measure);
    for finding in &take.sheet.findings {
        // A doubt of nothing, as it would be written, says nothing.
        let least = |doubt: &&Doubt| 0.5 * 0.1_f64.powi(doubt.measure.decimals() as i32 + 1);
        let is_told = |doubt: &&Doubt| doubt.is_open() || doubt.sigma >= least(doubt);
        let doubt = doubt_of(finding.measure).filter(is_told);
        let doubt = doubt.map(|doubt| {
            let unit = doubt.measure.unit().suffix();
            let decimals = doubt.measure.decimals() + 1;
            let grades = match doubt.is_open() {
                true => format!(": {} or {}", doubt.grades[0].word(), doubt.grades[1].word()),
                false => String::new(),
            };
            format!("± {:.decimals$}{unit}{grades}", doubt.sigma)
        });
        verdict_sheet::row(ui, page, (finding, doubt.as_deref()), units, false);
    }
    if take.sheet.findings.is_empty() {
        note(ui, page, "Nothing to say against it");
    }
    let found = |measure| take.sheet.findings.iter().any(|one| one.measure == measure);
    let open = take
        .doubts
        .iter()
        .filter(|one| one.is_open() && !found(one.measure));
    let open: Vec<String> = open.map(judged::open).collect();
    if !open.is_empty() {
        ui.add_space(6.0);
        theme::heading(ui, "Open");
        for one in open {
            note(ui, page, sentence_case(&one));
        }
    }
    let mut unknown: Vec<(&str, Vec<&str>)> = vec![];
    for row in &take.sheet.measures {
        let Some(why) = row.unknown.as_deref().filter(|_| row.fault.is_some()) else {
            continue;
        };
        let title = row.measure.title();
        match unknown.iter_mut().find(|(other, _)| *other == why) {
            Some((_, titles)) => titles.push(title),
            None => unknown.push((why, vec![title])),
        }
    }
    if !unknown.is_empty() {
        ui.add_space(6.0);
        theme::heading(ui, "Unknown");
        for (why, titles) in unknown {
            note(
                ui,
                page,
                format!("{}: {}", sentence_case(why), titles.join(", ")),
            );
        }
    }
}

/// The picture's own levels on the machine.
fn exposure(ui: &mut Ui, page: &Page, take: &Take) {
    ui.add_space(6.0);
    theme::heading(ui, "Exposure");
    let shot = &take.shot;
    let set = [
        shot.exposure_s.value.map(shutter),
        shot.f_number.value.map(|n| format!("f/{n}")),
        shot.film_speed_iso.value.map(|iso| format!("ISO {iso:.0}")),
    ];
    let set: Vec<String> = set.into_iter().flatten().collect();
    if !set.is_empty() {
        note(ui, page, set.join(", "));
    }
    match &take.tones {
        Some(tones) => {
            let [clipped, blocked, mean] =
                [tones.clipped, tones.blocked, tones.mean].map(|share| 100.0 * share);
            let of = |share: f64, what: &str| match share < 0.05 {
                true => format!("nothing of the machine is {what}"),
                false => format!("{share:.1} % of the machine is {what}"),
            };
            let told = format!(
                "{}; {}",
                of(clipped, "clipped to white"),
                of(blocked, "blocked to black")
            );
            note(ui, page, sentence_case(&told));
            note(ui, page, format!("Mean level on it {mean:.0} %"));
        }
        None => {
            note(ui, page, "The machine lies outside the picture: unknown");
        }
    }
}
