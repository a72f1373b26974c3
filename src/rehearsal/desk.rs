//! The take on the table: what commands and drags do to it, what is refused and why, and the news that come back.
//! May not enter: panels, how anything is worked out.

use super::bench::{
    Bearing, Bench, DayHere, Found, GradedTake, Ground, News, Room, Waker, Wanted, YearSoFar,
};
use super::history::History;
use super::kept::Kept;
use super::moves;
use super::opening::Opened;
use super::setting::Setting;
use super::site::Site;
use super::take::Take;
use crate::grade::culprits::Culprits;
use crate::grade::{MeasureId, Stand};
use crate::judge::take as photographed;
use crate::picture::lit::Shaped;
use crate::picture::png::Picture;
use crate::picture::sheet::Sheet;
use crate::report::judged::{settings, verdict};
use crate::scene::edit::{Original, Unsaved};
use crate::sky::clock::{LocalTimeError, YEARS};
use chrono::{DateTime, Datelike, NaiveDate, Utc};
use glam::DVec2;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

/// The desk.
pub struct Desk {
    /// What is worked on.
    pub site: Arc<Site>,
    /// The take, as it is now.
    pub take: Take,
    /// The site as it was prepared last, and for which setting: while another is prepared it is an older one.
    pub room: (Setting, Arc<Room>),
    /// The frame as it was graded last.
    pub graded: Option<Arc<GradedTake>>,
    /// The finding whose causes are shown.
    pub finding: Option<MeasureId>,
    /// What causes it, and in which take.
    pub culprits: Option<(Take, MeasureId, Arc<Culprits>)>,
    /// Why the last act was refused.
    pub refused: Option<String>,
    /// Another scene that is replaced when it is saved there once more.
    pub(super) replaces: Option<PathBuf>,
    /// Settings that cannot be, and why: asked for again they are refused again at once.
    impossible: Vec<(Setting, String)>,
    /// What was done last by the way ("Wrote …"), or went wrong.
    pub told: Option<Result<String, String>>,
    /// The ground shaded by verdict, as it was known last.
    pub ground: Option<Arc<Ground>>,
    /// The day of a stand, as it was followed last.
    pub day: Option<Arc<DayHere>>,
    /// The hours of a year, as far as they are known.
    pub year: Option<Arc<YearSoFar>>,
    /// Whether they are looked at.
    pub year_wanted: bool,
    /// Whether pictures are drawn by the processor that grades, too.
    draws_on_processor: bool,
    /// What a search does, and how far it has come; none when none runs.
    pub searching: Option<(String, f64)>,
    /// What was found last.
    pub found: Option<Arc<Found>>,
    /// What a frame bears, as it was asked last.
    pub bearing: Option<Arc<Bearing>>,
    /// The lenses compared, from which take; none in it while they are drawn.
    pub strip: Option<(Take, Option<Arc<Sheet>>)>,
    /// Frames that were kept.
    pub kept: Vec<Kept>,
    /// Small pictures that have come, by their number.
    pub small: Vec<(u64, Arc<Picture>)>,
    pub(super) history: History,
    pub(super) bench: Bench,
    pub(super) numbered: u64,
    /// The scene's file as it was read or saved last.
    pub(super) original: Original,
}

/// A stage that has come and is to be drawn.
pub type NewStage = (Arc<Room>, Box<Shaped>);

/// How a refusal of ground begins.
pub const NOT_THERE: &str = "Do not stand there";

/// Width of the mask of a finding's causes, pixels.
const MASK_PX: usize = 640;

impl Desk {
    /// Lays an opened scene on the table. `draws` says whether its stages are to be drawn.
    pub fn new(opened: Opened, waker: Waker, draws: bool) -> Desk {
        let Opened {
            site,
            room,
            take,
            original,
        } = opened;
        let setting = take.setting.clone();
        let prepared = Arc::clone(&room);
        let bench = Bench::new(Arc::clone(&site), prepared, setting, waker, draws);
        let mut desk = Desk {
            room: (take.setting.clone(), room),
            site,
            take,
            graded: None,
            finding: None,
            culprits: None,
            refused: None,
            impossible: vec![],
            replaces: None,
            told: None,
            ground: None,
            day: None,
            year: None,
            year_wanted: false,
            draws_on_processor: true,
            searching: None,
            found: None,
            bearing: None,
            strip: None,
            kept: vec![],
            small: vec![],
            history: History::default(),
            bench,
            numbered: 0,
            original,
        };
        desk.refused = desk.refusal(desk.take.stand.spot_m);
        desk.want();
        desk
    }

    /// The take's date by the site's clock.
    pub fn date(&self) -> NaiveDate {
        let zone = &self.site.base.place.zone;
        zone.local(self.take.at).naive.date()
    }

    /// Tells the bench what is wanted now.
    pub(super) fn want(&self) {
        self.bench.want(Wanted {
            take: self.take.clone(),
            finding: self.finding.map(|measure| (measure, MASK_PX)),
            date: self.date(),
            year: self.year_wanted,
            yields: self.draws_on_processor,
        });
    }

    /// Says whether pictures are drawn by the processor: grading then yields to them.
    pub fn draw_on_processor(&mut self, does: bool) {
        if self.draws_on_processor != does {
            self.draws_on_processor = does;
            self.want();
        }
    }

    /// Takes in what the bench has told; stages to be drawn are handed on.
    pub fn take_news(&mut self) -> Vec<NewStage> {
        let mut stages = vec![];
        let news: Vec<News> = self.bench.news().collect();
        for news in news {
            match news {
                News::Studio(setting, room) => self.room = (setting, room),
                News::Shaped(room, shaped) => stages.push((room, shaped)),
                News::Refused(setting, why) => self.take_refusal(setting, why),
                News::Graded(graded) => self.graded = Some(graded),
                News::Culprits(take, measure, culprits) => {
                    self.culprits = Some((take, measure, Arc::from(culprits)));
                }
                News::Ground(ground) => self.ground = Some(ground),
                News::Day(day) => self.day = Some(day),
                News::Year(year) => self.year = Some(year),
                News::Small(number, picture) => self.small.push((number, picture)),
                News::Strip(take, sheet) => self.strip = Some((*take, Some(sheet))),
                News::Searching(what, share) => {
                    // What a search that was given up still says is old.
                    if self.searching.is_some() {
                        self.searching = Some((what, share));
                    }
                }
                News::Found(found) => self.take_found(found),
                News::Bearing(bearing) => {
                    // What was given up has nothing to say.
                    if self.searching.take().is_some() {
                        self.bearing = Some(bearing);
                    }
                }
                News::Done(what) => self.tell(Ok(what)),
                News::Saved(original) => {
                    self.tell(Ok(format!("Saved {}", original.path.display())));
                    // What was saved elsewhere leaves the scene's own file as it is.
                    if original.path == self.original.path {
                        self.original = *original;
                    }
                }
                News::Exists(path) => {
                    let why = Unsaved::Exists(path.clone());
                    self.tell(Err(why.to_string()));
                    self.replaces = Some(path);
                }
                News::Failed(why) => self.tell(Err(why)),
                News::Looked(_, _) => {} // the bench hands on what is in it
                News::NotSearched(why) => {
                    self.tell(Err(why));
                    self.searching = None;
                }
            }
        }
        stages
    }

    /// Tells what came of something; an older refusal is told no longer.
    pub(super) fn tell(&mut self, told: Result<String, String>) {
        self.refused = None;
        self.replaces = None;
        self.told = Some(told);
    }

    /// A setting cannot be: the last one that can takes its place on the table, and what else was done since stays.
    fn take_refusal(&mut self, setting: Setting, why: String) {
        let before = self.history.setting_before(&setting);
        let before = before.unwrap_or(&self.room.0).clone();
        if self.take.setting == setting {
            self.take.setting = before.clone();
            self.refused = Some(why.clone());
            self.want();
        }
        self.history.replace(&setting, &before, &self.take);
        self.impossible.push((setting, why));
    }

    /// Has the stage shaped once more, for a device that is new.
    pub fn shape_again(&self) {
        self.bench.shape(&self.room.1);
    }

    /// Whether the verdict is that of the take as it is.
    pub fn is_graded(&self) -> bool {
        self.graded
            .as_ref()
            .is_some_and(|graded| graded.take == self.take)
    }

    /// Whether the site is prepared as it is tried.
    pub fn is_ready(&self) -> bool {
        self.room.0 == self.take.setting
    }

    /// What "undo" would take back, and "redo" do again.
    pub fn steps(&self) -> [Option<&'static str>; 2] {
        [self.history.next_undo(), self.history.next_redo()]
    }

    /// A drag has ended: what follows is another step.
    pub fn part(&mut self) {
        self.history.part();
    }

    /// Where the machine's centre is.
    pub(super) fn subject_m(&self) -> DVec2 {
        self.room.1.frame.origin_m
    }

    /// Puts another take on the table.
    pub fn lay(&mut self, take: Take, what: &'static str) {
        if take == self.take {
            return;
        }
        let known = self.impossible.iter();
        if let Some((_, why)) = known.into_iter().find(|(one, _)| *one == take.setting) {
            self.refused = Some(why.clone());
            return;
        }
        self.history.note(&self.take, what, Instant::now());
        self.take = take;
        self.refused = None;
        self.replaces = None;
        // What was done is old now; what went wrong stays until something else is told.
        self.told.take_if(|told| told.is_ok());
        self.want();
    }

    /// The scene's file as it was read or saved last.
    pub fn original(&self) -> &Original {
        &self.original
    }

    /// The scene's file was saved elsewhere than by this desk.
    pub fn saved(&mut self, original: Original) {
        if original.path == self.original.path {
            self.original = original;
        }
    }

    /// Lays a photograph's own stand, lens, film, settings and minute; where nobody may stand there, that is told.
    pub fn lay_photograph(&mut self, photographed: &photographed::Take) {
        let mut take = self.take.clone();
        let photographed::Take { shot, stand, .. } = photographed;
        take.stand = *stand;
        take.at = shot.at.value.unwrap_or(take.at);
        take.setting.kit.film = shot.plate.film;
        self.lay(take, "Rehearse from a photograph");
        let how = settings(shot);
        let how = match how.is_empty() {
            true => String::new(),
            false => format!(", exposed {how}"),
        };
        self.told = Some(Ok(format!(
            "The photograph was {}{how}; from here on exposure is as advised. Ctrl + U leads back to it",
            verdict(photographed)
        )));
        self.refused = self.refusal(stand.spot_m);
    }

    /// Why nobody may stand at a spot.
    fn refusal(&self, spot_m: DVec2) -> Option<String> {
        let room = &self.room.1;
        let refusal = room.scene.may_stand(&room.obstacles, spot_m).err();
        refusal.map(|why| format!("{NOT_THERE}: {why}"))
    }

    /// Another stand, unless nobody may stand there; from where nobody may stand, one may walk on.
    pub fn stand(&mut self, stand: Stand, what: &'static str) {
        let moved = stand.spot_m != self.take.stand.spot_m;
        if moved
            && let Some(why) = self.refusal(stand.spot_m)
            && self.refusal(self.take.stand.spot_m).is_none()
        {
            self.refused = Some(why);
            return;
        }
        let take = Take {
            stand,
            ..self.take.clone()
        };
        self.lay(take, what);
    }

    /// Another spot, the machine kept where it is in the frame.
    pub fn walk_to(&mut self, spot_m: DVec2, what: &'static str) {
        let stand = moves::stand_at(&self.take.stand, spot_m, self.subject_m());
        self.stand(stand, what);
    }

    /// Another instant.
    pub fn at(&mut self, at: DateTime<Utc>, what: &'static str) {
        let year = self.site.base.place.zone.local(at).naive.year();
        if !YEARS.contains(&year) {
            self.refused = Some(LocalTimeError::OutOfRange { year }.to_string());
            return;
        }
        let take = Take {
            at,
            ..self.take.clone()
        };
        self.lay(take, what);
    }

    /// Something else tried of the site.
    pub fn set(&mut self, setting: Setting, what: &'static str) {
        let take = Take {
            setting,
            ..self.take.clone()
        };
        self.lay(take, what);
    }

    /// Whether the year's hours are to be counted.
    pub fn want_year(&mut self, wanted: bool) {
        self.year_wanted = wanted;
        self.want();
    }

    /// Shows what causes a finding, or none.
    pub fn point_at(&mut self, finding: Option<MeasureId>) {
        self.finding = finding;
        self.want();
    }

    /// What causes the finding that is shown, if it has been worked out for the take as it is.
    pub fn pointed(&self) -> Option<&Arc<Culprits>> {
        let (take, measure, culprits) = self.culprits.as_ref()?;
        (Some(*measure) == self.finding && *take == self.take).then_some(culprits)
    }
}
