//! The bench: what is worked out beside the window, so that nothing blocks it. The window says what it wants, newest
//! first; threads answer with news. May not enter: screens, state that can be taken back.

mod grader;
mod wanted;

pub use wanted::Wanted;

use super::setting::Setting;
use super::site::Site;
use super::take::Take;
use crate::grade::culprits::Culprits;
use crate::grade::{Composed, Graded, MeasureId, Minute, Studio};
use crate::picture::lit::{Lit, Shaped};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use wanted::Board;

/// A studio for background work.
pub type Room = Studio<'static>;

/// A frame as it was graded.
pub struct GradedTake {
    /// What was graded.
    pub take: Take,
    /// Camera and eye.
    pub composed: Composed,
    /// The light.
    pub minute: Arc<Minute>,
    /// The verdict.
    pub graded: Graded,
    /// Whether at proof size, so that it is what `grade` says.
    pub proved: bool,
}

/// What the bench tells.
pub enum News {
    /// A site as it is tried.
    Studio(Setting, Arc<Room>),
    /// Its stage, to be drawn.
    Shaped(Setting, Arc<Room>, Box<Shaped>),
    /// A setting that cannot be, and why.
    Refused(Setting, String),
    /// A frame was graded.
    Graded(Arc<GradedTake>),
    /// What causes a finding of it.
    Culprits(Take, MeasureId, Box<Culprits>),
}

/// Where work is asked for and told of.
pub struct Bench {
    board: Arc<Board>,
    news: Receiver<News>,
    threads: Vec<JoinHandle<()>>,
    teller: Teller,
}

/// Wakes the window when there is news.
pub type Waker = Arc<dyn Fn() + Send + Sync>;

/// Tells news and wakes who waits for them.
#[derive(Clone)]
struct Teller {
    sender: Sender<News>,
    waker: Waker,
}

impl Teller {
    fn tell(&self, news: News) {
        // Nobody listens any more when the window is closing.
        if self.sender.send(news).is_ok() {
            (self.waker)();
        }
    }
}

impl Bench {
    /// Sets up for a site that is prepared for a setting. `draws` says whether stages are to be shaped for pictures.
    pub fn new(site: Arc<Site>, room: Arc<Room>, setting: Setting, waker: Waker, draws: bool) -> Bench {
        let (sender, news) = channel();
        let board = Arc::new(Board::default());
        let teller = Teller { sender, waker };
        let mut threads = vec![];
        let (for_grader, tell) = (Arc::clone(&board), teller.clone());
        if draws {
            shape(&setting, &room, &teller);
        }
        threads.push(std::thread::spawn(move || {
            let prepared = (setting, room);
            grader::run(&site, prepared, &for_grader, &|news| {
                if let (News::Studio(setting, room), true) = (&news, draws) {
                    shape(setting, room, &tell);
                }
                tell.tell(news);
            });
        }));
        Bench {
            board,
            news,
            threads,
            teller,
        }
    }

    /// Shapes a stage once more, for a device that is new.
    pub fn shape(&self, setting: &Setting, room: &Arc<Room>) {
        shape(setting, room, &self.teller);
    }

    /// Says what is wanted from now on.
    pub fn want(&self, wanted: Wanted) {
        self.board.post(wanted);
    }

    /// What has come since it was asked last.
    pub fn news(&self) -> impl Iterator<Item = News> + '_ {
        self.news.try_iter()
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        self.board.close();
        for thread in self.threads.drain(..) {
            // A thread that panicked has said so; there is nothing left to mend here.
            let _ = thread.join();
        }
    }
}

/// Shapes a stage beside the grading: the first verdict does not wait for it.
fn shape(setting: &Setting, room: &Arc<Room>, tell: &Teller) {
    let (setting, room, tell) = (setting.clone(), Arc::clone(room), tell.clone());
    std::thread::spawn(move || {
        let shaped = Lit::shape(room.rasterizer, &room.stage);
        tell.tell(News::Shaped(setting, room, Box::new(shaped)));
    });
}

/// A lock whose holder panicked still holds plain data.
fn held<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
