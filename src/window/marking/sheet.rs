//! What the marks come to: where the camera stood and how surely, the verdict with its doubts, what is unknown, exposure in
//! words, and what the photograph says. May not enter: fitting, grading.

use super::said::{self, Otherwise};
use crate::grade::Grade;
use crate::grade::wording::sentence_case;
use crate::judge::take::{Doubt, Take};
use crate::rehearsal::marking::command::MarkCommand;
use crate::rehearsal::marking::{Found, Marking};
use crate::report::judged;
use crate::units::Units;
use crate::window::header::keys_of;
use crate::window::theme::{self, Page};
use crate::window::verdict_sheet;
use egui::{Label, Response, RichText, ScrollArea, Ui};
use glam::DVec2;
use std::sync::Arc;

/// Draws it.
pub fn ui(ui: &mut Ui, marking: &mut Marking, otherwise: &mut Otherwise, units: Units) {
    let page = theme::page(ui.ctx());
    let Some(found) = marking.judged().cloned() else {
        ui.label(RichText::new("The photograph is looked at \u{2026}").color(page.faint));
        return;
    };
    let is_fresh = found.given == marking.given;
    match &found.take {
        Some(Ok(take)) => {
            let [better, worse] = take.verdicts;
            let told = match (is_fresh, better == worse) {
                (false, _) => "Of the marks as they were: it is worked out anew.",
                (true, true) => "By the same rules as a frame that is rehearsed.",
                (true, false) => "What follows from the marks is not sure enough to tell which.",
            };
            let words = judged::verdict(take);
            let head = (take.verdicts, &*words, take.sheet.score);
            verdict_sheet::head(ui, &page, head, is_fresh, told);
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
        said::ui(ui, marking, &found.shot, otherwise);
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
        // What the marks say against it; what else does stands below, with what the photograph says.
        let against = shot.focal_mm.doubt.as_ref();
        if let Some(against) = against.filter(|_| shot.focal_mm.doubt != found.shot.focal_mm.doubt)
        {
            note(ui, page, format!("but {against}"));
        }
        if let Some(beside) = judged::beside(fit, shot) {
            note(ui, page, sentence_case(&beside));
        }
        if let Some(bend) = judged::bend(fit, &shot.plate) {
            note(ui, page, bend).on_hover_text(
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
        let words = marking.model.words_of(&one.name).unwrap_or(&one.name);
        let told = format!(
            "Mismarked: {words} lies {:.1} px off ({}), {:.0} times what marks err by. It was left out.",
            one.off_px.length(),
            aside(one.off_px),
            one.times_sigma
        );
        fault(ui, page, &told);
        if ui
            .button("Go to it")
            .on_hover_text(format!(
                "Its mark is taken hold of: move it, or take it away; {} goes to where the others have it.",
                keys_of(MarkCommand::ToExpected)
            ))
            .clicked()
        {
            wrong = point;
        }
    }
    if let Some(point) = wrong {
        marking.hold(point);
    }
}

/// How far off to which side, pixels.
fn aside(off_px: DVec2) -> String {
    let [across, down] =
        [(off_px.x, "right", "left"), (off_px.y, "down", "up")].map(|(by, plus, minus)| {
            format!("{:.1} {}", by.abs(), if by < 0.0 { minus } else { plus })
        });
    format!("{across}, {down}")
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
        let told = match take.sheet.measures.iter().any(|row| row.unknown.is_some()) {
            true => "Nothing in what is known speaks against it",
            false => "Nothing to say against it",
        };
        note(ui, page, told);
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
    let set = judged::settings(shot);
    if !set.is_empty() {
        note(ui, page, set);
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
