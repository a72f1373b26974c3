//! Find it for me: a search from here over the day, the month or the year, its progress, and what it found, to be stood
//! in. May not enter: how it searches.

use super::slide::{self, Slide};
use super::theme;
use crate::grade::Verdict;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::kept::{FOUND_FROM, Range, answers};
use egui::{ProgressBar, RichText, ScrollArea, Ui};

/// Answers wanted.
const TOP: usize = 6;

/// The panel's own state.
#[derive(Default)]
pub struct Find {
    slides: slide::Pictures,
}

impl Find {
    /// Draws it.
    pub fn ui(&mut self, ui: &mut Ui, desk: &mut Desk) {
        let page = theme::page(ui.ctx());
        theme::heading(ui, "Search allowed ground and the kit's lenses");
        match desk.searching.clone() {
            None => {
                ui.horizontal_wrapped(|ui| {
                    for (range, word) in Range::WORDS {
                        let word = crate::grade::wording::sentence_case(word);
                        if ui.button(word).clicked() {
                            desk.search(range, TOP);
                        }
                    }
                });
            }
            Some((what, share)) => {
                ui.add(ProgressBar::new(share as f32).text(what));
                if ui.button("Stop").clicked() {
                    desk.stop_search();
                }
            }
        }
        let Some(found) = desk.found.clone() else {
            let told = "Each answer is a spot, a lens and a window of time, proved at full size.";
            ui.label(RichText::new(told).color(page.faint));
            return;
        };
        let request = &found.search.request;
        let told = format!("{} to {}", request.from, request.to);
        ui.label(RichText::new(told).small().color(page.faint));
        if let Some(plan) = &found.plan {
            for facing in &plan.facings {
                let text = crate::report::plan_text::facing_line(&desk.site.base, facing);
                ui.label(RichText::new(text).small());
            }
            if plan.answers.is_empty() {
                ui.label("Nothing is fair or better. The least bad frame:");
            }
        }
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            let width = ui.available_width();
            for (answer, number) in answers(&found).into_iter().zip(FOUND_FROM..) {
                let zone = &desk.site.base.place.zone;
                let [start, best, end] = answer.window.whole_minutes().map(|at| {
                    let local = zone.local(at).naive;
                    local.format("%H:%M").to_string()
                });
                let date = zone.local(answer.window.best).naive.format("%-d %b %Y");
                let when = match answer.verdict() {
                    Verdict::Lost => format!("{date}, {best}"),
                    _ => format!("{date}, {start}–{end}, best {best}"),
                };
                let worst = answer.sheet.findings.first();
                let slide = Slide {
                    picture: desk.small(number).cloned(),
                    verdict: Some(answer.verdict()),
                    score: Some(answer.sheet.score),
                    head: when,
                    line: format!("{:.0} mm · {}", answer.stand.lens_mm, answer.area),
                    foot: worst.map_or(String::new(), |finding| finding.what().to_string()),
                    chosen: false,
                };
                if self.slides.ui(ui, number, &slide, width).clicked() {
                    let take = desk.take_of(&found, answer);
                    desk.lay(take, "Stand where the search found");
                }
                ui.add_space(8.0);
            }
        });
    }
}
