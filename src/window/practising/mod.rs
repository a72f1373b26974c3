//! The page on which the eye is trained: the drills, their rounds, what they have told. May not enter: how frames are
//! dealt, graded or painted.

mod answers; // numbered answers, by key or pointer
mod hour; // how long the light lasts
mod ledger; // what the rounds have told
mod mend; // a frame put right
mod menu; // which drill
mod mounted; // the frame, large
mod round; // a round on the screen
mod spot; // which fault, how bad, what to do

use super::slide::Pictures;
use super::theme;
use crate::practise::fault::FaultKind;
use crate::practise::progress::{Drill, Progress, Round};
use crate::practise::store::Store;
use crate::practise::tutor::{Means, Play, Read, Tutor};
use crate::rehearsal::bench::Waker;
use crate::units::Units;
use egui::{CentralPanel, Event, Frame, Key, Modifiers, Panel, RichText, Ui};
use mounted::FrameView;
use round::Playing;

/// Rounds of a drill, unless others are asked for.
pub const ROUNDS: u32 = 10;
/// Pixels across of a large frame.
pub const WIDTH_PX: usize = 1200;

/// How a learner came here.
#[derive(Clone)]
pub struct Practice {
    /// With what is worked.
    pub means: Means,
    /// The drill to begin with; none: it is chosen on the page.
    pub drill: Option<Drill>,
    /// Rounds of a drill.
    pub rounds: u32,
    /// Where progress is kept.
    pub store: Store,
}

/// What is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shown {
    Menu,
    Drill(Drill),
    /// A drill's rounds are over.
    Ended(Drill),
    Ledger,
}

/// The page.
pub struct Practising {
    practice: Practice,
    tutor: Tutor,
    progress: Progress,
    /// Rounds that could not be written yet.
    pending: Vec<Round>,
    /// What is told of each fault, once it has been worked out.
    eyes: Option<Vec<(FaultKind, String)>>,
    /// What went wrong with what is kept, or what was done with it.
    told: Option<Result<String, String>>,
    shown: Shown,
    playing: Option<Playing>,
    /// The round after it, asked for once it is over.
    ahead: Option<Playing>,
    /// Rounds asked for so far: each has its own number.
    asked: u64,
    /// Points of this drill's rounds.
    points: Vec<f64>,
    /// Sites that have been read, and those that could not be.
    sites: Vec<Read>,
    broken: Vec<String>,
    pictures: Pictures,
    view: FrameView,
    units: Units,
    /// All that is kept is to be erased, if that is said once more.
    erasing: bool,
    /// The page is to be left.
    wants_leave: bool,
}

/// Whether a key that answers or goes on is only held down: one press answers one question.
fn is_held_on(event: &Event) -> bool {
    let answers = |key: &Key| {
        let digits = Key::Num0 as usize..=Key::Num9 as usize;
        matches!(key, Key::Enter | Key::Space | Key::Escape) || digits.contains(&(*key as usize))
    };
    matches!(event, Event::Key { key, pressed: true, repeat: true, .. } if answers(key))
}

impl Practising {
    /// Opens it.
    pub fn new(practice: Practice, waker: Waker, units: Units) -> Practising {
        let (progress, told) = practice.store.load();
        let tutor = Tutor::new(practice.means.clone(), waker);
        let mut page = Practising {
            tutor,
            progress,
            pending: vec![],
            eyes: None,
            told: told.map(Err),
            shown: Shown::Menu,
            playing: None,
            ahead: None,
            asked: 0,
            points: vec![],
            sites: vec![],
            broken: vec![],
            pictures: Pictures::default(),
            view: FrameView::default(),
            units,
            erasing: false,
            wants_leave: false,
            practice,
        };
        if let Some(drill) = page.practice.drill {
            page.begin(drill);
        }
        page
    }

    /// What the rounds have told so far.
    pub fn progress(&self) -> &Progress {
        &self.progress
    }

    /// The round that is played, once it has been dealt.
    pub fn play(&self) -> Option<&Play> {
        self.playing.as_ref()?.play.as_ref()
    }

    fn begin(&mut self, drill: Drill) {
        self.points.clear();
        if matches!(self.told, Some(Ok(_))) {
            self.told = None;
        }
        self.shown = Shown::Drill(drill);
        self.ahead = None;
        self.next(drill);
    }

    fn next(&mut self, drill: Drill) {
        if self.points.len() >= self.practice.rounds as usize {
            self.shown = Shown::Ended(drill);
            self.playing = None;
            return;
        }
        // A round's pictures and veil are its own.
        self.pictures = Pictures::default();
        self.view = FrameView::default();
        let ahead = self.ahead.take();
        self.playing = Some(ahead.unwrap_or_else(|| self.dealt(drill)));
    }

    /// Asks for a round.
    fn dealt(&mut self, drill: Drill) -> Playing {
        let number = self.asked;
        self.asked += 1;
        self.tutor.deal(drill, number, &self.progress);
        Playing::new(number)
    }

    /// Asks for the next round while this one's truth is read.
    fn look_ahead(&mut self) {
        if let Shown::Drill(drill) = self.shown
            && self.ahead.is_none()
            && self.points.len() < self.practice.rounds as usize
        {
            self.ahead = Some(self.dealt(drill));
        }
    }

    /// One redraw; whether the page is to be left.
    pub fn ui(&mut self, ui: &mut Ui) -> bool {
        self.take_news();
        self.keep();
        ui.input_mut(|input| input.events.retain(|event| !is_held_on(event)));
        // Before the drills: to the rehearsal's own commands this key means something else.
        if ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape)) {
            match self.shown {
                Shown::Menu => self.wants_leave = true,
                _ => self.show_menu(),
            }
        }
        let page = theme::page(ui.ctx());
        let panel = |margin: i8| theme::panel(&page, margin);
        Panel::top("practice head")
            .frame(panel(8))
            .resizable(false)
            .show(ui, |ui| self.head(ui));
        Panel::bottom("practice told")
            .frame(panel(6))
            .resizable(false)
            .show(ui, |ui| self.foot(ui));
        match self.shown {
            Shown::Menu => {
                let frame = panel(20);
                let chosen = CentralPanel::default()
                    .frame(frame)
                    .show(ui, |ui| self.menu(ui));
                if let Some(drill) = chosen.inner {
                    self.begin(drill);
                }
            }
            Shown::Ledger | Shown::Ended(_) => {
                let frame = panel(20);
                CentralPanel::default()
                    .frame(frame)
                    .show(ui, |ui| self.ledger(ui));
            }
            Shown::Drill(drill) => self.drill(ui, drill),
        }
        self.keep();
        self.wants_leave
    }

    /// Points of this drill's rounds. (An empty sum is −0.)
    fn won(&self) -> f64 {
        self.points.iter().fold(0.0, |sum, points| sum + points)
    }

    /// What is kept by now: another window may have added to it, or erased it.
    fn reload(&mut self) {
        if self.pending.is_empty() {
            let (progress, told) = self.practice.store.load();
            self.progress = progress;
            self.eyes = None;
            self.told = told.map(Err).or(self.told.take());
        }
    }

    fn show_menu(&mut self) {
        self.playing = None;
        self.erasing = false;
        self.shown = Shown::Menu;
    }

    /// The line above: where one is, and the doors.
    fn head(&mut self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        ui.horizontal(|ui| {
            let title = match self.shown {
                Shown::Menu => "Train the eye",
                Shown::Ledger => "What your eye sees",
                Shown::Drill(drill) | Shown::Ended(drill) => drill.name(),
            };
            let title = RichText::new(title).font(theme::bold(theme::HEAD));
            ui.label(title.color(page.ink));
            if let Shown::Drill(_) = self.shown {
                let over = self.playing.as_ref().is_some_and(|playing| playing.kept);
                let now = self.points.len() + usize::from(!over);
                let points = self.won();
                let told = format!(
                    "Round {now} of {} · {points:.1} points",
                    self.practice.rounds
                );
                ui.label(RichText::new(told).color(page.faint));
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if ui.button("Leave").clicked() {
                    self.wants_leave = true;
                }
                if self.shown != Shown::Menu && ui.button("All drills").clicked() {
                    self.show_menu();
                }
                if self.shown != Shown::Ledger && ui.button("Progress").clicked() {
                    self.playing = None;
                    self.reload();
                    self.shown = Shown::Ledger;
                }
            });
        });
    }

    /// The line at the foot: what went wrong or was done, else how it is played by keys.
    fn foot(&self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        let keys = match self.shown {
            Shown::Menu => "1 2 3 choose a drill · Tab and Enter reach everything · Esc leaves",
            Shown::Drill(Drill::Mend) => {
                "The keys of the rehearsal move camera and clock · Esc: all drills"
            }
            Shown::Drill(_) => "Number keys answer · Enter goes on · Esc: all drills",
            _ => "Tab and Enter reach everything · Esc: all drills",
        };
        // In a drill the keys are wanted more.
        let broken = self.broken.first().filter(|_| self.shown == Shown::Menu);
        let broken = broken.map(|one| match self.broken.len() {
            1 => format!("Left out: {one}"),
            many => format!("Left out {many} sites, the first: {one}"),
        });
        let (text, color) = match (&self.told, broken) {
            (Some(Err(why)), _) => (why.clone(), page.grade(crate::grade::Grade::Ruinous)),
            (Some(Ok(what)), _) => (what.clone(), page.ink),
            (None, Some(broken)) => (broken, page.grade(crate::grade::Grade::Marked)),
            (None, None) => (keys.to_string(), page.faint),
        };
        let text = text.lines().map(str::trim).collect::<Vec<_>>().join("; ");
        let text = RichText::new(text)
            .font(theme::regular(theme::NOTE))
            .color(color);
        ui.add(egui::Label::new(text).truncate());
    }

    /// A round: the frame, large; beside it what is asked, then what is true.
    fn drill(&mut self, ui: &mut Ui, drill: Drill) {
        let page = theme::page(ui.ctx());
        let panel = theme::panel(&page, 10);
        let wide = ui.available_width();
        let side = Panel::right("practice asked")
            .frame(panel)
            .resizable(false)
            .exact_size((wide * 0.3).clamp(320.0, 480.0))
            .show(ui, |ui| {
                egui::ScrollArea::vertical()
                    .auto_shrink(false)
                    .show(ui, |ui| self.asked(ui))
                    .inner
            });
        let on = side.inner;
        CentralPanel::default()
            .frame(Frame::NONE)
            .show(ui, |ui| self.frame(ui));
        if on {
            self.next(drill);
        }
    }

    /// What is asked or true; whether the next round is wanted.
    fn asked(&mut self, ui: &mut Ui) -> bool {
        let page = theme::page(ui.ctx());
        let planted = match self.play() {
            Some(Play::Spot(spot)) if spot.is_over() => spot.dealt.planted.map(|one| one.kind),
            _ => None,
        };
        let eye = planted.and_then(|planted| {
            let mut eyes = self.eyes().iter();
            eyes.find(|(kind, _)| *kind == planted).cloned()
        });
        let Some(playing) = &mut self.playing else {
            return false;
        };
        if playing.none {
            let told = match self.sites.iter().all(|site| site.frames == 0) {
                true => "No site here gives a frame that is good: there is nothing to spoil.",
                false => "No site here gives a frame for this. Another drill, or other sites, may.",
            };
            ui.label(told);
            ui.add_space(6.0);
            self.without_frames(ui);
            return false;
        }
        let is_asked = playing.picture.is_some() || playing.truth.is_some();
        let truth = playing.truth.as_deref();
        // Beside a called hour's end stands the frame that was called.
        let number = 2 * playing.number;
        let (beside, changed) = match (&playing.play, &playing.beside) {
            (Some(Play::Hour(_)), _) => (playing.picture.as_ref().map(|own| (own, number)), ""),
            (_, Some((picture, words))) => (Some((picture, number + 1)), words.as_str()),
            (_, None) => (None, ""),
        };
        let told = answers::Told {
            truth,
            beside,
            changed,
            pictures: &mut self.pictures,
            number: playing.number,
            units: self.units,
        };
        match &mut playing.play {
            None if self.tutor.has_ended() => {
                ui.label("No frame will come: looking for one has failed. Leave the page and open it again.");
                false
            }
            None => {
                ui.label(RichText::new("A frame is being looked for \u{2026}").color(page.faint));
                ui.label(RichText::new(self.sites_told()).small().color(page.faint));
                false
            }
            // Nobody answers what he does not see.
            Some(_) if !is_asked => {
                ui.label(RichText::new("The frame is being painted \u{2026}").color(page.faint));
                false
            }
            Some(Play::Spot(spot)) => {
                let eye = eye.as_ref().map_or("", |(_, words)| words);
                spot::ui(ui, spot, told, eye)
            }
            Some(Play::Mend(mend)) => mend::ui(ui, mend, told, &self.tutor),
            Some(Play::Hour(hour)) => hour::ui(ui, hour, told),
        }
    }

    fn frame(&mut self, ui: &mut Ui) {
        let Some(playing) = &self.playing else { return };
        self.view.ui(ui, playing, &mut self.pictures, self.units);
    }
}
