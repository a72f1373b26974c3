//! What comes from the threads that work on a photograph's marks, and what is asked of them: its marks file, its fit, the
//! photograph itself read again. May not enter: what commands mean.

use super::fitting::{Fitting, News};
use super::keeper::Order;
use super::opened::Opened;
use super::{Found, Marking, PhotoFile, Reads};
use crate::judge::keeping::{Kept, Unkept};
use crate::judge::marks::Given;
use chrono::{DateTime, Utc};
use glam::DVec2;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

impl Marking {
    /// Takes in what has come; whether anything has.
    pub fn take_news(&mut self) -> bool {
        let news: Vec<News> = self.news.try_iter().collect();
        let any = !news.is_empty();
        for news in news {
            match news {
                News::Found(found) => {
                    let known = self.found.as_ref().map_or(0, |known| known.number);
                    // A sheet that took long is of marks, or of a photograph, that nobody has any more.
                    if found.number < known.max(self.least) {
                        continue;
                    }
                    if matches!(found.take, Some(Ok(_))) {
                        self.judged = Some(Arc::clone(&found));
                    }
                    self.found = Some(found);
                    // What turns out to be hidden is asked for no longer.
                    let is_open = !self.by_hand && self.mark_of(self.chosen).is_none();
                    if is_open && !self.is_seen(self.chosen) {
                        self.chosen = self.helpful(None).unwrap_or(self.chosen);
                    }
                }
                News::Kept(given, written) => {
                    if self.to_keep.as_ref() == Some(&*given) {
                        self.to_keep = None;
                    }
                    match written {
                        Ok(at) => {
                            (self.kept, self.kept_at) = (*given, Some(at));
                            self.unkept = None;
                        }
                        Err(why) => self.unkept = Some(why),
                    }
                }
                News::Read(Ok(read)) => self.take_over(*read),
                News::Read(Err(why)) => {
                    self.reads = Reads::Nothing;
                    self.unkept = Some(Unkept::Unreadable(why.clone()));
                    self.told = Some(Err(why));
                }
                News::PutAside(Ok(name)) => {
                    self.kept = Given::default();
                    self.unkept = None;
                    let name = name.as_deref().and_then(Path::file_name);
                    self.told = name.map(|name| {
                        Ok(format!(
                            "The old file is {} now; marks are kept in a new one",
                            name.to_string_lossy()
                        ))
                    });
                }
                News::PutAside(Err(why)) => self.told = Some(Err(why)),
                News::File(stamp) => self.stamp = stamp,
                News::MarksFile => self.keeper.ask(Order::Look),
                News::Looked(true) => {
                    let is_changed = |why: &mut Unkept| matches!(why, Unkept::Changed(_));
                    // It was put back: what was placed meanwhile can be kept.
                    if self.unkept.take_if(is_changed).is_some() && self.kept != self.given {
                        self.order();
                    }
                }
                News::Looked(false) => {
                    let changed = || Unkept::Changed(self.marks_path.clone());
                    self.unkept = self.unkept.take().or_else(|| Some(changed()));
                }
                News::Photo(read) => self.show(read),
            }
        }
        any
    }

    /// The file's marks in place of those that are here, unless something was done to these while it was read: then what
    /// the keeper makes of that counts, which writes over no file that it does not know.
    fn take_over(&mut self, (file, given): (Kept, Given)) {
        if std::mem::take(&mut self.reads) != Reads::ToTakeOver {
            let told = "Marks were changed here while the file was read: it was not taken over";
            self.told = Some(Err(told.into()));
            return;
        }
        self.keeper.ask(Order::Adopt(file));
        self.keeper.ask(Order::Look);
        self.unkept = None;
        self.kept.clone_from(&given);
        if given != self.given {
            self.history
                .note(&self.given, "Read the marks anew", Instant::now());
            self.given = given;
            self.held = None;
            self.want();
        }
        self.told = Some(Ok("Read as the file has them".into()));
    }

    /// The photograph as it is now, its marks as they are.
    fn show(&mut self, read: Result<Box<Opened>, String>) {
        self.reads_photo = false;
        match read {
            Ok(opened) => {
                let Opened {
                    photo,
                    levels,
                    stamp,
                } = *opened;
                (self.photo, self.levels) = (photo, levels);
                // What was told of the file while it was read is newer than the reading.
                if self.stamp == self.read_from {
                    self.stamp = stamp;
                }
                self.read_from = stamp;
                let size = DVec2::from_array(self.photo.size_px());
                self.cross_px = self.cross_px.clamp(DVec2::ZERO, size);
                (self.found, self.judged) = (None, None);
                let both = (Arc::clone(&self.room), Arc::clone(&self.model));
                let (photo, tell) = (Arc::clone(&self.photo), self.tell.clone());
                self.work = Fitting::begin(both, photo, tell);
                self.least = self.number + 1;
                self.want();
                let told = "The photograph was read again; marks are as they were";
                self.told = Some(Ok(told.into()));
            }
            Err(why) => self.told = Some(Err(why)),
        }
    }

    /// Asks for the fit of the marks as they are.
    pub(super) fn want(&mut self) {
        self.number += 1;
        self.work.want(self.number, &self.given);
    }

    /// Writes the marks, if they are not written.
    pub(super) fn keep(&mut self) {
        if let Some(Unkept::Unwritten(_)) = self.unkept {
            self.unkept = None;
        }
        self.order();
    }

    fn order(&mut self) {
        self.overtake();
        self.to_keep = Some(self.given.clone());
        self.keeper.ask(Order::Keep(self.given.clone()));
    }

    /// Takes over the marks file as it is now, once what is still to be written is.
    pub(super) fn read_anew(&mut self) {
        self.reads = Reads::ToTakeOver;
        self.keeper.ask(Order::ReadAnew);
    }

    /// What is being read came too late.
    fn overtake(&mut self) {
        if self.reads == Reads::ToTakeOver {
            self.reads = Reads::Overtaken;
        }
    }

    /// Gives the marks file that is in the way another name; marks that are here are written into a new one.
    pub(super) fn put_aside(&mut self) {
        self.overtake();
        self.keeper.ask(Order::PutAside);
        if self.given != Given::default() {
            self.order();
        }
    }

    /// Reads the photograph again, beside the window.
    pub(super) fn read_photo(&mut self) {
        if std::mem::replace(&mut self.reads_photo, true) {
            return;
        }
        let (path, tell) = (self.path.clone(), self.tell.clone());
        std::thread::spawn(move || tell.tell(News::Photo(Opened::read(&path).map(Box::new))));
    }

    /// What is known, as far as it is graded: while the newest marks are, that of earlier ones.
    pub fn judged(&self) -> Option<&Arc<Found>> {
        let found = self.found.as_ref()?;
        let waits = found.take.is_none() && found.fit.is_ok();
        self.judged.as_ref().filter(|_| waits).or(Some(found))
    }

    /// Whether the photograph's file is the one that was read.
    pub fn photo_file(&self) -> PhotoFile {
        match self.stamp {
            stamp if stamp == self.read_from => PhotoFile::AsRead,
            stamp if stamp.is_none() => PhotoFile::Gone,
            _ => PhotoFile::Another,
        }
    }

    /// Whether the photograph is being read again.
    pub fn reads_photo(&self) -> bool {
        self.reads_photo
    }

    /// The file in which marks are kept.
    pub fn marks_file(&self) -> &Path {
        &self.marks_path
    }

    /// Whether the marks stand in their file, and nothing else is still to be written there.
    pub fn is_kept(&self) -> bool {
        self.kept == self.given && self.to_keep.is_none()
    }

    /// When they were written, if they were since the photograph was opened.
    pub fn kept_at(&self) -> Option<DateTime<Utc>> {
        self.kept_at
    }

    /// An instant by the site's clock, to the second.
    pub fn clock(&self, at: DateTime<Utc>) -> String {
        let local = self.room.scene.place.zone.local(at);
        let time = local.naive.format("%H:%M:%S");
        format!("{time} {}, the site's time", local.letters())
    }

    /// Why marks cannot be written, whether or not any are to be.
    pub fn unkept(&self) -> Option<&Unkept> {
        self.unkept.as_ref()
    }

    /// Whether the marks are still being written.
    pub fn is_pending(&self) -> bool {
        !self.is_kept() && self.unkept.is_none()
    }

    /// Why the marks would be lost, if the page were left now; none where they stand in their file or soon will.
    pub fn lost(&self) -> Option<&Unkept> {
        self.unkept.as_ref().filter(|_| !self.is_kept())
    }

    /// Once more what could not be written, before it is given up.
    pub fn keep_again(&mut self) {
        if let Some(Unkept::Unwritten(_)) = self.lost() {
            self.keep();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grade::{Rulebook, Studio};
    use crate::rehearsal::marking::points::Drawings;
    use crate::rehearsal::marking::watch::Stamp;
    use crate::scene::Scene;
    use crate::sighting::cpu::Cpu;
    use image::RgbImage;

    fn opened(path: &Path) -> Marking {
        let rulebook: &'static Rulebook = Box::leak(Box::new(Rulebook::roster()));
        let cpu: &'static Cpu = Box::leak(Box::default());
        let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
        let room = Arc::new(Studio::new(scene, rulebook, cpu, None));
        let drawings = Arc::new(Drawings::of(&room));
        Marking::open(path, None, (room, drawings), Arc::new(|| {})).unwrap()
    }

    fn found(marking: &mut Marking) -> Arc<Found> {
        let start = Instant::now();
        while marking.found.is_none() {
            marking.take_news();
            assert!(start.elapsed().as_secs() < 60, "nothing was found");
            std::thread::yield_now();
        }
        marking.found.clone().unwrap()
    }

    #[test]
    fn of_a_photograph_that_is_read_again_the_old_is_dropped_and_the_newest_word_of_its_file_stays()
    {
        let folder = tempfile::TempDir::new().unwrap();
        let path = folder.path().join("plain.png");
        RgbImage::new(300, 200).save(&path).unwrap();
        let mut marking = opened(&path);
        let old = found(&mut marking);
        RgbImage::new(150, 100).save(&path).unwrap();
        let read = Opened::read(&path).unwrap();
        let half = read.stamp;
        marking.show(Ok(Box::new(read)));
        assert_eq!(marking.photo_file(), PhotoFile::AsRead);
        // The threads of the photograph as it was still tell: marks are alike, so nothing else would give them away.
        marking.tell.tell(News::Found(Arc::clone(&old)));
        marking.take_news();
        assert!(marking.found.is_none() && marking.judged().is_none());
        let new = found(&mut marking);
        assert!(new.number > old.number);
        assert_eq!((new.shot.plate.width_px, &new.given), (150.0, &old.given));
        // The file was written on while it was read: the watch has told of it before the reading came.
        RgbImage::new(75, 50).save(&path).unwrap();
        let whole = Stamp::of(&path);
        assert_ne!(whole, half);
        marking.tell.tell(News::File(whole));
        marking.take_news();
        RgbImage::new(150, 100)
            .save(folder.path().join("half.png"))
            .unwrap();
        let mut read = Opened::read(&folder.path().join("half.png")).unwrap();
        read.stamp = half;
        marking.show(Ok(Box::new(read)));
        assert_eq!(marking.photo_file(), PhotoFile::Another);
    }
}
