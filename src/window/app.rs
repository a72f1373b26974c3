//! What is on the screen: a scene being opened, or a rehearsal. May not enter: panels of a rehearsal, window events.

use super::rehearsing::Rehearsing;
use super::screen::Screen;
use super::theme;
use crate::document::Problems;
use crate::gpu::device::GpuError;
use crate::grade::Rulebook;
use crate::rehearsal::bench::Waker;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::opening::{self, Opened};
use crate::sighting::rasterizer::Rasterizer;
use chrono::{DateTime, Utc};
use egui::{CentralPanel, RichText, Ui};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};

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
    Opening(PathBuf, Receiver<Result<Opened, Problems>>),
    Failed(String),
    Rehearsing(Box<Rehearsing>),
}

impl App {
    /// Begins by opening a scene.
    pub fn new(means: Means, scene: &Path) -> App {
        let page = Page::Opening(scene.to_path_buf(), open(&means, scene));
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

    /// Whether nothing would be lost if the window closed now.
    pub fn may_close(&mut self) -> bool {
        true
    }

    /// Whether a command asked to close the window.
    pub fn wants_to_close(&self) -> bool {
        false
    }

    /// The device is gone with all that lay on it.
    pub fn device_lost(&mut self, _error: &GpuError) {
        if let Page::Rehearsing(rehearsing) = &mut self.page {
            rehearsing.viewport.forget();
            rehearsing.desk.shape_again();
        }
    }

    /// The rehearsal, if there is one.
    pub fn rehearsing(&self) -> Option<&Rehearsing> {
        match &self.page {
            Page::Rehearsing(rehearsing) => Some(rehearsing),
            _ => None,
        }
    }

    /// One redraw.
    pub fn ui(&mut self, ui: &mut Ui, screen: &mut Screen) {
        self.arrive();
        match &mut self.page {
            Page::Rehearsing(rehearsing) => rehearsing.ui(ui, screen),
            Page::Opening(path, _) => {
                notice(ui, "Opening the scene …", &path.display().to_string());
            }
            Page::Failed(why) => notice(ui, "This scene cannot be opened", why),
        }
    }

    /// Takes over a scene that has been opened.
    fn arrive(&mut self) {
        let Page::Opening(_, coming) = &self.page else {
            return;
        };
        match coming.try_recv() {
            Ok(Ok(opened)) => {
                let desk = Desk::new(opened, self.means.waker.clone(), true);
                self.page = Page::Rehearsing(Box::new(Rehearsing::new(desk)));
            }
            Ok(Err(problems)) => self.page = Page::Failed(problems.to_string()),
            Err(_) => {}
        }
    }
}

/// Opens a scene beside the window.
fn open(means: &Means, scene: &Path) -> Receiver<Result<Opened, Problems>> {
    let (sender, receiver) = channel();
    let (means, scene) = (means.clone(), scene.to_path_buf());
    std::thread::spawn(move || {
        let opened = opening::open(&scene, means.rulebook, means.rasterizer, means.today);
        // The window may have been closed meanwhile.
        if sender.send(opened).is_ok() {
            (means.waker)();
        }
    });
    receiver
}

fn notice(ui: &mut Ui, head: &str, text: &str) {
    CentralPanel::default().show(ui, |ui| {
        let page = theme::page(ui.ctx());
        ui.add_space(24.0);
        ui.label(
            RichText::new(head)
                .font(theme::bold(theme::HEAD))
                .color(page.ink),
        );
        ui.label(RichText::new(text).color(page.faint));
    });
}
