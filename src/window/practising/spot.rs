//! Spot the fault, on the page. May not enter: what an answer is worth.

use super::answers::{self, Told};
use crate::grade::Grade;
use crate::grade::wording::sentence_case;
use crate::practise::drill::spot::{GRADES, Spot, Step};
use crate::practise::fault::{FaultKind, Remedy};
use crate::units::Units;
use crate::window::theme;
use egui::{RichText, Ui};

/// Draws what is asked, or what is true with what is told of the learner's eye; whether the next round is wanted.
pub fn ui(ui: &mut Ui, spot: &mut Spot, told: Told, eye: &str) -> bool {
    match spot.step {
        Step::Which => which(ui, spot, told.units),
        Step::HowBad => how_bad(ui, spot),
        Step::WhatToDo => what_to_do(ui, spot),
        Step::Truth => return truth(ui, spot, told, eye),
    }
    false
}

fn which(ui: &mut Ui, spot: &mut Spot, units: Units) {
    // What the place has against it anyway is told: nobody is asked what no step would mend.
    let given = &spot.dealt.given;
    let note = match given.is_empty() {
        true => "One, several, or nothing at all.",
        false => "One, several, or nothing but what the place itself has against it:",
    };
    answers::question(ui, "What is wrong with it?", note);
    for finding in given {
        answers::line(ui, finding.grade, finding.what_in(units), false);
    }
    for (n, kind) in spot.offered.clone().into_iter().enumerate() {
        let chosen = spot.named.contains(&kind);
        if answers::answer(ui, n + 1, kind.name(), chosen, None) {
            spot.toggle(kind);
        }
    }
    let given_none = spot.dealt.given.is_empty();
    let words = match spot.named.len() {
        0 if given_none => "Nothing: a clean frame",
        0 => "Nothing else",
        1 => "That is it",
        _ => "These are it",
    };
    if answers::go_on(ui, words) || (spot.named.is_empty() && answers::number_pressed(ui, 0)) {
        spot.named_all();
    }
}

/// What a grade means.
fn meaning(grade: Grade) -> &'static str {
    match grade {
        Grade::Clean => "Within the rule: to be seen, no fault",
        Grade::Slight => "Slight: seen, lived with",
        Grade::Marked => "Marked: objectionable",
        Grade::Ruinous => "Ruinous: the frame is lost",
    }
}

/// A grade as it was said.
fn said(grade: Grade) -> &'static str {
    match grade {
        Grade::Clean => "within the rule",
        other => other.word(),
    }
}

fn how_bad(ui: &mut Ui, spot: &mut Spot) {
    let note = match spot.named.len() {
        1 => "",
        _ => "The worst of them.",
    };
    answers::question(ui, "How bad is it?", note);
    for (n, grade) in GRADES.into_iter().enumerate() {
        if answers::answer(ui, n, meaning(grade), false, Some(grade)) {
            spot.say_grade(grade);
        }
    }
}

fn what_to_do(ui: &mut Ui, spot: &mut Spot) {
    answers::question(ui, "What do you do?", "What mends the worst of it.");
    for (n, remedy) in Remedy::ALL.into_iter().enumerate() {
        if answers::answer(ui, n + 1, remedy.words(), false, None) {
            spot.say_remedy(remedy);
        }
    }
}

fn truth(ui: &mut Ui, spot: &Spot, mut told: Told, eye: &str) -> bool {
    let page = theme::page(ui.ctx());
    answers::points(ui, spot.points());
    let on = answers::go_on(ui, "Next frame");
    let names = |kinds: &[FaultKind]| {
        let short = |kind: &FaultKind| {
            kind.name()
                .split(':')
                .next()
                .unwrap_or_default()
                .to_string()
        };
        match kinds.is_empty() {
            true => "nothing".to_string(),
            false => kinds.iter().map(short).collect::<Vec<_>>().join(", "),
        }
    };
    let planted: Vec<FaultKind> = spot.dealt.planted.iter().map(|one| one.kind).collect();
    let right = spot.named_rightly() == 1.0;
    let wrong = spot.wrongly_named();
    // What is none stands apart, and is not called right.
    let is_told = |kind: &FaultKind| !right || !wrong.contains(kind);
    let named: Vec<FaultKind> = spot.named.iter().copied().filter(is_told).collect();
    answers::compared(ui, "You named", &names(&named), &names(&planted), right);
    let also = spot.also_there();
    if !also.is_empty() {
        let words = match spot.is_seen() || !right {
            true => "There too",
            false => "The same cause as",
        };
        let of = if words == "There too" {
            &also
        } else {
            &planted
        };
        ui.label(RichText::new(format!("{words}: {}", names(of))).color(page.faint));
    }
    if let Some(within) = spot.within_told(told.units) {
        ui.label(within);
    }
    if !wrong.is_empty() && right {
        let text = format!("No fault here: {}", names(&wrong));
        ui.label(RichText::new(text).color(page.grade(Grade::Ruinous)));
    }
    // How far from a fault each is that was taken for one.
    for kind in &wrong {
        if let Some(measured) = spot.measured_of(*kind, told.units) {
            ui.label(RichText::new(measured).small().color(page.faint));
        }
    }
    if let Some(grade) = spot.grade.filter(|_| spot.dealt.planted.is_some()) {
        let is = spot.true_grade();
        answers::compared(ui, "How bad", said(grade), said(is), grade == is);
    }
    if let (Some(remedy), Some(planted)) = (spot.remedy, spot.dealt.planted) {
        let right = spot.remedies();
        let is = planted.kind.remedies().first();
        let is = is.map_or("", |remedy| remedy.words());
        answers::compared(
            ui,
            "To be done",
            remedy.words(),
            is,
            right.contains(&remedy),
        );
    }
    ui.add_space(4.0);
    answers::truth(ui, &told, "What is true");
    if !spot.dealt.given.is_empty() {
        let note = "What the place itself has against it was not asked for.";
        ui.label(RichText::new(note).small().color(page.faint));
    }
    if spot.dealt.planted.is_some() {
        answers::beside(ui, &mut told, "The same, mended");
        ui.add_space(4.0);
        theme::heading(ui, "Your eye for this");
        ui.label(sentence_case(eye));
    }
    on
}
