//! What is on the screen: the start page, a scene being opened, a rehearsal, or photographs being marked. May not enter:
//! panels of a page, window events.

use super::practising::Practising;
mod photographs; // marked and judged
mod practice; // the eye trained

use super::marking::{MarkingPage, Wish};
use super::rehearsing::Rehearsing;
use super::screen::Screen;
use super::start::{Choice, Start};
use super::theme;
use crate::document::render;
use crate::gpu::device::GpuError;
use crate::grade::Rulebook;
use crate::grade::wording::sentence_case;
use crate::practise::store::Store;
use crate::rehearsal::bench::Waker;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::gallery::{gallery, shipped};
use crate::rehearsal::opening::{self, Begin, Opened};
use crate::rehearsal::remembered::{self, Memory, Place, Remembered};
use crate::sighting::rasterizer::Rasterizer;
use chrono::{DateTime, Utc};
use egui::{CentralPanel, RichText, ThemePreference, Ui};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread::JoinHandle;

/// What every scene is rehearsed with.
#[derive(Clone)]
pub struct Means {
    /// The rules.
    pub rulebook: &'static Rulebook,
    /// Who draws what eyes and suns see.
    pub rasterizer: &'static dyn Rasterizer,
    /// Wakes the window.
    pub waker: Waker,
    /// The day on which the program runs.
    pub today: DateTime<Utc>,
}

/// The application.
pub struct App {
    means: Means,
    page: Page,
    remembered: Remembered,
    memory: Memory,
    /// What is wrong with what was remembered; told once.
    told: Option<String>,
    /// Where the progress of practice is kept.
    store: Store,
    /// Old desks that are being cleared: what they work at is given up beside the window.
    leaving: Vec<JoinHandle<()>>,
}

/// A scene that is being opened.
struct Opening {
    path: PathBuf,
    coming: Receiver<Result<Opened, String>>,
    /// The page on which it was chosen, as it was left: if the scene cannot be opened, it says why.
    start: Option<Box<Start>>,
    /// What was rehearsed before: if the scene cannot be opened, one can go back to it.
    back: Option<Box<Rehearsing>>,
    /// Photographs that are to be marked then, and the one's marks file.
    photographs: (Vec<PathBuf>, Option<PathBuf>),
}

/// From where photographs are marked.
enum From {
    /// A rehearsal.
    Rehearsing(Box<Rehearsing>),
    /// A scene that was opened for them.
    Opened(Box<Opened>),
}

enum Page {
    Start(Box<Start>, Option<Box<Rehearsing>>),
    Opening(Opening),
    Rehearsing(Box<Rehearsing>),
    /// And the page that it is left for.
    Practising(Box<Practising>, Option<Box<Rehearsing>>),
    Marking(Box<MarkingPage>, From),
    /// While one gives way to another.
    Between,
}

impl App {
    /// Begins by opening a scene with a frame, or with the start page; `remembered` is what [`Remembered::load`] read.
    pub fn new(
        means: Means,
        scene: Option<(&Path, Begin)>,
        remembered: (Remembered, Memory, Option<String>),
    ) -> App {
        let page = match scene {
            Some((scene, begin)) => opening_page(&means, scene.to_path_buf(), begin, None),
            None => Page::Start(Box::new(start(&means, &remembered.1.recent)), None),
        };
        App::on(page, means, remembered)
    }

    fn on(
        page: Page,
        means: Means,
        (remembered, memory, told): (Remembered, Memory, Option<String>),
    ) -> App {
        App {
            means,
            page,
            remembered,
            memory,
            told,
            store: Store::usual(),
            leaving: vec![],
        }
    }

    /// Which look the window has.
    pub fn theme(&self) -> ThemePreference {
        match self.memory.theme {
            remembered::Theme::System => ThemePreference::System,
            remembered::Theme::Dark => ThemePreference::Dark,
            remembered::Theme::Light => ThemePreference::Light,
        }
    }

    /// The window's title.
    pub fn title(&self) -> String {
        match &self.page {
            Page::Rehearsing(rehearsing) => {
                format!("{} \u{2013} Sunside", rehearsing.desk.site.base.name)
            }
            Page::Practising(..) => "Train the eye \u{2013} Sunside".to_string(),
            Page::Marking(marking, _) => {
                let name = marking.session.path().file_name().unwrap_or_default();
                format!("{} \u{2013} Sunside", name.to_string_lossy())
            }
            _ => "Sunside".to_string(),
        }
    }

    /// Whether the window may be closed at once; else a question is asked on the page.
    pub fn may_close(&mut self) -> bool {
        match &mut self.page {
            Page::Marking(marking, _) => marking.may_close(),
            _ => true,
        }
    }

    /// Where the window was the last time.
    pub fn place(&self) -> Option<Place> {
        self.memory.place
    }

    /// The window closes, and was here.
    pub fn close(&mut self, place: Place, theme: egui::Theme) {
        self.memory.place = Some(place);
        self.remember(theme);
        // Nobody is left to be told; the next start goes on without.
        let _ = self.remembered.save(&self.memory);
    }

    /// Takes down what the page has of what is remembered.
    fn remember(&mut self, theme: egui::Theme) {
        let chosen = matches!(&self.page, Page::Marking(marking, _) if marking.theme_chosen);
        if chosen {
            self.memory.theme = remembered_theme(theme);
        }
        if let Page::Rehearsing(rehearsing)
        | Page::Start(_, Some(rehearsing))
        | Page::Practising(_, Some(rehearsing))
        | Page::Marking(_, From::Rehearsing(rehearsing))
        | Page::Opening(Opening {
            back: Some(rehearsing),
            ..
        }) = &self.page
        {
            self.memory.units = rehearsing.units;
            self.memory.guides = rehearsing.guides();
            self.memory.tray = rehearsing.folder();
            if rehearsing.theme_chosen {
                self.memory.theme = remembered_theme(theme);
            }
        }
    }

    /// The device is gone with all that lay on it; what is rehearsed and its verdict are not.
    pub fn device_lost(&mut self, error: &GpuError) {
        if let Page::Rehearsing(rehearsing)
        | Page::Start(_, Some(rehearsing))
        | Page::Practising(_, Some(rehearsing))
        | Page::Marking(_, From::Rehearsing(rehearsing))
        | Page::Opening(Opening {
            back: Some(rehearsing),
            ..
        }) = &mut self.page
        {
            rehearsing.viewport.forget();
            rehearsing.desk.shape_again();
            let why = sentence_case(&error.to_string());
            rehearsing.desk.told = Some(Err(format!("{why}. The picture is drawn anew")));
        }
    }

    /// The rehearsal, if there is one on the screen.
    pub fn rehearsing(&mut self) -> Option<&mut Rehearsing> {
        match &mut self.page {
            Page::Rehearsing(rehearsing) => Some(rehearsing),
            _ => None,
        }
    }

    /// One redraw.
    pub fn ui(&mut self, ui: &mut Ui, screen: &mut Screen) {
        self.arrive();
        match &mut self.page {
            Page::Rehearsing(rehearsing) => {
                rehearsing.ui(ui, screen);
                let photos = std::mem::take(&mut rehearsing.wants_judged);
                if std::mem::take(&mut rehearsing.wants_start) {
                    self.show_start();
                } else if !photos.is_empty() {
                    self.mark(photos);
                }
            }
            Page::Marking(marking, _) => match marking.ui(ui) {
                Some(Wish::Close) => ui.ctx().send_viewport_cmd(egui::ViewportCommand::Close),
                Some(wish) => self.leave_marking(&wish),
                None => {}
            },
            Page::Start(start, back) => match start.ui(ui, back.is_some()) {
                Some(Choice::Open(path)) => {
                    let back = back.take();
                    let page = opening_page(&self.means, path, Begin::default(), back);
                    let before = std::mem::replace(&mut self.page, page);
                    if let (Page::Start(start, _), Page::Opening(opening)) =
                        (before, &mut self.page)
                    {
                        opening.start = Some(start);
                    }
                }
                Some(Choice::Practise) => self.practise(),
                Some(Choice::Back) => {
                    if let Some(rehearsing) = back.take() {
                        self.page = Page::Rehearsing(rehearsing);
                    }
                }
                None => {}
            },
            Page::Practising(practising, _) => {
                if practising.ui(ui) {
                    self.leave_practice();
                }
            }
            Page::Between => {}
            Page::Opening(opening) => notice(ui, &opening.path.display().to_string()),
        }
    }

    /// Shows the start page; the rehearsal can be gone back to.
    fn show_start(&mut self) {
        let start = Page::Start(Box::new(start(&self.means, &self.memory.recent)), None);
        let before = std::mem::replace(&mut self.page, start);
        if let (Page::Rehearsing(rehearsing), Page::Start(_, back)) = (before, &mut self.page) {
            *back = Some(rehearsing);
        }
    }

    /// Begins to rehearse what was opened.
    fn rehearse(&mut self, opened: Opened) -> Box<Rehearsing> {
        let mut desk = Desk::new(opened, self.means.waker.clone(), true);
        desk.told = self.told.take().map(Err);
        let mut rehearsing = Rehearsing::new(desk);
        rehearsing.units = self.memory.units;
        rehearsing.set_guides(self.memory.guides);
        if let Some(folder) = &self.memory.tray {
            rehearsing.set_folder(folder);
        }
        Box::new(rehearsing)
    }

    /// Takes over a scene that has been opened.
    fn arrive(&mut self) {
        let Page::Opening(Opening {
            path,
            coming,
            start: from,
            back,
            photographs,
        }) = &mut self.page
        else {
            return;
        };
        let failed = match coming.try_recv() {
            Ok(Ok(opened)) => {
                self.memory.opened(path);
                if let Some(old) = back.take() {
                    self.leaving.retain(|thread| !thread.is_finished());
                    self.leaving.push(std::thread::spawn(move || drop(old)));
                }
                let (photos, marks) = std::mem::take(photographs);
                self.page = match photos.is_empty() {
                    true => Page::Rehearsing(self.rehearse(opened)),
                    false => self.marking_page(opened, (photos, marks)),
                };
                return;
            }
            Ok(Err(problems)) => problems,
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => format!("{} could not be read", path.display()),
        };
        let from = from.take();
        let mut start = from.unwrap_or_else(|| Box::new(start(&self.means, &self.memory.recent)));
        start.failed = Some(failed);
        let back = back.take();
        self.page = Page::Start(start, back);
    }
}

impl Drop for App {
    fn drop(&mut self) {
        for thread in self.leaving.drain(..) {
            // A scene that is still being saved is saved; the rest has been given up.
            let _ = thread.join();
        }
    }
}

/// The start page with the sites that ship.
fn start(means: &Means, recent: &[PathBuf]) -> Start {
    let shipped = shipped();
    let absolute = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let known: Vec<PathBuf> = shipped.iter().map(|path| absolute(path)).collect();
    // What one opened oneself comes first.
    let own = recent
        .iter()
        .filter(|path| !known.contains(path) && path.exists());
    let paths: Vec<PathBuf> = own.cloned().chain(shipped).collect();
    let Means {
        rulebook,
        rasterizer,
        waker,
        today,
    } = means.clone();
    let coming = gallery(paths.clone(), rulebook, rasterizer, today, waker);
    Start::new(paths, coming)
}

/// Opens a scene beside the window, to begin with a frame.
fn opening_page(
    means: &Means,
    scene: PathBuf,
    begin: Begin,
    back: Option<Box<Rehearsing>>,
) -> Page {
    let (sender, receiver) = channel();
    let (means, path) = (means.clone(), scene.clone());
    let photographs = (begin.photographs.clone(), begin.marks.clone());
    std::thread::spawn(move || {
        let opened = opening::open(&path, means.rulebook, means.rasterizer, means.today);
        let opened = opened.map_err(|problems| render(&problems, false));
        let opened = opened.and_then(|opened| opened.begin(&begin));
        // The window may have been closed meanwhile.
        if sender.send(opened).is_ok() {
            (means.waker)();
        }
    });
    Page::Opening(Opening {
        path: scene,
        coming: receiver,
        start: None,
        back,
        photographs,
    })
}

fn remembered_theme(theme: egui::Theme) -> remembered::Theme {
    match theme {
        egui::Theme::Dark => remembered::Theme::Dark,
        egui::Theme::Light => remembered::Theme::Light,
    }
}

fn notice(ui: &mut Ui, path: &str) {
    CentralPanel::default().show(ui, |ui| {
        let page = theme::page(ui.ctx());
        ui.add_space(24.0);
        ui.label(
            RichText::new("Opening the scene \u{2026}")
                .font(theme::bold(theme::HEAD))
                .color(page.ink),
        );
        ui.label(RichText::new(path).color(page.faint));
    });
}
