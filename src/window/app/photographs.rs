//! From a rehearsal, or from a scene opened for them, to photographs, and back. May not enter: panels of a page.

use super::{App, From, Page};
use crate::rehearsal::marking::session::Session;
use crate::rehearsal::opening::Opened;
use crate::window::marking::dialogs::Judged;
use crate::window::marking::{MarkingPage, Wish};
use std::path::PathBuf;
use std::sync::Arc;

impl App {
    /// The photographs, if they are on the screen.
    pub fn marking(&mut self) -> Option<&mut MarkingPage> {
        match &mut self.page {
            Page::Marking(marking, _) => Some(marking),
            _ => None,
        }
    }

    /// Marks photographs of what is rehearsed.
    pub(super) fn mark(&mut self, photos: Vec<PathBuf>) {
        match std::mem::replace(&mut self.page, Page::Between) {
            Page::Rehearsing(rehearsing) => {
                let desk = &rehearsing.desk;
                let (room, waker) = (Arc::clone(&desk.room.1), self.means.waker.clone());
                let Judged { photos, at, marks } = rehearsing.which_photo.asked(photos);
                let mut session = Session::new(photos, marks, room, waker);
                if at > 0 {
                    session.go(at as isize);
                }
                let mut page = MarkingPage::new(session, desk.original().clone());
                page.units = rehearsing.units;
                self.page = Page::Marking(Box::new(page), From::Rehearsing(rehearsing));
            }
            other => self.page = other,
        }
    }

    /// From photographs to a rehearsal: as it was, or from where one of them was taken.
    pub(super) fn leave_marking(&mut self, wish: &Wish) {
        let before = std::mem::replace(&mut self.page, Page::Between);
        let (mut marking, mut rehearsing) = match before {
            Page::Marking(marking, From::Rehearsing(rehearsing)) => (marking, rehearsing),
            Page::Marking(marking, From::Opened(opened)) => (marking, self.rehearse(*opened)),
            other => {
                self.page = other;
                return;
            }
        };
        rehearsing.desk.saved(marking.original.clone());
        rehearsing.theme_chosen |= marking.theme_chosen;
        let session = &mut marking.session;
        rehearsing.which_photo.last = Some(Judged {
            marks: (session.marking())
                .map(|marking| marking.marks_file().to_path_buf())
                .filter(|_| session.photos.len() == 1),
            photos: session.photos.clone(),
            at: session.at,
        });
        if let Wish::Rehearse(take) = wish {
            rehearsing.desk.lay_photograph(take);
        }
        // Files that are still being written are waited for beside the window.
        self.leaving.retain(|thread| !thread.is_finished());
        self.leaving.push(std::thread::spawn(move || drop(marking)));
        self.page = Page::Rehearsing(rehearsing);
    }

    /// The page of photographs of a scene that was opened for them.
    pub(super) fn marking_page(
        &self,
        opened: Opened,
        (photos, marks): (Vec<PathBuf>, Option<PathBuf>),
    ) -> Page {
        let (room, waker) = (Arc::clone(&opened.room), self.means.waker.clone());
        let session = Session::new(photos, marks, room, waker);
        let mut page = MarkingPage::new(session, opened.original.clone());
        page.units = self.memory.units;
        Page::Marking(Box::new(page), From::Opened(Box::new(opened)))
    }
}
