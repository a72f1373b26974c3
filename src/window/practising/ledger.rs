//! What the rounds have told: points, thresholds as plain figures, and what is done with what is kept. May not enter:
//! how a threshold is worked out.

use super::answers;
use super::{Practising, Shown};
use crate::practise::fault::FaultKind;
use crate::practise::progress::{Drill, Progress};
use crate::practise::words;
use crate::window::theme;
use egui::{RichText, ScrollArea, Ui};
use std::path::{Path, PathBuf};

/// Where an export goes: nothing is written over.
fn free_name(file: &Path) -> PathBuf {
    let name = |number: usize| match number {
        1 => file.with_file_name("practice-exported.json"),
        number => file.with_file_name(format!("practice-exported-{number}.json")),
    };
    let free = (1..1000).map(name).find(|path| !path.exists());
    free.unwrap_or_else(|| name(1000))
}

impl Practising {
    pub(super) fn ledger(&mut self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        if let Shown::Ended(drill) = self.shown {
            let points = self.won();
            let most = 3 * self.points.len();
            let told = format!(
                "{points:.1} of {most} points in {} rounds",
                self.points.len()
            );
            ui.label(
                RichText::new(told)
                    .font(theme::bold(theme::LARGE))
                    .color(page.ink),
            );
            let again = ui.scope(|ui| {
                ui.set_max_width(320.0);
                answers::go_on(ui, "Once more")
            });
            if again.inner {
                self.begin(drill);
                return;
            }
            ui.add_space(10.0);
        }
        let wide = ui.available_width();
        ui.horizontal_top(|ui| {
            ui.vertical(|ui| {
                ui.set_width((0.36 * wide).clamp(280.0, 420.0));
                self.drills(ui);
                ui.add_space(14.0);
                self.kept(ui);
            });
            ui.add_space(20.0);
            ui.vertical(|ui| {
                ui.set_width(ui.available_width().min(720.0));
                ScrollArea::vertical()
                    .auto_shrink(false)
                    .show(ui, |ui| self.thresholds(ui));
            });
        });
    }

    fn drills(&self, ui: &mut Ui) {
        theme::heading(ui, "Drills");
        for drill in Drill::ALL {
            let (rounds, share) = self.progress.of_drill(drill);
            let share = share.map_or("not played yet".into(), |share| {
                format!(
                    "{}, {:.0} % of the points",
                    words::rounds_told(rounds),
                    100.0 * share
                )
            });
            let late = self
                .progress
                .hour_error_min()
                .filter(|_| drill == Drill::Hour);
            let late = late.map_or(String::new(), |late| {
                format!(", off by {late:.0} minutes on average")
            });
            ui.label(format!("{}: {share}{late}", drill.name()));
        }
    }

    /// What is told of each fault that was shown; worked out once after each round.
    pub(super) fn eyes(&mut self) -> &[(FaultKind, String)] {
        let (progress, units) = (&self.progress, self.units);
        let rulebook = self.practice.means.rulebook;
        self.eyes.get_or_insert_with(|| {
            let of = |kind: &FaultKind| {
                let words = words::of_fault(rulebook, &progress.of(*kind), units)?;
                // A number and its unit stay in one line.
                Some((*kind, words.replace(" %", "\u{a0}%")))
            };
            FaultKind::ALL.iter().filter_map(of).collect()
        })
    }

    /// Each fault's threshold in a plain sentence.
    pub(super) fn thresholds(&mut self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        theme::heading(ui, "Your eye, fault by fault");
        let eyes = self.eyes();
        for (kind, words) in eyes {
            ui.label(RichText::new(kind.name()).font(theme::bold(theme::TEXT)));
            ui.label(RichText::new(words).color(page.faint));
            ui.add_space(4.0);
        }
        if eyes.is_empty() {
            let told = "Nothing yet: a few rounds of Spot the fault tell how small a roll, a lean, a shadow you see.";
            ui.label(RichText::new(told).color(page.faint));
        }
    }

    fn kept(&mut self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        theme::heading(ui, "What is kept");
        let store = self.practice.store.clone();
        let place = store.file().map(|file| file.display().to_string());
        let place = place.unwrap_or_else(|| "nowhere: the system names no folder for data".into());
        ui.label(RichText::new(place).small().color(page.faint));
        ui.horizontal(|ui| {
            if ui.button("Export beside it").clicked()
                && let Some(file) = store.file()
            {
                let to = free_name(file);
                self.told = Some(store.export(&to));
            }
            let rounds = self.progress.rounds.len();
            let words = match self.erasing {
                true => format!("Yes, erase {}", words::rounds_told(rounds)),
                false => "Erase all of it".to_string(),
            };
            if ui.button(words).clicked() {
                if !std::mem::replace(&mut self.erasing, true) {
                    // What is asked about is what the file holds by now.
                    self.reload();
                    return;
                }
                self.erasing = false;
                self.told = Some(store.erase());
                if matches!(self.told, Some(Ok(_))) {
                    self.progress = Progress::default();
                    self.pending.clear();
                    self.eyes = None;
                }
            }
        });
    }
}
