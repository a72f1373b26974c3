//! What is on the screen: the start page, a scene being opened, or a rehearsal. May not enter: panels of a rehearsal,
//! window events.

use super::rehearsing::Rehearsing;
use super::screen::Screen;
use super::start::{Choice, Start};
use super::theme;
use crate::document::render;
use crate::gpu::device::GpuError;
use crate::grade::Rulebook;
use crate::rehearsal::bench::Waker;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::gallery::{gallery, shipped};
use crate::rehearsal::opening::{self, Opened};
use crate::sighting::rasterizer::Rasterizer;
use chrono::{DateTime, Utc};
use egui::{CentralPanel, RichText, Ui};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

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

/// Where the window is on the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindowPlace {
    /// Points across and down.
    pub size: [f64; 2],
    /// Pixels from the corner of the screen.
    pub position: Option<[i32; 2]>,
    /// Whether it fills the screen.
    pub maximized: bool,
}

/// The application.
pub struct App {
    means: Means,
    page: Page,
}

enum Page {
    Start(Box<Start>, Option<Box<Rehearsing>>),
    Opening(PathBuf, Receiver<Result<Opened, String>>),
    Rehearsing(Box<Rehearsing>),
}

impl App {
    /// Begins by opening a scene, or with the start page.
    pub fn new(means: Means, scene: Option<&Path>) -> App {
        let page = match scene {
            Some(scene) => opening_page(&means, scene.to_path_buf()),
            None => Page::Start(Box::new(start(&means)), None),
        };
        App { means, page }
    }

    /// The window's title.
    pub fn title(&self) -> String {
        match &self.page {
            Page::Rehearsing(rehearsing) => {
                format!("{} \u{2013} Sunside", rehearsing.desk.site.base.name)
            }
            _ => "Sunside".to_string(),
        }
    }

    /// Where the window wants to be.
    pub fn window_wish(&self) -> WindowPlace {
        WindowPlace {
            size: [1280.0, 800.0],
            position: None,
            maximized: false,
        }
    }

    /// The window closes, and was here.
    pub fn remember_window(&mut self, _place: WindowPlace) {}

    /// The device is gone with all that lay on it.
    pub fn device_lost(&mut self, _error: &GpuError) {
        if let Page::Rehearsing(rehearsing) | Page::Start(_, Some(rehearsing)) = &mut self.page {
            rehearsing.viewport.forget();
            rehearsing.desk.shape_again();
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
                if std::mem::take(&mut rehearsing.wants_start) {
                    self.to_start();
                }
            }
            Page::Start(start, back) => match start.ui(ui, back.is_some()) {
                Some(Choice::Open(path)) => self.page = opening_page(&self.means, path),
                Some(Choice::Back) => {
                    if let Some(rehearsing) = back.take() {
                        self.page = Page::Rehearsing(rehearsing);
                    }
                }
                None => {}
            },
            Page::Opening(path, _) => notice(ui, &path.display().to_string()),
        }
    }

    /// Shows the start page; the rehearsal can be gone back to.
    fn to_start(&mut self) {
        let start = Page::Start(Box::new(start(&self.means)), None);
        let before = std::mem::replace(&mut self.page, start);
        if let (Page::Rehearsing(rehearsing), Page::Start(_, back)) = (before, &mut self.page) {
            *back = Some(rehearsing);
        }
    }

    /// Takes over a scene that has been opened.
    fn arrive(&mut self) {
        let Page::Opening(path, coming) = &self.page else {
            return;
        };
        let failed = match coming.try_recv() {
            Ok(Ok(opened)) => {
                let desk = Desk::new(opened, self.means.waker.clone(), true);
                self.page = Page::Rehearsing(Box::new(Rehearsing::new(desk)));
                return;
            }
            Ok(Err(problems)) => problems,
            Err(TryRecvError::Empty) => return,
            Err(TryRecvError::Disconnected) => format!("{} could not be read", path.display()),
        };
        let mut start = start(&self.means);
        start.failed = Some(failed);
        self.page = Page::Start(Box::new(start), None);
    }
}

/// The start page with the sites that ship.
fn start(means: &Means) -> Start {
    let paths = shipped();
    let Means {
        rulebook,
        rasterizer,
        waker,
        today,
    } = means.clone();
    let coming = gallery(paths.clone(), rulebook, rasterizer, today, waker);
    Start::new(paths, coming)
}

/// Opens a scene beside the window.
fn opening_page(means: &Means, scene: PathBuf) -> Page {
    let (sender, receiver) = channel();
    let (means, path) = (means.clone(), scene.clone());
    std::thread::spawn(move || {
        let opened = opening::open(&path, means.rulebook, means.rasterizer, means.today);
        let opened = opened.map_err(|problems| render(&problems, false));
        // The window may have been closed meanwhile.
        if sender.send(opened).is_ok() {
            (means.waker)();
        }
    });
    Page::Opening(scene, receiver)
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
