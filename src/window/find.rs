//! Find it for me: a search from here over the day, the month or the year, its progress, and what it found, to be stood
//! in. May not enter: how it searches.

use super::slide::{self, Slide};
use super::theme;
use crate::grade::Verdict;
use crate::plan::answer::Answer;
use crate::plan::slack::{COUNTED, Slack, words};
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::kept::{FOUND_FROM, Range, answers, folded};
use crate::scene::Scene;
use crate::sky::clock::Zone;
use crate::units::{Units, compass_word};
use egui::{ProgressBar, RichText, ScrollArea, Ui};

/// Answers wanted.
const TOP: usize = 6;

/// The panel's own state.
#[derive(Default)]
pub struct Find {
    slides: slide::Pictures,
    /// What each answer bears is told, the likeliest to stay good first.
    likeliest: bool,
}

impl Find {
    /// Draws it.
    pub fn ui(&mut self, ui: &mut Ui, desk: &mut Desk, units: Units) {
        theme::heading(ui, "Search allowed ground and the kit's lenses");
        match desk.searching.clone() {
            None => {
                ui.horizontal_wrapped(|ui| {
                    for (range, word) in Range::WORDS {
                        let word = crate::grade::wording::sentence_case(word);
                        if ui.button(word).clicked() {
                            desk.search(range, TOP, self.likeliest);
                        }
                    }
                });
                let told = "Weighs twice as many answers by the chance of a good frame when the minute, the machine's \
                            stop and the track's bearing are uncertain. Takes longer.";
                ui.checkbox(&mut self.likeliest, "the likeliest to stay good first")
                    .on_hover_text(told);
                let entry = Command::Bears.entry();
                if ui.button(entry.name).on_hover_text(entry.why).clicked() {
                    desk.bear();
                }
            }
            Some((what, share)) => {
                ui.add(ProgressBar::new(share as f32).text(what));
                if ui.button("Stop").clicked() {
                    desk.stop_search();
                }
            }
        }
        // All of it in one roll: in a low window either part would else leave no room to the other.
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            bearing(ui, desk, units);
            self.found(ui, desk, units);
        });
    }

    /// What the search found.
    fn found(&mut self, ui: &mut Ui, desk: &mut Desk, units: Units) {
        let page = theme::page(ui.ctx());
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
            match (plan.answers.is_empty(), &plan.least_bad) {
                (true, Some(_)) => {
                    ui.label("Nothing is fair or better. The least bad frame:");
                }
                (true, None) => {
                    ui.label(crate::report::plan_text::why_nothing(plan));
                }
                _ => {}
            }
        }
        let width = ui.available_width();
        let answers = answers(&found);
        for (n, more) in folded(&desk.site.base.place.zone, &answers) {
            let (answer, number) = (answers[n], FOUND_FROM + n as u64);
            let worst = answer.sheet.findings.first();
            let slide = Slide {
                picture: desk.small(number).cloned(),
                verdict: Some(answer.verdict()),
                score: Some(answer.sheet.score),
                head: when(&desk.site.base.place.zone, answer),
                line: stand(&desk.site.base, answer, units),
                foot: worst.map_or(String::new(), |finding| finding.what_in(units).to_string()),
                chosen: false,
                wraps: true,
            };
            if self.slides.ui(ui, number, &slide, width).clicked() {
                let take = desk.take_of(&found, answer);
                desk.lay(take, "Stand where the search found");
            }
            if let Some(slack) = &answer.slack {
                ui.label(RichText::new(borne(slack, units)).small());
            }
            if more > 0 {
                let told = format!("and {more} like it, from about there");
                ui.label(RichText::new(told).small().color(page.faint));
            }
            ui.add_space(8.0);
        }
    }
}

/// What the frame bears that was asked about last.
fn bearing(ui: &mut Ui, desk: &Desk, units: Units) {
    let Some(bearing) = &desk.bearing else { return };
    let page = theme::page(ui.ctx());
    let zone = &desk.site.base.place.zone;
    let is_old = bearing.take != desk.take;
    ui.add_space(4.0);
    let of = match is_old {
        true => format!("The frame before, {}", when(zone, &bearing.answer)),
        false => format!("This frame, {}", when(zone, &bearing.answer)),
    };
    ui.label(RichText::new(of).font(theme::bold(theme::NOTE)));
    let color = if is_old { page.faint } else { page.ink };
    let verdict = bearing.answer.verdict().word();
    let spread = words::spread_words(&bearing.slack.chance.spread, units);
    let told = format!("{} ({spread})", borne(&bearing.slack, units));
    ui.label(RichText::new(told).color(color));
    ui.label(RichText::new(format!("It stays {verdict} with")).color(page.faint));
    for (head, line) in words::lines(&bearing.slack, units) {
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new(head).small().color(page.faint));
            ui.label(RichText::new(line).small().color(color));
        });
    }
    ui.add_space(6.0);
}

/// "good or better in 92 % ± 2 %; tightest: …".
fn borne(slack: &Slack, units: Units) -> String {
    let chance = words::chance(&slack.chance);
    let tightest = words::tightest(slack, units).map_or(String::new(), |told| format!("; {told}"));
    format!("{} in {chance}{tightest}", words::at_least(COUNTED))
}

/// The window of an answer, by the site's clock.
fn when(zone: &Zone, answer: &Answer) -> String {
    let [start, best, end] = answer.window.whole_minutes().map(|at| {
        let local = zone.local(at).naive;
        local.format("%H:%M").to_string()
    });
    let date = zone.local(answer.window.best).naive.format("%-d %b %Y");
    match answer.verdict() {
        Verdict::Lost => format!("{date}, {best}"),
        _ => format!("{date}, {start}–{end}, best {best}"),
    }
}

/// Where one stands for it, and with what: which way the machine faces, the side shown, the ground, how far from the track,
/// the lens.
fn stand(scene: &Scene, answer: &Answer, units: Units) -> String {
    let machine = &scene.machine;
    let track = &scene.tracks[machine.track];
    let facing = compass_word(machine.bearing_led_by_deg(answer.head_end));
    let rail = units.length(track.distance_to_rail_m(answer.stand.spot_m));
    format!(
        "facing {facing}, {} side · {}, {rail} from the rail · {:.0} mm",
        answer.side.word(),
        answer.area,
        answer.stand.lens_mm
    )
}
