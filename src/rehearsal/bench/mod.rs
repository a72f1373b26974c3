//! The bench: what is worked out beside the window, so that nothing blocks it. The window says what it wants, newest
//! first; threads answer with news. May not enter: screens, state that can be taken back.

mod background;
mod bearing;
mod errands;
mod grader;
mod wanted;

pub use background::{DayHere, Ground};
pub use bearing::Bearing;
pub use errands::{Errand, Found, Search};
pub use wanted::Wanted;

use super::setting::Setting;
use super::site::Site;
use super::take::Take;
use crate::grade::culprits::Culprits;
use crate::grade::{Composed, Graded, MeasureId, Minute, Studio};
use crate::picture::lit::{Lit, Shaped};
use crate::picture::png::Picture;
use crate::picture::sheet::Sheet;
use crate::plan::hours::{Week, WeekOfYear};
use crate::scene::edit::Original;
use crate::scene::machine::HeadEnd;
use errands::Runner;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
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
    Shaped(Arc<Room>, Box<Shaped>),
    /// A setting that cannot be, and why.
    Refused(Setting, String),
    /// A frame was graded.
    Graded(Arc<GradedTake>),
    /// What causes a finding of it.
    Culprits(Take, MeasureId, Box<Culprits>),
    /// The ground, as far as it is known.
    Ground(Arc<Ground>),
    /// The day of a stand.
    Day(Arc<DayHere>),
    /// The year, as far as it is known.
    Year(Arc<YearSoFar>),
    /// A small picture that was asked for by its number.
    Small(u64, Arc<Picture>),
    /// The lenses compared from a take.
    Strip(Box<Take>, Arc<Sheet>),
    /// How far the search has come: what it does, and its share, 0–1.
    Searching(String, f64),
    /// What the search found.
    Found(Arc<Found>),
    /// What a frame bears.
    Bearing(Arc<Bearing>),
    /// An errand was done, in a sentence.
    Done(String),
    /// The scene was saved; its file as it is now.
    Saved(Box<Original>),
    /// The scene was not saved, since another one lies there that would be replaced.
    Exists(PathBuf),
    /// An errand could not be done: which, and why.
    Failed(String),
    /// The search could not begin, and why.
    NotSearched(String),
    /// One of the four of a search or a look at what a frame bears, with its number: what an older one still says is
    /// dropped on the way.
    Looked(u64, Box<News>),
}

/// The hours won of a year, as far as they are known.
#[derive(Clone, Debug, PartialEq)]
pub struct YearSoFar {
    /// The year.
    pub year: i32,
    /// The site as it is tried.
    pub setting: Setting,
    /// Which end leads: as it is tried, then the other.
    pub head_ends: [HeadEnd; 2],
    /// Bearings of the machine's nose, likewise.
    pub nose_bearings_deg: [f64; 2],
    /// The year's weeks from 1 January.
    pub all: Vec<WeekOfYear>,
    /// Likewise, what they win; none where not yet known.
    pub weeks: Vec<Option<Week>>,
    /// Share that is known, 0–1; none once it was given up.
    pub share: Option<f64>,
}

/// Where work is asked for and told of.
pub struct Bench {
    board: Arc<Board>,
    news: Receiver<News>,
    threads: Vec<JoinHandle<()>>,
    teller: Teller,
    runner: Arc<Runner>,
    errands: Option<Sender<Errand>>,
    /// What is searched now: its number, and what gives it up.
    search: Option<(u64, Arc<AtomicBool>)>,
    /// Numbers given so far.
    looks: u64,
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
    pub fn new(
        site: Arc<Site>,
        room: Arc<Room>,
        setting: Setting,
        waker: Waker,
        draws: bool,
    ) -> Bench {
        let (sender, news) = channel();
        let board = Arc::new(Board::default());
        let teller = Teller { sender, waker };
        let mut threads = vec![];
        board.prepared(&setting, &room);
        let runner = Runner::new(Arc::clone(&site), setting.clone(), Arc::clone(&room));
        let runner = Arc::new(runner);
        let (errands, to_run) = channel::<Errand>();
        let (runs, tell) = (Arc::clone(&runner), teller.clone());
        threads.push(std::thread::spawn(move || {
            // What is queued is handed out even when nobody is left to ask for more.
            while let Ok(errand) = to_run.recv() {
                if runs.takes(&errand) {
                    runs.run(&errand, &|news| tell.tell(news));
                }
            }
        }));
        let (for_background, tell) = (Arc::clone(&board), teller.clone());
        threads.push(std::thread::spawn(move || {
            background::run(&for_background, &|news| tell.tell(news));
        }));
        let (for_grader, tell) = (Arc::clone(&board), teller.clone());
        if draws {
            shape(&room, &teller);
        }
        threads.push(std::thread::spawn(move || {
            let prepared = (setting, room);
            grader::run(&site, prepared, &for_grader, &|news| {
                if let News::Studio(setting, room) = &news {
                    for_grader.prepared(setting, room);
                    if draws {
                        shape(room, &tell);
                    }
                }
                tell.tell(news);
            });
        }));
        Bench {
            board,
            news,
            threads,
            teller,
            runner,
            errands: Some(errands),
            search: None,
            looks: 0,
        }
    }

    /// Has something done by the way, after what was asked before.
    pub fn errand(&self, errand: Errand) {
        if let Some(errands) = &self.errands {
            // The worker ends with the bench, not before.
            let _ = errands.send(errand);
        }
    }

    /// Begins a search; what still runs of it is given up.
    pub fn search(&mut self, search: Search) {
        self.look(move |runner, cancel, tell| runner.search(search, cancel, tell));
    }

    /// Begins to look how much a frame bears; a search that still runs is given up.
    pub fn bear(&mut self, take: Take) {
        self.look(move |runner, cancel, tell| runner.bear(take, cancel, tell));
    }

    fn look<F>(&mut self, what: F)
    where
        F: FnOnce(&Runner, &AtomicBool, &(dyn Fn(News) + Sync)) + Send + 'static,
    {
        self.stop_search();
        let cancel = Arc::new(AtomicBool::new(false));
        self.looks += 1;
        let number = self.looks;
        self.search = Some((number, Arc::clone(&cancel)));
        let (runner, tell) = (Arc::clone(&self.runner), self.teller.clone());
        self.threads.retain(|thread| !thread.is_finished());
        self.threads.push(std::thread::spawn(move || {
            what(&runner, &cancel, &|news| {
                tell.tell(News::Looked(number, Box::new(news)))
            });
        }));
    }

    /// Gives a search up.
    pub fn stop_search(&mut self) {
        if let Some((_, cancel)) = self.search.take() {
            cancel.store(true, Ordering::SeqCst);
        }
    }

    /// Shapes a stage once more, for a device that is new.
    pub fn shape(&self, room: &Arc<Room>) {
        shape(room, &self.teller);
    }

    /// Says what is wanted from now on.
    pub fn want(&self, wanted: Wanted) {
        self.board.post(wanted);
    }

    /// What has come since it was asked last.
    pub fn news(&self) -> impl Iterator<Item = News> + '_ {
        let now = self.search.as_ref().map(|(number, _)| *number);
        self.news.try_iter().filter_map(move |news| match news {
            News::Looked(number, news) => (now == Some(number)).then_some(*news),
            news => Some(news),
        })
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        self.board.close();
        self.stop_search();
        self.runner.close();
        // Without a sender the worker ends once the queue is through.
        self.errands = None;
        for thread in self.threads.drain(..) {
            // A thread that panicked has said so; there is nothing left to mend here.
            let _ = thread.join();
        }
    }
}

/// Shapes a stage beside the grading: the first verdict does not wait for it.
fn shape(room: &Arc<Room>, tell: &Teller) {
    let (room, tell) = (Arc::clone(room), tell.clone());
    std::thread::spawn(move || {
        let shaped = Lit::shape(room.rasterizer, &room.stage);
        tell.tell(News::Shaped(room, Box::new(shaped)));
    });
}

/// A lock whose holder panicked still holds plain data.
fn held<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
