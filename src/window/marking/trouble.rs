//! What stands in the way of a photograph's marks, and what can be done about it: its file is another one or gone, or the
//! marks cannot be kept. May not enter: how any of it is done.

use crate::grade::Grade;
use crate::judge::keeping::Unkept;
use crate::rehearsal::marking::command::MarkCommand;
use crate::rehearsal::marking::{Marking, PhotoFile};
use crate::window::header::button;
use crate::window::theme;
use egui::{Label, Modal, RichText, ScrollArea, Ui};

/// One trouble: its words, more of them, and the ways out.
type Trouble = (String, Option<String>, Vec<(MarkCommand, &'static str)>);

/// Draws what there is of it, if anything is; what is to be told in full is put into `details`.
pub(super) fn ui(
    ui: &mut Ui,
    marking: &Marking,
    chosen: &mut Vec<MarkCommand>,
    details: &mut Option<String>,
) {
    let page = theme::page(ui.ctx());
    for (words, more, ways) in [of_photo(marking), of_marks(marking)].into_iter().flatten() {
        let words = RichText::new(words).color(page.grade(Grade::Ruinous));
        ui.add(Label::new(words).wrap());
        ui.horizontal_wrapped(|ui| {
            for (command, word) in ways {
                button(ui, command, word, chosen);
            }
            if let Some(more) = more
                && ui.button("Details").clicked()
            {
                *details = Some(more);
            }
        });
        ui.add_space(6.0);
    }
}

fn of_photo(marking: &Marking) -> Option<Trouble> {
    let words = match marking.photo_file() {
        PhotoFile::AsRead => return None,
        _ if marking.reads_photo() => "The photograph is read again \u{2026}",
        PhotoFile::Another => {
            "The photograph's file was changed or replaced since it was read; what is shown here is the old one. The marks stay."
        }
        PhotoFile::Gone => {
            "The photograph's file is gone, moved, or on a card that was taken out. The marks stay."
        }
    };
    let again = (MarkCommand::ReadPhoto, "Read the photograph again");
    Some((words.into(), None, vec![again]))
}

fn of_marks(marking: &Marking) -> Option<Trouble> {
    let aside = (MarkCommand::PutAside, "Keep it aside and begin anew");
    let again = (MarkCommand::ReadAnew, "Read it again");
    Some(match marking.unkept()? {
        Unkept::Unreadable(why) => {
            let (first, rest) = first_line(why);
            let words = format!(
                "The marks file cannot be used: {first}. Nothing is written over it, so marks placed now are not kept."
            );
            (words, rest.then(|| why.clone()), vec![aside, again])
        }
        why @ Unkept::Changed(_) => {
            let since = match marking.is_kept() {
                true => "",
                false => " Marks placed since are not kept.",
            };
            let words = format!("{why}.{since}");
            (words, None, vec![again, aside])
        }
        Unkept::Unwritten(why) => {
            let (first, rest) = first_line(why);
            let words = format!("The marks are not kept: {first}.");
            let now = (MarkCommand::KeepAgain, "Try again");
            (words, rest.then(|| why.clone()), vec![now])
        }
    })
}

/// The first line of what is told, and whether more follow.
pub(super) fn first_line(text: &str) -> (&str, bool) {
    let mut lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let first = lines.next().unwrap_or_default();
    (first, lines.next().is_some())
}

/// All of what is told; whether it is to be closed.
pub(super) fn in_full(ui: &Ui, text: &str) -> bool {
    let mut closes = false;
    let modal = Modal::new(egui::Id::unique("told in full")).show(ui.ctx(), |ui| {
        ui.set_width(720.0);
        ui.label(RichText::new("In full").font(theme::bold(theme::HEAD)));
        let words = Label::new(RichText::new(text).monospace()).extend();
        ScrollArea::both()
            .max_height(360.0)
            .show(ui, |ui| ui.add(words));
        closes = ui.button("Close").clicked();
    });
    closes || modal.should_close()
}
