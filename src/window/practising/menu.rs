//! Which drill: the three of them, each with what it trains. May not enter: rounds.

use super::Practising;
use super::answers;
use crate::practise::progress::Drill;
use crate::practise::tutor::Read;
use crate::practise::words;
use crate::window::theme::{self, Page};
use egui::{Rect, RichText, ScrollArea, Ui, UiBuilder, vec2};

/// Width of the column.
const COLUMN: f32 = 680.0;
/// Between it and what stands beside.
const GAP: f32 = 40.0;
/// Less room than this is left empty.
const LEAST_BESIDE: f32 = 420.0;

fn trains(drill: Drill) -> &'static str {
    match drill {
        Drill::Spot => {
            "A frame, with one thing wrong or none. Say what, how bad, and what to do; then see it measured and lit. \
             It grows harder where your eye grows sharper."
        }
        Drill::Mend => {
            "A spoilt frame. Walk, aim, level, change the lens or wait until the verdict is good, in as \
             few moves as you can."
        }
        Drill::Hour => {
            "A good frame with the sun at work. From the shadows on the doors: how long until the light is gone?"
        }
    }
}

impl Practising {
    /// Draws it; the drill that was chosen.
    pub(super) fn menu(&mut self, ui: &mut Ui) -> Option<Drill> {
        let page = theme::page(ui.ctx());
        let room = ui.available_rect_before_wrap();
        let column = vec2(room.width().min(COLUMN), room.height());
        let within = UiBuilder::new().max_rect(Rect::from_min_size(room.min, column));
        let chosen = ui.scope_builder(within, |ui| self.drills_to_choose(ui, &page));
        // Where there is room for it, what the eye has shown so far.
        let beside = Rect::from_min_max(room.min + vec2(COLUMN + GAP, 0.0), room.max);
        if beside.width() > LEAST_BESIDE {
            let within = UiBuilder::new().max_rect(beside);
            ui.scope_builder(within, |ui| {
                ScrollArea::vertical()
                    .auto_shrink(false)
                    .show(ui, |ui| self.thresholds(ui))
            });
        }
        chosen.inner
    }

    fn drills_to_choose(&self, ui: &mut Ui, page: &Page) -> Option<Drill> {
        let mut chosen = None;
        ui.label(
            RichText::new("What would you like to practise?")
                .font(theme::bold(theme::LARGE))
                .color(page.ink),
        );
        let told =
            "Frames of known faults from your sites, graded by the same rules as everything else.";
        ui.label(RichText::new(told).color(page.faint));
        ui.add_space(14.0);
        for (n, drill) in Drill::ALL.into_iter().enumerate() {
            if answers::answer(ui, n + 1, drill.name(), false, None) {
                chosen = Some(drill);
            }
            let (rounds, share) = self.progress.of_drill(drill);
            ui.label(RichText::new(trains(drill)).color(page.faint));
            if let Some(share) = share {
                let told = format!(
                    "{} so far, {:.0} % of the points",
                    words::rounds_told(rounds),
                    100.0 * share
                );
                ui.label(RichText::new(told).small().color(page.faint));
            }
            ui.add_space(12.0);
        }
        ui.label(RichText::new(self.sites_told()).small().color(page.faint));
        self.without_frames(ui);
        chosen
    }

    pub(super) fn sites_told(&self) -> String {
        let read = self.sites.len() + self.broken.len();
        let frames: usize = self.sites.iter().map(|site| site.frames).sum();
        let all = self.practice.means.scenes.len();
        format!("{read} of {all} sites read, {frames} frames found to begin with")
    }

    /// The sites that give no frame, and what is wrong with the best of each; those that could not be read.
    pub(super) fn without_frames(&self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        let why = |site: &Read| {
            Some(format!(
                "{} gives no frame: at best {}",
                site.name,
                site.why.as_ref()?
            ))
        };
        let lines = self.sites.iter().filter_map(why);
        let broken = self.broken.iter().map(|one| format!("Left out: {one}"));
        for line in lines.chain(broken) {
            ui.label(RichText::new(line).small().color(page.faint));
        }
    }
}
