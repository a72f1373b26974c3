//! What is made of the marks beside the window: the fit as soon as it can be, then the photograph's sheet; and the marks
//! written into their file. The newest marks count. May not enter: which marks are placed.

use super::newest::Newest;
use super::points::seen_from;
use crate::judge::keeping::Kept;
use crate::judge::marks::Given;
use crate::judge::outline::Outline;
use crate::judge::photo::Photo;
use crate::judge::pose::Fit;
use crate::judge::take::{Shot, Take, take, told};
use crate::mesh::model::Model;
use crate::rehearsal::bench::{Room, Waker};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;

/// Pixels across of the outline.
const OUTLINE_PX: u32 = 2000;

/// What is known of the marks as they were at some time.
#[derive(Clone)]
pub struct Found {
    /// Of these marks and values.
    pub given: Given,
    /// What was shot, as far as the photograph and its marks say.
    pub shot: Shot,
    /// Where the camera stood, or why nobody can say.
    pub fit: Result<Fit, String>,
    /// Which of the machine's points the camera sees; without a fit none is known to be hidden.
    pub seen: Vec<bool>,
    /// The machine's outline in the photograph.
    pub outline: Option<Arc<Outline>>,
    /// The sheet; none while it is worked out, or where there is no fit.
    pub take: Option<Result<Arc<Take>, String>>,
}

/// What comes back.
pub(super) enum News {
    Found(Arc<Found>),
    Kept(Given, Result<(), String>),
}

/// Threads that work on one photograph's marks.
pub(super) struct Fitting {
    wanted: Newest<Given>,
    to_keep: Newest<Given>,
    news: Receiver<News>,
    keeper: Option<JoinHandle<()>>,
}

/// Tells, and wakes who waits.
#[derive(Clone)]
struct Teller(Sender<News>, Waker);

impl Teller {
    fn tell(&self, news: News) {
        // Nobody listens any more when the page is left.
        if self.0.send(news).is_ok() {
            (self.1)();
        }
    }
}

impl Fitting {
    /// Begins; without `kept` nothing is written.
    pub(super) fn begin(
        (room, model): (Arc<Room>, Arc<Model>),
        photo: Arc<Photo>,
        kept: Option<Kept>,
        waker: Waker,
    ) -> Fitting {
        let (sender, news) = channel();
        let tell = Teller(sender, waker);
        let (wanted, to_keep) = (Newest::new(), Newest::new());
        let keeper = kept.map(|mut kept| {
            let (to_keep, tell): (Newest<Given>, _) = (to_keep.clone(), tell.clone());
            let (room, model) = (Arc::clone(&room), Arc::clone(&model));
            std::thread::spawn(move || {
                while let Some(given) = to_keep.take() {
                    let saved = kept.save(&given, &model, &room.scene.place.zone);
                    let saved = saved.map(|now| kept = now);
                    tell.tell(News::Kept(given, saved));
                }
            })
        });
        let marks: Newest<Given> = wanted.clone();
        std::thread::spawn(move || {
            while let Some(given) = marks.take() {
                let mut found = fitted(&room, &model, &photo, given);
                tell.tell(News::Found(Arc::new(found.clone())));
                if found.fit.is_err() || marks.is_overtaken() {
                    continue;
                }
                found.take = Some(take(&room, &photo, &found.given).map(Arc::new));
                tell.tell(News::Found(Arc::new(found)));
            }
        });
        Fitting {
            wanted,
            to_keep,
            news,
            keeper,
        }
    }

    /// These are the marks now.
    pub(super) fn want(&self, given: &Given) {
        self.wanted.want(given.clone());
    }

    /// These are to be written.
    pub(super) fn keep(&self, given: &Given) {
        self.to_keep.want(given.clone());
    }

    /// What has come.
    pub(super) fn news(&self) -> impl Iterator<Item = News> + '_ {
        self.news.try_iter()
    }
}

impl Drop for Fitting {
    fn drop(&mut self) {
        self.wanted.close();
        self.to_keep.close();
        // Marks that are still to be written are written; a sheet that is worked on is given up.
        if let Some(keeper) = self.keeper.take() {
            let _ = keeper.join();
        }
    }
}

fn fitted(room: &Room, model: &Model, photo: &Photo, given: Given) -> Found {
    let shot = Shot::of(photo, &given, room);
    let fit = shot.fit(&given);
    let seen = match &fit {
        Ok(fit) => seen_from(room, model, fit.pose.eye),
        Err(_) => vec![true; model.points.len()],
    };
    let across = OUTLINE_PX.min(photo.pixels.width());
    let own = &room.scene.machine.model;
    let outline = fit.as_ref().ok();
    let outline = outline.map(|fit| Arc::new(Outline::of(own, fit, &shot.plate, across)));
    Found {
        seen,
        outline,
        fit: fit.map_err(|refused| told(&refused, shot.against_focal(&given, None).as_deref())),
        shot,
        given,
        take: None,
    }
}
