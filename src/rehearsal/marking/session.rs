//! Several photographs of one site marked one after the other. One whose marks stand in their file is put away when
//! another is looked at; one whose marks do not is kept. May not enter: what is done to one.

use super::Marking;
use super::points::Drawings;
use crate::rehearsal::bench::{Room, Waker};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::sync::{Arc, OnceLock};

/// The photographs.
pub struct Session {
    /// Their files, in order.
    pub photos: Vec<PathBuf>,
    /// Which one is looked at.
    pub at: usize,
    /// It.
    pub state: State,
    /// The marks file that was named, where one photograph was.
    marks: Option<PathBuf>,
    room: Arc<Room>,
    drawings: Arc<OnceLock<Arc<Drawings>>>,
    waker: Waker,
    aside: HashMap<usize, Box<Marking>>,
}

/// How far one has come.
pub enum State {
    /// It is being read.
    Opening(Receiver<Result<Marking, String>>),
    /// It is being marked.
    Open(Box<Marking>),
    /// It cannot be read, and why.
    Failed(String),
}

impl Session {
    /// Begins with the first photograph.
    pub fn new(
        photos: Vec<PathBuf>,
        marks: Option<PathBuf>,
        room: Arc<Room>,
        waker: Waker,
    ) -> Session {
        let mut session = Session {
            state: State::Failed("No photograph was named".into()),
            photos,
            at: 0,
            marks,
            room,
            drawings: Arc::default(),
            waker,
            aside: HashMap::new(),
        };
        session.open(0);
        session
    }

    /// The file that is looked at.
    pub fn path(&self) -> &Path {
        self.photos
            .get(self.at)
            .map_or(Path::new(""), PathBuf::as_path)
    }

    /// The photograph that is marked.
    pub fn marking(&mut self) -> Option<&mut Marking> {
        match &mut self.state {
            State::Open(marking) => Some(marking),
            _ => None,
        }
    }

    /// Takes in what has come.
    pub fn take_news(&mut self) {
        if let State::Opening(coming) = &self.state {
            self.state = match coming.try_recv() {
                Ok(Ok(marking)) => State::Open(Box::new(marking)),
                Ok(Err(why)) => State::Failed(why),
                Err(TryRecvError::Empty) => return,
                Err(TryRecvError::Disconnected) => {
                    State::Failed(format!("{} could not be read", self.path().display()))
                }
            };
        }
        if let State::Open(marking) = &mut self.state {
            marking.take_news();
        }
        for marking in self.aside.values_mut() {
            marking.take_news();
        }
        self.aside.retain(|_, marking| !marking.is_kept());
    }

    /// Looks at another photograph, so many on.
    pub fn go(&mut self, step: isize) {
        let count = self.photos.len() as isize;
        let to = self.at as isize + step;
        if !(0..count).contains(&to) {
            return;
        }
        let before = std::mem::replace(&mut self.state, State::Failed(String::new()));
        if let State::Open(marking) = before
            && !marking.is_kept()
        {
            self.aside.insert(self.at, marking);
        }
        self.open(to as usize);
    }

    fn open(&mut self, at: usize) {
        self.at = at;
        if let Some(marking) = self.aside.remove(&at) {
            self.state = State::Open(marking);
            return;
        }
        let Some(path) = self.photos.get(at).cloned() else {
            return;
        };
        let (sender, coming) = channel();
        let (room, waker) = (Arc::clone(&self.room), Arc::clone(&self.waker));
        let marks = self.marks.clone().filter(|_| self.photos.len() == 1);
        let drawings = Arc::clone(&self.drawings);
        std::thread::spawn(move || {
            let drawn = drawings.get_or_init(|| Arc::new(Drawings::of(&room)));
            let both = (Arc::clone(&room), Arc::clone(drawn));
            let opened = Marking::open(&path, marks.as_deref(), both, Arc::clone(&waker));
            // The page may have been left meanwhile.
            if sender.send(opened).is_ok() {
                waker();
            }
        });
        self.state = State::Opening(coming);
    }

    /// Photographs whose marks would be lost if the page were left now, with the reason.
    pub fn lost(&self) -> Vec<String> {
        let present = match &self.state {
            State::Open(marking) => Some(&**marking),
            _ => None,
        };
        let all = self.aside.values().map(|marking| &**marking).chain(present);
        all.filter_map(|marking| {
            let why = marking.lost()?;
            Some(format!("{}: {why}", marking.path.display()))
        })
        .collect()
    }
}
