//! The page on which points of the machine are marked in a photograph: machine and points, photograph, verdict; left to
//! right as on the page of a rehearsal. May not enter: what marks come to.

mod bars; // the lines above and below
pub mod dialogs; // small questions
mod loupe; // the magnifier
mod model_pane; // the machine in lines
mod over; // drawn over the photograph
pub mod photo_pane; // the photograph
mod points_list; // the points
mod said; // what the photograph says
mod sheet; // what the marks come to
pub mod sight; // where the photograph lies
mod trouble; // what stands in the way of marks

use super::palette::Palette;
use super::{keys, theme};
use crate::judge::take::Take;
use crate::rehearsal::marking::command::MarkCommand;
use crate::rehearsal::marking::session::{Session, State};
use crate::scene::edit::{Keep, Original, Unsaved};
use crate::units::Units;
use dialogs::{Answer, StoodHere};
use egui::{CentralPanel, Context, Frame, Panel, Ui};
use model_pane::ModelPane;
use photo_pane::PhotoPane;
use points_list::PointsList;
use said::Otherwise;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::SystemTime;

/// What the page asks of the application.
#[derive(Clone)]
pub enum Wish {
    /// Back to where it came from.
    Leave,
    /// To rehearse from where the photograph was taken.
    Rehearse(Arc<Take>),
    /// To close the window.
    Close,
}

/// The page.
pub struct MarkingPage {
    /// The photographs.
    pub session: Session,
    /// The photograph on its mount.
    pub pane: PhotoPane,
    /// In which lengths are shown.
    pub units: Units,
    /// Dark or light was chosen by hand.
    pub theme_chosen: bool,
    /// The scene's file as it was read or saved last.
    pub original: Original,
    model: ModelPane,
    list: PointsList,
    palette: Palette,
    stood_here: StoodHere,
    otherwise: Otherwise,
    chosen: Vec<MarkCommand>,
    typed: bool,
    has_keys: bool,
    /// Keys belong to fields and buttons.
    in_fields: bool,
    wish: Option<Wish>,
    /// What waits until marks are written.
    leaves: Option<Wish>,
    /// What waits for an answer about marks that would be lost.
    asks: Option<Wish>,
    /// What is told in full.
    details: Option<String>,
    /// They may be lost.
    lets_go: bool,
    told: Option<Result<String, String>>,
    shown: Option<usize>,
}

impl MarkingPage {
    /// Begins with the photographs of a session; `original` is their scene's file.
    pub fn new(session: Session, original: Original) -> MarkingPage {
        MarkingPage {
            session,
            original,
            pane: PhotoPane::new(true),
            units: Units::Metric,
            theme_chosen: false,
            model: ModelPane::default(),
            list: PointsList::default(),
            palette: Palette::default(),
            stood_here: StoodHere::default(),
            otherwise: Otherwise::default(),
            chosen: vec![],
            typed: false,
            has_keys: false,
            in_fields: false,
            wish: None,
            leaves: None,
            asks: None,
            details: None,
            lets_go: false,
            told: None,
            shown: None,
        }
    }

    /// Whether it may be left without a question; else the question is asked.
    pub fn may_close(&mut self) -> bool {
        if self.lets_go || !(self.session.is_pending() || self.session.is_any_lost()) {
            return true;
        }
        self.leave(Wish::Close);
        false
    }

    /// One redraw; what is asked of the application.
    pub fn ui(&mut self, ui: &mut Ui) -> Option<Wish> {
        self.session.take_news();
        self.settle();
        if self.shown != Some(self.session.at) {
            // Another photograph is looked at whole.
            self.shown = Some(self.session.at);
            self.pane = PhotoPane::new(self.pane.outlined);
            self.otherwise = Otherwise::default();
        }
        let asks = self.palette.is_open() || self.stood_here.is_open();
        if !(asks || self.asks.is_some() || self.details.is_some()) {
            self.in_fields &= !self.has_keys;
            let nobody = ui.memory(|memory| memory.focused().is_none()) && !self.in_fields;
            self.pane.wants_keys |= nobody;
            let has_keys = self.has_keys || nobody;
            let open = |command: MarkCommand| has_keys || !command.is_of_photograph();
            for command in keys::pressed(ui.ctx(), self.typed, open) {
                self.act(command, ui.ctx());
            }
        }
        // Before the page: the press that asks for it is not one beside it.
        if self
            .details
            .as_ref()
            .is_some_and(|text| trouble::in_full(ui, text))
        {
            self.details = None;
        }
        self.page(ui);
        if let Some(command) = self.palette.ui(ui) {
            self.chosen.push(command);
        }
        if let Some(path) = self.stood_here.ui(ui) {
            self.save(path);
        }
        if let Some(wish) = self.asks.clone() {
            match dialogs::lost(ui, &self.session.lost()) {
                Some(Answer::Leave) => {
                    self.lets_go = true;
                    self.asks = None;
                    self.wish = Some(wish);
                }
                Some(Answer::Again) => {
                    self.asks = None;
                    self.leave(wish);
                }
                Some(Answer::Stay) => self.asks = None,
                None => {}
            }
        }
        for command in std::mem::take(&mut self.chosen) {
            self.act(command, ui.ctx());
        }
        self.typed = ui.ctx().text_edit_focused();
        self.wish.take()
    }

    fn page(&mut self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        let panel = |margin: i8| theme::panel(&page, margin);
        let fixed = |panel: Panel| panel.resizable(false);
        fixed(Panel::top("marking header").frame(panel(8))).show(ui, |ui| self.header(ui));
        fixed(Panel::bottom("marking told").frame(panel(6))).show(ui, |ui| self.told(ui));
        let wide = ui.available_width();
        let (units, list, model) = (self.units, &mut self.list, &mut self.model);
        if let State::Open(marking) = &mut self.session.state {
            fixed(Panel::right("marking sheet").frame(panel(8)))
                .exact_size((wide * 0.25).clamp(264.0, 380.0))
                .show(ui, |ui| {
                    // Beside the photograph: what comes up must not move it under a hand that is about to press.
                    trouble::ui(ui, marking, &mut self.chosen, &mut self.details);
                    sheet::ui(ui, marking, &mut self.otherwise, units);
                });
            fixed(Panel::left("marking points").frame(panel(8)))
                .exact_size((wide * 0.25).clamp(256.0, 420.0))
                .show(ui, |ui| {
                    model.ui(ui, marking);
                    list.ui(ui, marking);
                });
        }
        CentralPanel::default().frame(Frame::NONE).show(ui, |ui| {
            let panel = Panel::top("marking next").frame(panel(6)).resizable(false);
            panel.show(ui, |ui| self.next(ui));
            self.has_keys = match &mut self.session.state {
                State::Open(marking) => self.pane.ui(ui, marking),
                State::Opening => {
                    photo_pane::notice(ui, "Reading the photograph \u{2026}");
                    false
                }
                State::Failed(why) => {
                    photo_pane::notice(ui, why);
                    false
                }
            };
        });
    }

    /// The sheet of the marks as they are.
    fn take(&mut self) -> Option<Arc<Take>> {
        let found = self.session.marking()?.fresh()?;
        found.take.as_ref()?.as_ref().ok().map(Arc::clone)
    }

    /// Why there is no sheet.
    fn no_take(&mut self) -> String {
        let working = "Where it was taken is still being worked out".to_string();
        let Some(marking) = self.session.marking() else {
            return "No photograph is open".into();
        };
        let refused = marking.fresh().and_then(|found| found.take.as_ref());
        match refused.and_then(|take| take.as_ref().err()) {
            Some(why) => why.clone(),
            None => marking.no_fit("where it was taken").unwrap_or(working),
        }
    }

    /// Carries a command out.
    pub fn act(&mut self, command: MarkCommand, ctx: &Context) {
        ctx.request_repaint();
        self.told = None;
        if let Some(marking) = self.session.marking()
            && marking.act(command)
        {
            let (cross_px, laid) = (marking.cross_px, self.pane.laid);
            if let Some(laid) = laid.filter(|_| command.moves_cross()) {
                self.pane.sight.show(&laid, cross_px);
            }
            return;
        }
        let cross_px = self.session.marking().map(|marking| marking.cross_px);
        match command {
            MarkCommand::ZoomIn | MarkCommand::ZoomOut => {
                let factor = if command == MarkCommand::ZoomIn {
                    1.5
                } else {
                    1.0 / 1.5
                };
                if let Some(cross_px) = cross_px {
                    self.pane.sight.zoom(cross_px, factor);
                }
            }
            MarkCommand::Whole => self.pane.sight.whole(),
            MarkCommand::Outline => self.pane.outlined = !self.pane.outlined,
            MarkCommand::Fields if !self.has_keys => self.pane.wants_keys = true,
            MarkCommand::Fields | MarkCommand::SayOtherwise => {
                (self.in_fields, self.has_keys) = (true, false);
                if let Some(id) = self.pane.id {
                    ctx.memory_mut(|memory| memory.surrender_focus(id));
                }
                match command {
                    MarkCommand::Fields => self.otherwise.want_keys(),
                    _ => self.otherwise.begin(),
                }
            }
            MarkCommand::Commands => self.palette.open(),
            MarkCommand::Theme => {
                let theme = match ctx.theme() {
                    egui::Theme::Dark => egui::Theme::Light,
                    egui::Theme::Light => egui::Theme::Dark,
                };
                ctx.set_theme(theme);
                self.theme_chosen = true;
            }
            MarkCommand::StoodHere | MarkCommand::Rehearse => match self.take() {
                Some(take) if command == MarkCommand::Rehearse => self.leave(Wish::Rehearse(take)),
                Some(_) => self
                    .stood_here
                    .open(&self.original.path, self.session.path()),
                None => self.told = Some(Err(self.no_take())),
            },
            MarkCommand::NextPhoto => self.session.go(1),
            MarkCommand::PreviousPhoto => self.session.go(-1),
            MarkCommand::ReadPhoto => self.session.read_again(),
            MarkCommand::Leave => self.leave(Wish::Leave),
            MarkCommand::Close => ctx.send_viewport_cmd(egui::ViewportCommand::Close),
            _ => {}
        }
    }

    /// Leaves once the marks are written, and asks where they cannot be; asked a second time meanwhile, at once.
    fn leave(&mut self, wish: Wish) {
        if self.leaves.take().is_some() {
            self.asks = Some(wish);
            return;
        }
        self.session.keep_again();
        self.leaves = Some(wish);
        self.settle();
    }

    fn settle(&mut self) {
        if self.session.is_pending() {
            return;
        }
        if let Some(wish) = self.leaves.take() {
            match self.session.is_any_lost() {
                true => self.asks = Some(wish),
                false => self.wish = Some(wish),
            }
        }
    }

    /// "I stood here": the scene with this frame.
    fn save(&mut self, path: PathBuf) {
        let (Some(take), Some(marking)) = (self.take(), self.session.marking()) else {
            return;
        };
        let mut wanted = marking.room.scene.clone();
        wanted.frame = take.frame(&marking.room);
        let replaces = self.stood_here.replaces.as_ref() == Some(&path);
        match self.original.save_as(&path, &wanted, Keep::Frame, replaces) {
            Ok((saved, _)) => {
                let mut told = format!("Saved {}", saved.path.display());
                if let Some(marking) = self.session.marking() {
                    marking.told = None;
                    told += &format!(" at {}", marking.clock(SystemTime::now().into()));
                }
                self.told = Some(Ok(told));
                if saved.path == self.original.path {
                    self.original = saved;
                }
                self.stood_here.close();
            }
            Err(error) => {
                self.stood_here.told = Some(error.to_string());
                self.stood_here.replaces = matches!(error, Unsaved::Exists(_)).then_some(path);
            }
        }
    }
}
