//! What is made of the marks beside the window: the fit as soon as it can be, then the photograph's sheet. The newest
//! marks count. May not enter: which marks are placed.

use super::newest::Newest;
use super::opened::Opened;
use super::points::seen_from;
use super::watch::Stamp;
use crate::judge::keeping::{Kept, Unkept};
use crate::judge::marks::Given;
use crate::judge::outline::Outline;
use crate::judge::photo::Photo;
use crate::judge::pose::Fit;
use crate::judge::take::{Shot, Take, take, told};
use crate::mesh::model::Model;
use crate::rehearsal::bench::{Room, Waker};
use chrono::{DateTime, Utc};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::Sender;

/// Pixels across of the outline.
const OUTLINE_PX: u32 = 2000;

/// What is known of the marks as they were at some time.
#[derive(Clone)]
pub struct Found {
    /// Of these marks and values.
    pub given: Given,
    /// What has a lower number is of earlier ones.
    pub(super) number: u64,
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
    /// Marks were written, when, or why not.
    Kept(Box<Given>, Result<DateTime<Utc>, Unkept>),
    /// The marks file was read anew: it as it is, and what stands in it.
    Read(Result<Box<(Kept, Given)>, String>),
    /// It was put aside, under this name if there was one.
    PutAside(Result<Option<PathBuf>, String>),
    /// The photograph's file is another, or gone.
    File(Stamp),
    /// The marks file is another: the keeper's own doing, or not.
    MarksFile,
    /// Whether it is as the keeper knows it.
    Looked(bool),
    /// The photograph was read again.
    Photo(Result<Box<Opened>, String>),
}

/// Tells, and wakes who waits.
#[derive(Clone)]
pub(super) struct Teller(pub(super) Sender<News>, pub(super) Waker);

impl Teller {
    pub(super) fn tell(&self, news: News) {
        // Nobody listens any more when the page is left.
        if self.0.send(news).is_ok() {
            (self.1)();
        }
    }
}

/// Threads that work on one photograph's marks: one fits, the other grades what was fitted, so that the newest marks
/// need not wait for the sheet of those before them.
pub(super) struct Fitting {
    wanted: Newest<(u64, Given)>,
    to_grade: Newest<Found>,
}

impl Fitting {
    /// Begins.
    pub(super) fn begin(
        (room, model): (Arc<Room>, Arc<Model>),
        photo: Arc<Photo>,
        tell: Teller,
    ) -> Fitting {
        let (wanted, to_grade) = (Newest::<(u64, Given)>::new(), Newest::<Found>::new());
        let (fits, grades) = (to_grade.clone(), to_grade.clone());
        let marks = wanted.clone();
        let both = (Arc::clone(&room), Arc::clone(&photo));
        let teller = tell.clone();
        std::thread::spawn(move || {
            while let Some((number, given)) = marks.take() {
                let found = fitted((&room, &model), &photo, (number, given));
                teller.tell(News::Found(Arc::new(found.clone())));
                if found.fit.is_ok() {
                    fits.want(found);
                }
            }
        });
        std::thread::spawn(move || {
            let (room, photo) = both;
            while let Some(mut found) = grades.take() {
                found.take = Some(take(&room, &photo, &found.given).map(Arc::new));
                tell.tell(News::Found(Arc::new(found)));
            }
        });
        Fitting { wanted, to_grade }
    }

    /// These are the marks now, and the number by which they are known as later than others.
    pub(super) fn want(&self, number: u64, given: &Given) {
        self.wanted.want((number, given.clone()));
    }
}

impl Drop for Fitting {
    fn drop(&mut self) {
        // What is worked on comes to its end; what waits is never begun.
        self.wanted.close();
        self.to_grade.close();
    }
}

fn fitted((room, model): (&Room, &Model), photo: &Photo, (number, given): (u64, Given)) -> Found {
    let shot = Shot::of(photo, &given, room);
    let words = |name: &str| model.words_of(name).map(str::to_string);
    let fit = shot.fit(&given).map_err(|refused| refused.worded(words));
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
        number,
        take: None,
    }
}
