//! The page of a rehearsal: where, what, how good, and above them when. May not enter: how a panel looks.

use super::beside::{self, Middle};
use super::files::Files;
use super::find::Find;
use super::frame_pane::FramePane;
use super::ground::GroundPane;
use super::marking::dialogs::WhichPhoto;
use super::palette::Palette;
use super::screen::Screen;
use super::slide::Pictures;
use super::time::TimePane;
use super::tray::Tray;
use super::verdict_sheet::VerdictSheet;
use super::viewport::Viewport;
use super::what_if::WhatIf;
use super::{camera_row, header, keys, theme};
use crate::card::cautions::CAUTIONS;
use crate::grade::Grade;
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::{Desk, NOT_THERE};
use crate::rehearsal::take::Take;
use crate::units::Units;
use egui::{CentralPanel, Context, Frame, Panel, RichText, Ui};
use std::path::{Path, PathBuf};

/// What stands left of the frame.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Left {
    #[default]
    Ground,
    WhatIf,
    Find,
    Files,
}

/// Tabs of the left column.
const LEFTS: [(Left, &str); 4] = [
    (Left::Ground, "Ground"),
    (Left::WhatIf, "What if"),
    (Left::Find, "Find"),
    (Left::Files, "Files"),
];

/// A rehearsal on the screen.
pub struct Rehearsing {
    /// What is rehearsed.
    pub desk: Desk,
    /// Its picture.
    pub viewport: Viewport,
    frame: FramePane,
    sheet: VerdictSheet,
    time: TimePane,
    /// The site from above.
    pub ground: GroundPane,
    what_if: WhatIf,
    find: Find,
    files: Files,
    tray: Tray,
    palette: Palette,
    pub(super) which_photo: WhichPhoto,
    left: Left,
    middle: Middle,
    pictures: Pictures,
    /// In which lengths are shown.
    pub units: Units,
    chosen: Vec<Command>,
    /// Words were typed into a field at the last redraw.
    typed: bool,
    /// Dark or light was chosen by hand.
    pub theme_chosen: bool,
    /// Another scene is to be chosen.
    pub wants_start: bool,
    /// Photographs that are to be judged.
    pub wants_judged: Vec<PathBuf>,
}

impl Rehearsing {
    /// Begins.
    pub fn new(desk: Desk) -> Rehearsing {
        let files = Files::of(&desk.site.path);
        Rehearsing {
            desk,
            viewport: Viewport::default(),
            frame: FramePane::default(),
            sheet: VerdictSheet::default(),
            time: TimePane::default(),
            ground: GroundPane::default(),
            what_if: WhatIf::default(),
            find: Find::default(),
            files,
            tray: Tray::default(),
            palette: Palette::default(),
            which_photo: WhichPhoto::default(),
            left: Left::default(),
            middle: Middle::default(),
            pictures: Pictures::default(),
            units: Units::Metric,
            chosen: vec![],
            typed: false,
            theme_chosen: false,
            wants_start: false,
            wants_judged: vec![],
        }
    }

    /// Whether guides are drawn over the frame.
    pub fn guides(&self) -> bool {
        self.frame.guides
    }

    /// The folder for files, where another one than the scene's was chosen.
    pub fn folder(&self) -> Option<PathBuf> {
        self.files.chosen_folder()
    }

    /// Takes another folder for files than the scene's.
    pub fn set_folder(&mut self, folder: &Path) {
        self.files.folder = folder.display().to_string();
    }

    /// Draws guides over the frame, or not.
    pub fn set_guides(&mut self, guides: bool) {
        self.frame.guides = guides;
    }

    /// One redraw.
    pub fn ui(&mut self, ui: &mut Ui, screen: &mut Screen) {
        self.desk.draw_on_processor(screen.gpu.is_software);
        for (room, shaped) in self.desk.take_news() {
            self.viewport.bring(room, shaped);
        }
        if !self.palette.is_open() && !self.which_photo.is_open() {
            for command in keys::pressed(ui.ctx(), self.typed, |_| true) {
                self.act(command, ui.ctx());
            }
        }
        let page = theme::page(ui.ctx());
        let panel = |margin: i8| theme::panel(&page, margin);
        let fixed = |panel: Panel| panel.resizable(false);
        fixed(Panel::top("header").frame(panel(8)))
            .show(ui, |ui| header::ui(ui, &self.desk, &mut self.chosen));
        fixed(Panel::top("time").frame(panel(8))).show(ui, |ui| self.time(ui));
        fixed(Panel::bottom("told").frame(panel(6))).show(ui, |ui| self.told(ui));
        if self.tray.open {
            fixed(Panel::bottom("tray").frame(panel(8)))
                .show(ui, |ui| self.tray.ui(ui, &mut self.desk, self.units));
        }
        let wide = ui.available_width();
        fixed(Panel::right("verdict").frame(panel(8)))
            .exact_size((wide * 0.25).clamp(256.0, 380.0))
            .show(ui, |ui| {
                let kept = self.tray.compared(&self.desk);
                self.sheet.ui(ui, &mut self.desk, kept, self.units);
            });
        fixed(Panel::left("left").frame(panel(8)))
            .exact_size((wide * 0.235).clamp(244.0, 420.0))
            .show(ui, |ui| self.left(ui));
        CentralPanel::default()
            .frame(Frame::NONE)
            .show(ui, |ui| self.middle(ui, screen));
        if let Some(command) = self.palette.ui(ui) {
            self.chosen.push(command);
        }
        self.wants_judged.extend(self.which_photo.ui(ui));
        self.wants_judged.extend(dropped(ui.ctx()));
        for command in std::mem::take(&mut self.chosen) {
            self.act(command, ui.ctx());
        }
        self.typed = ui.ctx().text_edit_focused();
    }

    fn time(&mut self, ui: &mut Ui) {
        let desk = &mut self.desk;
        let day = desk.day.clone();
        let is_new = day
            .as_ref()
            .is_some_and(|day| day.is_of(&desk.take, desk.date()));
        let year = desk.year.clone().filter(|_| desk.year_wanted);
        self.time.ui(
            ui,
            desk,
            day.as_ref().map(|day| &day.day),
            is_new,
            year.as_deref(),
            &mut self.chosen,
        );
    }

    fn left(&mut self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            for (left, word) in LEFTS {
                if ui.selectable_label(self.left == left, word).clicked() {
                    self.left = left;
                }
            }
        });
        ui.add_space(4.0);
        match self.left {
            Left::Ground => self.ground(ui),
            Left::WhatIf => self.what_if.ui(ui, &mut self.desk, &mut self.chosen),
            Left::Find => self.find.ui(ui, &mut self.desk, self.units),
            Left::Files => self.files.ui(ui, &mut self.desk, &mut self.chosen),
        }
    }

    fn ground(&mut self, ui: &mut Ui) {
        ui.horizontal(|ui| {
            let up = if self.ground.view_up {
                "View up"
            } else {
                "North up"
            };
            header::button(ui, Command::ViewUp, up, &mut self.chosen);
            header::button(ui, Command::Turn, "Turn machine", &mut self.chosen);
            ui.add_enabled_ui(self.ground.is_moved(), |ui| {
                if ui.button("Fit").clicked() {
                    self.ground.fit();
                }
            });
        });
        let desk = &mut self.desk;
        let ground = desk.ground.clone();
        // What another place of the machine made of the ground is of no use.
        let patch = ground
            .as_ref()
            .filter(|ground| ground.is_on(&desk.take.setting))
            .map(|ground| &ground.patch);
        self.ground.ui(ui, desk, patch, self.units);
    }

    fn middle(&mut self, ui: &mut Ui, screen: &mut Screen) {
        let page = theme::page(ui.ctx());
        let panel = theme::panel(&page, 6);
        Panel::bottom("camera")
            .frame(panel)
            .resizable(false)
            .show(ui, |ui| {
                camera_row::ui(ui, &mut self.desk, self.units, &mut self.chosen)
            });
        match self.middle {
            Middle::Lenses => beside::lenses(ui, &mut self.pictures, &self.desk),
            Middle::Compare => {
                let whole = ui.available_rect_before_wrap();
                let [left, right] = beside::halves(whole);
                let seam = left.frame.right() - 1.0..=right.frame.left() + 1.0;
                let seam = egui::Rect::from_x_y_ranges(seam, whole.y_range());
                ui.painter().rect_filled(seam, 0.0, theme::SURROUND);
                let number = self.tray.compared(&self.desk);
                let (desk, units) = (&self.desk, self.units);
                beside::kept(ui, &left, &mut self.pictures, desk, (number, units));
                beside::present(ui, &right, desk, units);
                let room = egui::UiBuilder::new().max_rect(right.frame);
                ui.scope_builder(room, |ui| self.present(ui, screen));
            }
            Middle::Frame => self.present(ui, screen),
        }
    }

    /// The frame as it is now.
    fn present(&mut self, ui: &mut Ui, screen: &mut Screen) {
        let desk = &mut self.desk;
        if let Some(after) = self
            .frame
            .ui(ui, screen, &mut self.viewport, (desk, self.units))
        {
            ui.ctx().request_repaint_after(after);
        }
    }

    /// Carries a command out.
    pub fn act(&mut self, command: Command, ctx: &Context) {
        ctx.request_repaint();
        if command == Command::ShowNothing {
            self.middle = Middle::Frame;
        }
        if self.desk.act(command) {
            return;
        }
        let middle = |wanted: Middle, now: Middle| match now == wanted {
            true => Middle::Frame,
            false => wanted,
        };
        match command {
            Command::Guides => self.frame.guides = !self.frame.guides,
            Command::ViewUp => self.ground.view_up = !self.ground.view_up,
            Command::Play => self.time.toggle_play(&mut self.desk),
            Command::BestMinute => self.best_minute(),
            Command::Year => {
                self.time.year = !self.time.year;
                self.desk.want_year(self.time.year);
            }
            Command::WhatIf => self.show_left(Left::WhatIf),
            Command::Find => self.show_left(Left::Find),
            Command::Bears => {
                self.left = Left::Find;
                self.desk.bear();
            }
            Command::Tray => self.tray.open = !self.tray.open,
            Command::Keep => {
                self.desk.keep();
                self.tray.open = true;
            }
            Command::Compare => self.middle = middle(Middle::Compare, self.middle),
            Command::LensStrip => {
                // A strip of an earlier frame is drawn anew, not put away.
                let is_old = |(take, _): &(Take, _)| *take != self.desk.take;
                let is_stale = self.desk.strip.as_ref().is_none_or(is_old);
                if self.middle != Middle::Lenses || !is_stale {
                    self.middle = middle(Middle::Lenses, self.middle);
                }
                if self.middle == Middle::Lenses {
                    self.desk.compare_lenses();
                }
            }
            Command::Commands => self.palette.open(),
            Command::JudgePhoto => self.which_photo.open(),
            Command::OpenScene => self.wants_start = true,
            Command::Close => ctx.send_viewport_cmd(egui::ViewportCommand::Close),
            Command::Units => {
                self.units = match self.units {
                    Units::Metric => Units::Feet,
                    Units::Feet => Units::Metric,
                };
            }
            Command::Theme => {
                let theme = match ctx.theme() {
                    egui::Theme::Dark => egui::Theme::Light,
                    egui::Theme::Light => egui::Theme::Dark,
                };
                ctx.set_theme(theme);
                self.theme_chosen = true;
            }
            Command::ExportPicture
            | Command::ExportCard
            | Command::ExportData
            | Command::SaveScene => {
                self.files.export(&mut self.desk, command);
            }
            _ => {}
        }
    }

    fn show_left(&mut self, wanted: Left) {
        self.left = match self.left == wanted {
            true => Left::Ground,
            false => wanted,
        };
    }

    /// Goes to the best minute of the day, once the day has been followed from here.
    fn best_minute(&mut self) {
        let desk = &mut self.desk;
        let date = desk.date();
        let day = desk.day.as_ref().filter(|day| day.is_of(&desk.take, date));
        match day.and_then(|day| day.day.best()) {
            Some(best) => desk.at(best.at, "The day's best minute"),
            None => {
                desk.refused = Some("The day is still being followed from this spot".into());
            }
        }
    }

    /// The line at the foot: what was refused, what was done or went wrong, else what is never to be forgotten.
    fn told(&self, ui: &mut Ui) {
        let page = theme::page(ui.ctx());
        let bad = page.grade(Grade::Ruinous);
        let fault = self.viewport.fault();
        let (text, color) = match (&self.desk.refused, &self.desk.told, fault) {
            (Some(why), _, _) if why.starts_with(NOT_THERE) => {
                (format!("{why}. {}", CAUTIONS[1]), bad)
            }
            (Some(why), _, _) => (why.clone(), bad),
            (None, Some(Err(why)), _) => (why.clone(), bad),
            (None, Some(Ok(what)), _) => (what.clone(), page.ink),
            (None, None, Some(fault)) => (fault.to_string(), page.grade(Grade::Marked)),
            (None, None, None) => (CAUTIONS[0].to_string(), page.faint),
        };
        // One line at the foot: what would be below it is told behind it.
        let lines = text.lines().map(str::trim);
        let text = lines.filter(|line| !line.is_empty()).collect::<Vec<_>>();
        let text = RichText::new(text.join("; "))
            .font(theme::regular(theme::NOTE))
            .color(color);
        ui.add(egui::Label::new(text).truncate());
    }
}

/// Files that were dropped on the window.
fn dropped(ctx: &Context) -> Vec<PathBuf> {
    ctx.input(|input| {
        let files = input.raw.dropped_files.iter();
        files.map(|file| file.path().to_path_buf()).collect()
    })
}
