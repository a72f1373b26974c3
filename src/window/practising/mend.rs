//! Mend it, on the page: the rehearsal's commands as keys and buttons, the verdict as it comes. May not enter: what a
//! command does.

use super::answers::{self, Told};
use crate::practise::drill::mend::Mend;
use crate::practise::drill::mended::runs_told;
use crate::practise::tutor::Tutor;
use crate::rehearsal::command::Command;
use crate::units::Units;
use crate::window::verdict_sheet::form;
use crate::window::{keys, theme};
use egui::{Rect, RichText, Sense, Ui, pos2, vec2};

/// Commands that have a button, by rows.
const BUTTONS: [(&str, &[Command]); 5] = [
    (
        "Walk",
        &[
            Command::WalkLeft,
            Command::WalkRight,
            Command::WalkNearer,
            Command::WalkFarther,
        ],
    ),
    ("Height", &[Command::Raise, Command::Lower]),
    (
        "Aim",
        &[
            Command::AimLeft,
            Command::AimRight,
            Command::Level,
            Command::Balance,
        ],
    ),
    ("Lens", &[Command::LongerLens, Command::ShorterLens]),
    ("Clock", &[Command::Earlier, Command::Later]),
];

/// Draws what can be done, or how it went; whether the next round is wanted.
pub fn ui(ui: &mut Ui, mend: &mut Mend, mut told: Told, tutor: &Tutor) -> bool {
    let number = told.number;
    let mut pressed: Vec<Command> = vec![];
    if !mend.is_over() {
        pressed = keys::pressed(ui.ctx(), false, |_: Command| true);
        let note =
            "Until the verdict is good, in as few moves as you can. A key held down is one move.";
        answers::question(ui, "Put it right", note);
    }
    let over = mend.is_over();
    let on = over && {
        answers::points(ui, mend.points());
        answers::go_on(ui, "Next frame")
    };
    verdict(ui, mend, told.units);
    if !mend.is_over() {
        buttons(ui, &mut pressed);
        if let Some(why) = &mend.refused {
            let color = theme::page(ui.ctx()).grade(crate::grade::Grade::Ruinous);
            ui.label(RichText::new(why).color(color));
        }
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            let hint = egui::Button::new("What is wrong? (half the points)");
            if ui.add_enabled(!mend.hinted, hint).clicked() {
                mend.hint();
            }
            if ui.button("Show me").clicked() {
                mend.give_up();
            }
        });
    }
    let mut moved = false;
    for command in pressed {
        moved |= mend.press(command);
    }
    if moved {
        tutor.look(number, &mend.now);
    }
    made(ui, mend);
    if !mend.is_over() {
        return false;
    }
    let fewest = &mend.fewest.0;
    let known = format!(
        "Fewest known: {}: {}",
        counted(fewest.len()),
        runs_told(fewest)
    );
    ui.label(known);
    answers::truth(ui, &told, "What was wrong with it");
    answers::beside(ui, &mut told, "Mended by the moves that are known");
    on
}

fn counted(moves: usize) -> String {
    match moves {
        1 => "1 move".into(),
        moves => format!("{moves} moves"),
    }
}

/// The verdict of the frame as it is now.
fn verdict(ui: &mut Ui, mend: &Mend, units: Units) {
    let page = theme::page(ui.ctx());
    let graded = match mend.made.is_empty() {
        true => Some(&mend.dealt.seen),
        false => mend.graded.as_ref(),
    };
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 34.0), Sense::hover());
    let word = graded.map_or("being graded", |seen| seen.graded.sheet.verdict.word());
    let square = Rect::from_min_size(rect.min + vec2(0.0, 5.0), vec2(24.0, 24.0));
    if let Some(seen) = graded {
        theme::mark(ui.painter(), square, form(seen.graded.sheet.verdict), &page);
    }
    let color = if graded.is_some() {
        page.ink
    } else {
        page.faint
    };
    let at = pos2(rect.left() + 34.0, rect.center().y);
    let font = theme::bold(theme::HEAD);
    let left = egui::Align2::LEFT_CENTER;
    ui.painter()
        .text(at, left, word.to_uppercase(), font, color);
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::Role::Label, true, format!("Verdict {word}"))
    });
    // What is wrong is told for half the points; what is left, once it is mended.
    let findings = graded.map_or(&[][..], |seen| &seen.graded.sheet.findings);
    if mend.hinted || mend.is_mended() {
        for finding in findings.iter().take(4) {
            answers::line(ui, finding.grade, finding.what_in(units), false);
        }
    }
    ui.add_space(4.0);
}

fn buttons(ui: &mut Ui, pressed: &mut Vec<Command>) {
    let page = theme::page(ui.ctx());
    for (row, commands) in BUTTONS {
        ui.label(RichText::new(row).small().color(page.faint));
        ui.horizontal_wrapped(|ui| {
            for command in commands {
                let entry = command.entry();
                let key = entry
                    .chords
                    .first()
                    .map_or(String::new(), |chord| chord.text());
                let button = ui.button(format!("{}  {key}", short(*command)));
                button.widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::Button, true, entry.name)
                });
                if button.on_hover_text(entry.why).clicked() {
                    pressed.push(*command);
                }
            }
        });
    }
}

/// A command in its row.
fn short(command: Command) -> &'static str {
    match command {
        Command::WalkLeft | Command::AimLeft => "left",
        Command::WalkRight | Command::AimRight => "right",
        Command::WalkNearer => "nearer",
        Command::WalkFarther => "farther",
        Command::Raise => "raise",
        Command::Lower => "lower",
        Command::Level => "level",
        Command::Balance => "balance",
        Command::LongerLens => "longer",
        Command::ShorterLens => "shorter",
        Command::Earlier => "5 min earlier",
        Command::Later => "5 min later",
        other => other.entry().name,
    }
}

/// The moves that were made.
fn made(ui: &mut Ui, mend: &Mend) {
    let page = theme::page(ui.ctx());
    ui.add_space(4.0);
    let told = match mend.made.is_empty() {
        true => "No move yet".to_string(),
        false => format!("{}: {}", counted(mend.made.len()), runs_told(&mend.made)),
    };
    ui.label(RichText::new(told).color(page.faint));
}
