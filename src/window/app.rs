//! What is on the screen: the start page, a scene being opened, or a rehearsal. May not enter: panels of a rehearsal,
//! window events.

use super::practising::{self, Practice, Practising};
use super::rehearsing::Rehearsing;
use super::screen::Screen;
use super::start::{Choice, Start};
use super::theme;
use crate::document::render;
use crate::gpu::choice::Choice as Painter;
use crate::gpu::device::GpuError;
use crate::grade::Rulebook;
use crate::grade::wording::sentence_case;
use crate::practise::store::Store;
use crate::practise::tutor;
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
}

enum Page {
    Start(Box<Start>, Option<Box<Rehearsing>>),
    Opening(Opening),
    Rehearsing(Box<Rehearsing>),
    /// And the page that it is left for.
    Practising(Box<Practising>, Option<Box<Rehearsing>>),
}

impl App {
    /// Begins by opening a scene with a frame, or with the start page; `remembered` is what [`Remembered::load`] read.
    pub fn new(
        means: Means,
        scene: Option<(&Path, Begin)>,
        (remembered, memory, told): (Remembered, Memory, Option<String>),
    ) -> App {
        let page = match scene {
            Some((scene, begin)) => opening_page(&means, scene.to_path_buf(), begin, None),
            None => Page::Start(Box::new(start(&means, &memory.recent)), None),
        };
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

    /// Begins with the page on which the eye is trained.
    pub fn practising(
        means: Means,
        practice: Practice,
        (remembered, memory, told): (Remembered, Memory, Option<String>),
    ) -> App {
        let page = Practising::new(practice, means.waker.clone(), memory.units);
        App {
            page: Page::Practising(Box::new(page), None),
            means,
            remembered,
            memory,
            told,
            store: Store::usual(),
            leaving: vec![],
        }
    }

    /// Keeps the progress of practice elsewhere than in the usual folder.
    pub fn keeping(mut self, store: Store) -> App {
        self.store = store;
        self
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
            _ => "Sunside".to_string(),
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
        if let Page::Rehearsing(rehearsing)
        | Page::Start(_, Some(rehearsing))
        | Page::Practising(_, Some(rehearsing))
        | Page::Opening(Opening {
            back: Some(rehearsing),
            ..
        }) = &self.page
        {
            self.memory.units = rehearsing.units;
            self.memory.guides = rehearsing.guides();
            self.memory.tray = rehearsing.folder();
            if rehearsing.theme_chosen {
                self.memory.theme = match theme {
                    egui::Theme::Dark => remembered::Theme::Dark,
                    egui::Theme::Light => remembered::Theme::Light,
                };
            }
        }
    }

    /// The device is gone with all that lay on it; what is rehearsed and its verdict are not.
    pub fn device_lost(&mut self, error: &GpuError) {
        if let Page::Rehearsing(rehearsing)
        | Page::Start(_, Some(rehearsing))
        | Page::Practising(_, Some(rehearsing))
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

    /// The page on which the eye is trained, if it is on the screen.
    pub fn practice(&mut self) -> Option<&mut Practising> {
        match &mut self.page {
            Page::Practising(practising, _) => Some(practising),
            _ => None,
        }
    }

    /// One redraw.
    pub fn ui(&mut self, ui: &mut Ui, screen: &mut Screen) {
        self.arrive();
        match &mut self.page {
            Page::Rehearsing(rehearsing) => {
                rehearsing.ui(ui, screen);
                if std::mem::take(&mut rehearsing.wants_start) {
                    self.show_start();
                }
            }
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
                Some(Choice::Practise) => {
                    let store = self.store.clone();
                    let practice = practice(&self.means, start.paths(), store);
                    let waker = self.means.waker.clone();
                    let page = Practising::new(practice, waker, self.memory.units);
                    self.page = Page::Practising(Box::new(page), back.take());
                }
                Some(Choice::Back) => {
                    if let Some(rehearsing) = back.take() {
                        self.page = Page::Rehearsing(rehearsing);
                    }
                }
                None => {}
            },
            Page::Practising(practising, _) => {
                practising.ui(ui);
                if practising.wants_leave {
                    self.show_start();
                }
            }
            Page::Opening(opening) => notice(ui, &opening.path.display().to_string()),
        }
    }

    /// Shows the start page; the rehearsal can be gone back to.
    fn show_start(&mut self) {
        let start = Page::Start(Box::new(start(&self.means, &self.memory.recent)), None);
        let before = std::mem::replace(&mut self.page, start);
        let Page::Start(_, back) = &mut self.page else {
            return;
        };
        match before {
            Page::Rehearsing(rehearsing) => *back = Some(rehearsing),
            Page::Practising(page, rehearsing) => {
                *back = rehearsing;
                // What it works at is given up beside the window.
                self.leaving.push(std::thread::spawn(move || drop(page)));
            }
            _ => {}
        }
    }

    /// Takes over a scene that has been opened.
    fn arrive(&mut self) {
        let Page::Opening(Opening {
            path,
            coming,
            start: from,
            back,
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
                let mut desk = Desk::new(opened, self.means.waker.clone(), true);
                desk.told = self.told.take().map(Err);
                let mut rehearsing = Rehearsing::new(desk);
                rehearsing.units = self.memory.units;
                rehearsing.set_guides(self.memory.guides);
                if let Some(folder) = &self.memory.tray {
                    rehearsing.set_folder(folder);
                }
                self.page = Page::Rehearsing(Box::new(rehearsing));
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

/// What is practised from the start page: on the sites that it shows, by lot.
fn practice(means: &Means, scenes: &[PathBuf], store: Store) -> Practice {
    let clock = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    Practice {
        means: tutor::Means {
            scenes: scenes.to_vec(),
            rulebook: means.rulebook,
            rasterizer: means.rasterizer,
            painter: Painter::Auto,
            width_px: practising::WIDTH_PX,
            seed: clock.map_or(0, |since| since.as_secs()),
            today: means.today,
        },
        drill: None,
        rounds: practising::ROUNDS,
        store,
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
    })
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
