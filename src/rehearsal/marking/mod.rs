//! Named points of the machine marked in a photograph, as plain state: the marks, which point is next, the cross, what can
//! be taken back, and what is made of it beside the window. May not enter: widgets, window events.
//!
//! Marks are written into their file at every change, and the page says so: they are work of the hand, and neither a
//! closed lid nor a killed program shall take them. Nothing is written before something was changed.

mod acts; // what commands do
mod arrivals; // what comes from beside the window
pub mod command; // what can be done
mod fitting; // fit and sheet beside the window
mod keeper; // the marks file beside the window
mod newest; // only the newest counts
mod opened; // the photograph in the sizes that are shown
pub mod points; // the machine's points
pub mod session; // several photographs, one after the other
mod watch; // whether its file is still the same

pub use fitting::Found;

use super::bench::{Room, Waker};
use super::history::History;
use crate::grade::wording::sentence_case;
use crate::judge::keeping::{Kept, Unkept, marks_beside};
use crate::judge::marks::Given;
use crate::judge::photo::Photo;
use crate::judge::pose::{LEAST_MARKS, Mark};
use crate::mesh::model::{Model, NamedPoint};
use chrono::{DateTime, Utc};
use fitting::{Fitting, News, Teller};
use glam::DVec2;
use image::RgbImage;
use keeper::Keeper;
use opened::Opened;
use points::{Corner, Drawings, most_helpful, side_of};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Instant;
use watch::{Stamp, Watch};

/// Whether a photograph's file is the one that was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhotoFile {
    /// It is.
    AsRead,
    /// Another one lies there, or it was changed.
    Another,
    /// None lies there.
    Gone,
}

/// What becomes of a marks file that is being read anew.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Reads {
    /// None is being read.
    #[default]
    Nothing,
    /// What stands in it takes the place of what is here.
    ToTakeOver,
    /// It does not: something was done to the marks, or to the file, since it was asked for.
    Overtaken,
}

/// One photograph being marked.
pub struct Marking {
    /// The photograph's file.
    pub path: PathBuf,
    /// The photograph.
    pub photo: Arc<Photo>,
    /// The same for a page: no wider than a screen can hold, then halved and halved again.
    pub levels: Arc<Vec<RgbImage>>,
    /// The site that it was taken in.
    pub room: Arc<Room>,
    /// The machine whose points are marked, its doors shut.
    pub model: Arc<Model>,
    /// The machine in lines.
    pub drawings: Arc<Drawings>,
    /// The marks, and what is typed in place of what the photograph says.
    pub given: Given,
    /// The point that is marked next, an index into the model's.
    pub chosen: usize,
    /// It was chosen by hand: nothing else is asked for in its place.
    by_hand: bool,
    /// Where the cross is: pixels right of and below the upper left corner.
    pub cross_px: DVec2,
    /// The mark that nudges move: the one placed last, until the cross is moved otherwise.
    held: Option<usize>,
    /// The corner from which the scene's own frame shows the machine.
    own: Corner,
    /// The one from which the photograph does, where somebody said so.
    corner: Option<Corner>,
    /// What is known of the newest marks.
    pub found: Option<Arc<Found>>,
    /// The newest of it with a sheet.
    judged: Option<Arc<Found>>,
    /// What was done or refused last.
    pub told: Option<Result<String, String>>,
    marks_path: PathBuf,
    /// The marks as they stand in the file, since when, and why newer ones do not.
    kept: Given,
    kept_at: Option<DateTime<Utc>>,
    /// Those that are being written.
    to_keep: Option<Given>,
    unkept: Option<Unkept>,
    /// What becomes of the file that is being read anew.
    reads: Reads,
    /// The photograph is being read again.
    reads_photo: bool,
    /// Its file as it was read, and as it is.
    read_from: Stamp,
    stamp: Stamp,
    history: History<Given>,
    /// Under which the newest marks are known beside the window, and the first ones of the photograph as it was read last.
    number: u64,
    least: u64,
    news: Receiver<News>,
    tell: Teller,
    work: Fitting,
    keeper: Keeper,
    #[expect(dead_code, reason = "they tell for as long as they live")]
    watches: [Watch; 2],
}

impl Marking {
    /// Opens a photograph and its marks. It takes a second, so it is done beside the window.
    ///
    /// # Errors
    /// The photograph cannot be read, or the model names no points.
    pub fn open(
        path: &Path,
        marks: Option<&Path>,
        (room, drawings): (Arc<Room>, Arc<Drawings>),
        waker: Waker,
    ) -> Result<Marking, String> {
        let model = Arc::clone(&room.scene.machine.shut);
        if model.points.is_empty() {
            let file = room.scene.machine.model_file.display();
            return Err(format!(
                "{file} names no points that could be marked ([[point]])"
            ));
        }
        let Opened {
            photo,
            levels,
            stamp,
        } = Opened::read(path)?;
        let marks_path = marks.map_or_else(|| marks_beside(path), Path::to_path_buf);
        let marks_stamp = Stamp::of(&marks_path);
        let read = Kept::open(&marks_path, &model, &room.scene.place.zone);
        let (kept, given) = match read {
            Ok((kept, given)) => (Ok(kept), given),
            Err(why) => (Err(why), Given::default()),
        };
        let unkept = kept.as_ref().err().cloned().map(Unkept::Unreadable);
        let [width, height] = photo.size_px();
        let both = || (Arc::clone(&room), Arc::clone(&model));
        let (sender, news) = channel();
        let tell = Teller(sender, waker);
        let work = Fitting::begin(both(), Arc::clone(&photo), tell.clone());
        let keeper = Keeper::begin(marks_path.clone(), kept, both(), tell.clone());
        let watches = [
            Watch::begin((path.to_path_buf(), stamp), News::File, tell.clone()),
            Watch::begin(
                (marks_path.clone(), marks_stamp),
                |_| News::MarksFile,
                tell.clone(),
            ),
        ];
        let mut marking = Marking {
            path: path.to_path_buf(),
            chosen: 0,
            by_hand: false,
            cross_px: DVec2::new(width, height) / 2.0,
            held: None,
            own: Corner::of(room.eye(&room.default_stand())),
            corner: None,
            found: None,
            judged: None,
            told: None,
            marks_path,
            kept: given.clone(),
            kept_at: None,
            to_keep: None,
            unkept,
            reads: Reads::Nothing,
            reads_photo: false,
            read_from: stamp,
            stamp,
            given,
            photo,
            levels,
            room,
            model,
            drawings,
            history: History::default(),
            number: 0,
            least: 0,
            news,
            tell,
            work,
            keeper,
            watches,
        };
        marking.want();
        marking.chosen = marking.helpful(None).unwrap_or(0);
        Ok(marking)
    }

    /// What is known, if it is of the marks as they are.
    pub fn fresh(&self) -> Option<&Arc<Found>> {
        self.found
            .as_ref()
            .filter(|found| found.given == self.given)
    }

    /// The point that is marked next.
    pub fn point(&self) -> &NamedPoint {
        &self.model.points[self.chosen]
    }

    /// The mark of a point.
    pub fn mark_of(&self, point: usize) -> Option<&Mark> {
        let name = &self.model.points[point].name;
        self.given.marks.iter().find(|mark| mark.name == *name)
    }

    /// Why there is no fit that tells what is asked; none where there is one.
    pub fn no_fit(&self, asked: &str) -> Option<String> {
        let count = self.given.marks.len();
        let why = match self.found.as_ref().map(|found| &found.fit) {
            Some(Ok(_)) => return None,
            _ if count < LEAST_MARKS => {
                format!("known once {LEAST_MARKS} points are marked ({count} so far)")
            }
            _ if self.fresh().is_none() => "still being worked out".to_string(),
            Some(Err(why)) => format!("unknown: {why}"),
            None => "still being worked out".to_string(),
        };
        Some(sentence_case(&format!("{asked} is {why}")))
    }

    /// Where the fit so far has a point, pixels; none without a fit.
    pub fn expected_px(&self, point: usize) -> Option<DVec2> {
        let found = self.found.as_ref()?;
        let fit = found.fit.as_ref().ok()?;
        let at = self.model.points[point].position_m;
        fit.image_px(&found.shot.plate, at)
    }

    /// Whether the camera sees a point, as far as is known.
    pub fn is_seen(&self, point: usize) -> bool {
        match &self.found {
            Some(found) if found.fit.is_ok() => found.seen[point],
            _ => {
                let drawing = self.drawings.from(self.corner());
                let at = self.model.points[point].position_m;
                drawing.is_none_or(|drawing| drawing.sees(at))
            }
        }
    }

    /// The corner from which the machine is seen: by the fit, as was said, by the marks, or as the scene's own frame has
    /// it.
    pub fn corner(&self) -> Corner {
        let fit = self
            .found
            .as_ref()
            .and_then(|found| found.fit.as_ref().ok());
        if let Some(fit) = fit {
            return Corner::of(fit.pose.eye);
        }
        let mut corner = self.corner.unwrap_or(self.own);
        if self.corner.is_none() {
            let sides = self.marked().into_iter();
            let of = |point: usize| side_of(&self.model.points[point]);
            let tally: f64 = sides.filter_map(of).map(|side| side.sign()).sum();
            if tally.abs() >= 2.0 && tally * corner.side.sign() < 0.0 {
                corner.side = corner.side.other();
            }
        }
        corner
    }

    /// Points that are marked, by their index.
    pub fn marked(&self) -> Vec<usize> {
        (0..self.model.points.len())
            .filter(|point| self.mark_of(*point).is_some())
            .collect()
    }

    /// The point that would help most, but for one.
    fn helpful(&self, but: Option<usize>) -> Option<usize> {
        let all = 0..self.model.points.len();
        let seen: Vec<bool> = all.map(|point| self.is_seen(point)).collect();
        most_helpful(&self.model, self.corner(), (&self.marked(), &seen), but)
    }

    /// Chooses the point that is marked next.
    pub fn choose(&mut self, point: usize) {
        if point < self.model.points.len() {
            self.chosen = point;
            self.by_hand = true;
            self.held = None;
            self.told = None;
        }
    }

    /// Moves the cross.
    pub fn point_at(&mut self, at_px: DVec2) {
        let size = DVec2::from_array(self.photo.size_px());
        self.cross_px = at_px.clamp(DVec2::ZERO, size);
        self.held = None;
    }

    /// Marks the chosen point where the cross is, and goes on to the one that helps most then.
    pub fn place(&mut self) {
        let point = self.chosen;
        self.history.part();
        self.put(point, self.cross_px, "Mark");
        self.history.part();
        if let Some(next) = self.helpful(None) {
            self.chosen = next;
        }
        self.by_hand = false;
        self.held = Some(point);
    }

    /// Puts a point's mark somewhere, to a tenth of a pixel.
    pub fn put(&mut self, point: usize, at_px: DVec2, what: &'static str) {
        let size = DVec2::from_array(self.photo.size_px());
        let at_px = (at_px.clamp(DVec2::ZERO, size) * 10.0).round() / 10.0;
        let NamedPoint {
            name, position_m, ..
        } = &self.model.points[point];
        let mut given = self.given.clone();
        let mark = Mark {
            name: name.clone(),
            at_m: *position_m,
            at_px,
        };
        match given.marks.iter_mut().find(|one| one.name == *name) {
            Some(one) => *one = mark,
            None => given.marks.push(mark),
        }
        self.cross_px = at_px;
        self.give(given, what);
    }

    /// Takes hold of a mark: nudges move it.
    pub fn hold(&mut self, point: usize) {
        if let Some(at_px) = self.mark_of(point).map(|mark| mark.at_px) {
            self.choose(point);
            self.cross_px = at_px;
            self.held = Some(point);
        }
    }

    /// A drag of a mark has ended.
    pub fn part(&mut self) {
        self.history.part();
    }

    /// Other marks or values.
    pub fn give(&mut self, given: Given, what: &'static str) {
        if given == self.given {
            return;
        }
        self.history.note(&self.given, what, Instant::now());
        self.lay(given);
    }

    fn lay(&mut self, given: Given) {
        self.given = given;
        self.told = None;
        self.held = None;
        self.want();
        self.keep();
    }

    /// What "undo" would take back, and "redo" do again.
    pub fn steps(&self) -> [Option<&'static str>; 2] {
        [self.history.next_undo(), self.history.next_redo()]
    }

    /// The mark that nudges move.
    pub fn held(&self) -> Option<usize> {
        self.held
    }
}
