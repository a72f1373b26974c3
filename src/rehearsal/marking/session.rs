//! Several photographs of one site marked one after the other. One whose marks stand in their file is put away when
//! another is looked at; one whose marks do not is kept. May not enter: what is done to one.

use super::Marking;
use super::points::Drawings;
use crate::rehearsal::bench::{Room, Waker};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::sync::{Arc, OnceLock};
use std::thread::JoinHandle;

/// Opens a photograph and its marks.
type Opener = Arc<dyn Fn(&Path) -> Result<Marking, String> + Send + Sync>;

/// The photographs.
pub struct Session {
    /// Their files, in order.
    pub photos: Vec<PathBuf>,
    /// Which one is looked at.
    pub at: usize,
    /// It.
    pub state: State,
    opener: Opener,
    waker: Waker,
    /// The one that is being read; where another is looked at meanwhile, that one is read next.
    coming: Option<(usize, Receiver<Result<Marking, String>>)>,
    aside: HashMap<usize, Box<Marking>>,
    /// Threads that wait until what was put away is written.
    leaving: Vec<JoinHandle<()>>,
}

/// How far one has come.
pub enum State {
    /// It is being read.
    Opening,
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
        let marks = marks.filter(|_| photos.len() == 1);
        let drawings: OnceLock<Arc<Drawings>> = OnceLock::new();
        let wakes = Arc::clone(&waker);
        let opener = move |path: &Path| {
            let drawn = drawings.get_or_init(|| Arc::new(Drawings::of(&room)));
            let both = (Arc::clone(&room), Arc::clone(drawn));
            Marking::open(path, marks.as_deref(), both, Arc::clone(&wakes))
        };
        Session::opened_by(photos, Arc::new(opener), waker)
    }

    fn opened_by(photos: Vec<PathBuf>, opener: Opener, waker: Waker) -> Session {
        let mut session = Session {
            state: State::Failed("No photograph was named".into()),
            photos,
            at: 0,
            opener,
            waker,
            coming: None,
            aside: HashMap::new(),
            leaving: vec![],
        };
        session.look_at(0);
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
        if let Some((of, coming)) = &self.coming {
            let opened = match coming.try_recv() {
                Ok(opened) => Some(opened),
                Err(TryRecvError::Empty) => None,
                Err(TryRecvError::Disconnected) => Some(Err("It could not be read".to_string())),
            };
            if let Some(opened) = opened {
                let of = *of;
                self.coming = None;
                self.arrived(of, opened);
            }
        }
        if let State::Open(marking) = &mut self.state {
            marking.take_news();
        }
        for marking in self.aside.values_mut() {
            marking.take_news();
        }
        let kept = self.aside.extract_if(|_, marking| marking.is_kept());
        let kept: Vec<Box<Marking>> = kept.map(|(_, marking)| marking).collect();
        for marking in kept {
            self.put_away(marking);
        }
    }

    fn arrived(&mut self, of: usize, opened: Result<Marking, String>) {
        let is_wanted = of == self.at && matches!(self.state, State::Opening);
        match opened {
            Ok(marking) if is_wanted => self.state = State::Open(Box::new(marking)),
            Err(why) if is_wanted => self.state = State::Failed(why),
            Ok(marking) => self.put_away(Box::new(marking)),
            Err(_) => {}
        }
        if matches!(self.state, State::Opening) {
            self.read();
        }
    }

    /// Lets one go beside the window: it waits until its marks are written.
    fn put_away(&mut self, marking: Box<Marking>) {
        self.leaving.retain(|thread| !thread.is_finished());
        self.leaving.push(std::thread::spawn(move || drop(marking)));
    }

    /// Looks at another photograph, so many on.
    pub fn go(&mut self, step: isize) {
        let count = self.photos.len() as isize;
        let to = self.at as isize + step;
        if !(0..count).contains(&to) {
            return;
        }
        let before = std::mem::replace(&mut self.state, State::Opening);
        if let State::Open(marking) = before {
            match marking.is_kept() {
                true => self.put_away(marking),
                false => drop(self.aside.insert(self.at, marking)),
            }
        }
        self.look_at(to as usize);
    }

    /// Reads the one again that is looked at, where it could not be read.
    pub fn read_again(&mut self) {
        match &mut self.state {
            State::Failed(_) => self.look_at(self.at),
            State::Open(marking) => marking.read_photo(),
            State::Opening => {}
        }
    }

    fn look_at(&mut self, at: usize) {
        if at >= self.photos.len() {
            return;
        }
        self.at = at;
        self.state = match self.aside.remove(&at) {
            Some(marking) => State::Open(marking),
            None => State::Opening,
        };
        if matches!(self.state, State::Opening) {
            self.read();
        }
    }

    /// Reads the one that is looked at beside the window, unless one is being read: of those that are only passed by,
    /// none is.
    fn read(&mut self) {
        if self.coming.is_some() {
            return;
        }
        let (sender, coming) = channel();
        let (path, opener) = (self.path().to_path_buf(), Arc::clone(&self.opener));
        let waker = Arc::clone(&self.waker);
        std::thread::spawn(move || {
            let opened = opener(&path);
            // The page may have been left meanwhile.
            if sender.send(opened).is_ok() {
                waker();
            }
        });
        self.coming = Some((self.at, coming));
    }

    fn all(&self) -> impl Iterator<Item = &Marking> {
        let present = match &self.state {
            State::Open(marking) => Some(&**marking),
            _ => None,
        };
        self.aside.values().map(|marking| &**marking).chain(present)
    }

    /// Whether marks are still being written.
    pub fn is_pending(&self) -> bool {
        self.all().any(Marking::is_pending)
    }

    /// Tries once more to write what could not be written.
    pub fn keep_again(&mut self) {
        if let State::Open(marking) = &mut self.state {
            marking.keep_again();
        }
        for marking in self.aside.values_mut() {
            marking.keep_again();
        }
    }

    /// Whether marks would be lost if the page were left now.
    pub fn is_any_lost(&self) -> bool {
        self.all().any(|marking| marking.lost().is_some())
    }

    /// Photographs whose marks would or might be lost if the page were left now, with the reason.
    pub fn lost(&self) -> Vec<String> {
        let told = |marking: &Marking| {
            let why = match marking.lost() {
                Some(why) => first_line(&why.to_string()).to_string(),
                None if marking.is_pending() => "the marks are still being written".to_string(),
                None => return None,
            };
            Some(format!("{}: {why}", marking.path.display()))
        };
        self.all().filter_map(told).collect()
    }
}

fn first_line(text: &str) -> &str {
    text.lines().next().unwrap_or_default()
}

impl Drop for Session {
    fn drop(&mut self) {
        for thread in self.leaving.drain(..) {
            // Marks that are still being written are written.
            let _ = thread.join();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Mutex;
    use std::time::Duration;

    #[test]
    fn of_photographs_passed_by_none_is_read_but_the_first_and_the_last() {
        let read: Arc<Mutex<Vec<PathBuf>>> = Arc::default();
        let (sender, gate) = channel::<()>();
        let gate = Mutex::new(gate);
        let taken = Arc::clone(&read);
        let opener = move |path: &Path| {
            taken.lock().unwrap().push(path.to_path_buf());
            // As long as a photograph takes.
            let _ = gate.lock().unwrap().recv_timeout(Duration::from_secs(60));
            Err(format!("{} was read", path.display()))
        };
        let photos: Vec<PathBuf> = (0..12).map(|n| PathBuf::from(format!("{n}.jpg"))).collect();
        let mut session = Session::opened_by(photos.clone(), Arc::new(opener), Arc::new(|| {}));
        for _ in 0..10 {
            session.go(1);
            session.take_news();
        }
        drop(sender);
        while matches!(session.state, State::Opening) {
            session.take_news();
            std::thread::yield_now();
        }
        assert!(matches!(&session.state, State::Failed(why) if why == "10.jpg was read"));
        assert_eq!(
            *read.lock().unwrap(),
            [photos[0].clone(), photos[10].clone()]
        );
        // One that failed is read again when that is asked.
        session.read_again();
        assert!(matches!(session.state, State::Opening));
        while matches!(session.state, State::Opening) {
            session.take_news();
            std::thread::yield_now();
        }
        assert_eq!(read.lock().unwrap().len(), 3);
    }
}
