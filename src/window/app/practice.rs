//! From the start page to practice and back. May not enter: drills, panels of a page.

use super::{App, Means, Page};
use crate::gpu::choice::Choice;
use crate::practise::store::Store;
use crate::practise::tutor;
use crate::rehearsal::remembered::{Memory, Remembered};
use crate::window::practising::{Practice, Practising, ROUNDS, WIDTH_PX};
use std::path::PathBuf;

impl App {
    /// Begins with the page on which the eye is trained.
    pub fn practising(
        means: Means,
        practice: Practice,
        remembered: (Remembered, Memory, Option<String>),
    ) -> App {
        let page = Practising::new(practice, means.waker.clone(), remembered.1.units);
        App::on(Page::Practising(Box::new(page), None), means, remembered)
    }

    /// Keeps the progress of practice elsewhere than in the usual folder.
    pub fn keeping(mut self, store: Store) -> App {
        self.store = store;
        self
    }

    /// The page on which the eye is trained, if it is on the screen.
    pub fn practice(&mut self) -> Option<&mut Practising> {
        match &mut self.page {
            Page::Practising(practising, _) => Some(practising),
            _ => None,
        }
    }

    /// From the start page to the drills; what was rehearsed before can be gone back to.
    pub(super) fn practise(&mut self) {
        match std::mem::replace(&mut self.page, Page::Between) {
            Page::Start(start, back) => {
                let practice = practice(&self.means, start.paths(), self.store.clone());
                let waker = self.means.waker.clone();
                let page = Practising::new(practice, waker, self.memory.units);
                self.page = Page::Practising(Box::new(page), back);
            }
            other => self.page = other,
        }
    }

    /// From the drills to the start page, and what was rehearsed before behind it.
    pub(super) fn leave_practice(&mut self) {
        let before = std::mem::replace(&mut self.page, Page::Between);
        self.show_start();
        if let (Page::Practising(page, rehearsing), Page::Start(_, back)) = (before, &mut self.page)
        {
            *back = rehearsing;
            // What it works at is given up beside the window.
            self.leaving.push(std::thread::spawn(move || drop(page)));
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
            painter: Choice::Auto,
            width_px: WIDTH_PX,
            seed: clock.map_or(0, |since| since.as_secs()),
            today: means.today,
        },
        drill: None,
        rounds: ROUNDS,
        store,
    }
}
